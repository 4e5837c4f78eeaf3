from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.circuits.networks import Parts, analysis_of, capacitor, inductor, resistor, transconductance, voltage
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.exact import solve_exactly
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import read_network
from tutor.circuits.numeric import CHUNK, estimate, solve_numerically
from tutor.circuits.problem import Problem, pose

DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}


def posed(parts: Parts, ask: dict[str, Any], frequency: float | None = None) -> tuple[Problem, dict[str, Any]]:
    network = read_network(parts)
    problem = pose(network, read_circuit_ask(ask).asked, analysis_of(frequency))
    return problem, symbol_values(problem.network, network.values(), frequency)


@pytest.mark.parametrize("draws", [1, 5, CHUNK, CHUNK + 1])
def test_every_draw_is_solved_for_itself(draws: int) -> None:
    problem, values = posed(DIVIDER, {"voltage": "out"})
    lots = np.random.default_rng(3)
    r1 = lots.uniform(1e2, 1e5, draws)
    found = solve_numerically(problem, {**values, "R1": r1})
    assert found == pytest.approx(9.0 * 2e3 / (r1 + 2e3), rel=1e-12)
    assert found.shape == (draws,)


def test_numbers_alone_are_one_draw() -> None:
    problem, values = posed(DIVIDER, {"power": "R2"})
    assert solve_numerically(problem, values) == pytest.approx([9.0**2 / 9e6 * 2e3])


def test_a_phasor_is_complex_and_its_power_real() -> None:
    parts = {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 1e3), "C1": capacitor("out", "0", 1e-6)}
    problem, values = posed(parts, {"voltage": "out"}, 159.15494309189535)
    assert solve_numerically(problem, values) == pytest.approx([0.5 - 0.5j])
    problem, values = posed(parts, {"power": "R1"}, 159.15494309189535)
    assert solve_numerically(problem, values) == pytest.approx([0.5e-3])


STORING = [
    ({**DIVIDER, "C1": capacitor("out", "0", 3e-6)}, {"time constant": "C1"}, 2e-3),
    ({"R1": resistor("a", "0", 500.0), "L1": inductor("a", "0", 2.0)}, {"time constant": "L1"}, 4e-3),
]


@pytest.mark.parametrize(("parts", "ask", "expected"), STORING)
def test_a_time_constant_is_worked_out_by_lapack_and_in_fractions(
    parts: Parts, ask: dict[str, Any], expected: float
) -> None:
    problem, values = posed(parts, ask)
    assert solve_numerically(problem, values) == pytest.approx([expected], rel=1e-12)
    assert estimate(problem, values).value == pytest.approx(expected, rel=1e-12)
    assert solve_exactly(problem, lambda _: values) == pytest.approx(expected, rel=1e-15)


def test_a_coil_that_sees_no_resistance_is_told_by_fractions_too() -> None:
    parts = {"V1": voltage("a", "0", 1.0), "R1": resistor("a", "0", 1.0), "L1": inductor("a", "0", 1.0)}
    problem, values = posed(parts, {"time constant": "L1"})
    with pytest.raises(SingularCircuitError) as caught:
        solve_exactly(problem, lambda _: values)
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: the time constant of L1 stays undetermined (it sees no resistance)"
    )


def test_a_draw_without_a_solution_is_told() -> None:
    parts = {"I1": {"kind": "current source", "nodes": ["0", "a"], "value": "1 mA"}, "R1": resistor("a", "0", 1e3),
             "G1": transconductance("0", "a", ("a", "0"), 1e-3)}  # fmt: skip
    problem, values = posed(parts, {"voltage": "a"})
    with pytest.raises(SingularCircuitError) as caught:
        solve_numerically(problem, {**values, "R1": np.array([2e3, 1e3])})
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: at least one unknown stays undetermined (for these values)"
    )
    with pytest.raises(SingularCircuitError):
        estimate(problem, values)


def test_an_estimate_says_how_far_it_can_be_trusted() -> None:
    problem, values = posed(DIVIDER, {"voltage": "out"})
    found = estimate(problem, values)
    assert found.value == pytest.approx(6.0, rel=1e-12)
    assert found.scale == 9.0
    assert found.condition < 1e3
    problem, values = posed({**DIVIDER, "R3": resistor("out", "far", 1e-3), "R4": resistor("far", "0", 1e12)},
                            {"voltage": ["out", "far"]})  # fmt: skip
    doubtful = estimate(problem, values)
    assert doubtful.condition > 1e5 or doubtful.value == pytest.approx(6e-15, rel=1e-3)


def test_exact_fractions_take_a_value_as_the_decimal_that_was_written() -> None:
    # In floats 0.1 + 0.2 is not 0.3; the drop across both resistors is the source's to the last figure.
    parts = {"I1": {"kind": "current source", "nodes": ["0", "a"], "value": "1 A"}, "R1": resistor("a", "b", 0.1),
             "R2": resistor("b", "0", 0.2)}  # fmt: skip
    problem, values = posed(parts, {"voltage": "a"})
    assert solve_exactly(problem, lambda _: values) == 0.3
