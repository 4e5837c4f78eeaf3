"""Every circuit of the shipped banks, with the values of a question, against ngspice: to 1e-6 of the largest voltage."""

from __future__ import annotations

import pytest

from tests.circuits.spice import cards_of, voltages_of, want_ngspice
from tutor.bootstrap.places import banks_folder
from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import evaluate
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import Network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import pose
from tutor.quantities import Quantity
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.compiling import base_names
from tutor.questions.lottery import draw_values
from tutor.questions.template import Template

LIBRARY = read_library([banks_folder()])
FREQUENCY = 1234.5
LEAST = 60


def is_solvable(network: Network, analysis: Analysis) -> bool:
    """Tell whether the circuit has a voltage to compare: some are drawn without a source, or float at dc."""
    try:
        problem = pose(network, Voltage(next(node for node in network.nodes if node != "0")), analysis)
    except CircuitError:
        return False
    return bool(problem.side)


def kinds(template: Template) -> list[Analysis]:
    network = template.network
    return [] if network is None else [analysis for analysis in (DC, AC) if is_solvable(network, analysis)]


CASES = [
    pytest.param(name, analysis, id=f"{name} {analysis}")
    for name, template in sorted(LIBRARY.templates.items())
    for analysis in kinds(template)
]


@pytest.mark.parametrize(("name", "analysis"), CASES)
def test_a_circuit_of_the_banks_agrees_with_ngspice(name: str, analysis: Analysis) -> None:
    want_ngspice()
    template = LIBRARY.templates[name]
    network = template.network
    assert network is not None
    compiled = CompiledCache().compiled(template)
    drawn = {key: value for key, value in draw_values(compiled, 5).values.items() if isinstance(value, float | int)}
    assert set(base_names(template)) <= set(drawn)
    bound = dict.fromkeys(network.parameters(), 1e-6)  # for a capacitor drawn without a value
    for symbol, (_, parameter) in network.parameters().items():
        if isinstance(parameter.value, Quantity):
            bound[symbol] = parameter.value.magnitude
        elif parameter.value is not None:
            bound[symbol] = evaluate(parameter.value, drawn)
    frequency = FREQUENCY if analysis == AC else None
    values = symbol_values(network, bound, frequency)
    nodes = tuple(node for node in network.nodes if node != "0")
    command = f"ac lin 1 {FREQUENCY!r} {FREQUENCY!r}" if analysis == AC else "op"
    theirs = voltages_of(cards_of(network, values, analysis), nodes, command)
    largest = max(abs(value) for value in theirs.values())
    for node in nodes:
        ours = complex(solve_numerically(pose(network, Voltage(node), analysis), values)[0])
        assert abs(ours - theirs[node]) <= 1e-6 * max(abs(theirs[node]), 1e-3 * largest), (node, ours, theirs[node])


def test_there_are_many() -> None:
    circuits = {case.values[0] for case in CASES}
    assert len(circuits) >= LEAST
