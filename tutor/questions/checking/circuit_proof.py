"""The key cannot be wrong: every authored formula is held against the circuit, solved independently.

Where both sides are quotients of polynomials they are compared exactly, in all symbols. Always, every draw is
compared in numbers with a pivoted solution, to 1e-9. An ask without a circuit must be of the supply (`supply_proof`)
or covered by a worked example from outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from tutor.circuits.analysis import AC, STEP, S
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import program_arrays
from tutor.circuits.steps import first_order, solve_step
from tutor.quantities import Quantity
from tutor.questions.arrays import array_value, relative_difference
from tutor.questions.checking.exact_proof import exactly_equal
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.compiling import frequency_of, take_of, time_of
from tutor.questions.template import Ask

AGREEMENT = 1e-9


def check_circuit(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every ask whose formula is not proved."""
    covered = {name for example in evidence.template.examples for name in example.answers}
    for ask in evidence.template.asks:
        path = ("ask", ask.name, "formula")
        if ask.circuit is not None and ask.kind != "change":
            yield from _against_circuit(evidence, ask)
        elif ask.kind in ("number", "preferred", "formula") and ask.name not in covered and ask.supply is None:
            message = "nothing proves it: give `of circuit:`, or a worked example from outside under `examples:`"
            yield finding("circuit", path, message)
        elif ask.kind == "choice" and not ask.options and ask.name not in covered:
            yield finding("circuit", path, "nothing proves it: give `of circuit:` or an example")


def _against_circuit(evidence: Evidence, ask: Ask) -> Iterator[Finding]:
    assert ask.circuit is not None
    assert evidence.template.network is not None
    template = evidence.template
    problem = None
    if template.analysis_of(ask.circuit) == STEP:
        solved = values_in_time(evidence, ask)
    else:
        problem = pose(evidence.template.network, ask.circuit.asked, template.analysis_of(ask.circuit))
        solved = circuit_values(evidence, ask, problem)
    authored = _authored(evidence, ask)
    path = ("ask", ask.name, "formula")
    difference = relative_difference(authored, solved)
    worst = int(difference.argmax()) if len(difference) else 0
    if len(difference) and difference[worst] > AGREEMENT:
        message = (
            f"it gives {authored[worst]:.6g} where the circuit gives {solved[worst]:.6g} {ask.unit.symbol} "
            f"(serial {int(evidence.serials[evidence.admitted][worst])}; {int((difference > AGREEMENT).sum())} of "
            f"{len(difference)} draws disagree)"
        )
        yield finding("circuit", path, message)
        return
    if problem is not None and ask.formula is not None and exactly_equal(template, ask, problem) is False:
        yield finding("circuit", path, "it agrees on the values drawn, and is another formula than the circuit's")


def _authored(evidence: Evidence, ask: Ask) -> Any:
    if ask.formula is None or ask.kind == "preferred":
        # The exact value of a preferred one is its formula; without a formula the program itself is checked.
        if ask.formula is not None:
            return array_value(ask.formula, evidence.all_values(), evidence.draws)
        return evidence.values(ask.name)
    return evidence.values(ask.name)


def circuit_values(evidence: Evidence, ask: Ask, problem: Problem) -> Any:
    """Return the circuit's answer for every draw by the pivoted solution, shape (draws,)."""
    import numpy as np

    assert ask.circuit is not None
    template = evidence.template
    frequency = None
    if template.analysis_of(ask.circuit) == AC:
        frequency = array_value(frequency_of(template, ask.circuit), evidence.all_values(), evidence.draws)
    symbols = symbol_arrays(problem, evidence.all_values(), frequency, evidence.draws)
    solved = solve_numerically(problem, symbols)
    take = take_of(template, ask)
    if not take:
        return np.real(solved)
    return program_arrays()[f"{take}_"](solved)


def values_in_time(evidence: Evidence, ask: Ask) -> Any:
    """Return a value in time for every draw by the modes of the circuit's state equations, shape (draws,)."""
    import numpy as np

    network = evidence.template.network
    assert ask.circuit is not None
    assert network is not None
    final = first_order(network, ask.circuit.asked).final
    symbols = symbol_arrays(final, evidence.all_values(), None, evidence.draws)
    times = array_value(time_of(ask.circuit), evidence.all_values(), evidence.draws)
    found = []
    for place, time in enumerate(times):
        values = {name: column[place] for name, column in symbols.items()}
        found.append(solve_step(network, ask.circuit.asked, float(time), values)[0])
    return np.array(found)


def symbol_arrays(problem: Problem, values: dict[str, Any], frequency: Any, draws: int) -> dict[str, Any]:
    """Return every symbol of a problem's network over the draws."""
    import numpy as np

    known: dict[str, Any] = {}
    for symbol, (_, parameter) in problem.network.parameters().items():
        if isinstance(parameter.value, Quantity):
            known[symbol] = np.full(draws, parameter.value.magnitude)
        elif parameter.value is not None:
            known[symbol] = array_value(parameter.value, values, draws)
    if problem.reactive is not None:
        bound = problem.reactive.parameters()[0].value
        if isinstance(bound, Quantity):
            known[problem.reactive.reference] = np.full(draws, bound.magnitude)
        elif bound is not None:
            known[problem.reactive.reference] = array_value(bound, values, draws)
    for definition in problem.network.definitions():
        real = array_value(definition.real, known, draws)
        if definition.imaginary is not None:
            real = real + 1j * array_value(definition.imaginary, known, draws)
        known[definition.symbol] = real
    if frequency is not None:
        known[S] = 2j * math.pi * frequency
    return known
