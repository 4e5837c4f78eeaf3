"""First-order steps as formulas: against the textbook's exponentials and against the numeric response."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import Parts, RandomCircuit, capacitor, current, inductor, resistor, voltage
from tutor.circuits.analysis import STEP
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError
from tutor.circuits.exponentials import InTime, in_time_of
from tutor.circuits.expressions import evaluate, read_expression
from tutor.circuits.linear import solve, symbol_values
from tutor.circuits.network import read_network

R, C = resistor("in", "out", 2e3), capacitor("out", "0", 1e-6)
CHARGED = capacitor("out", "0", 1e-6, initial="300 V")


def in_time(parts: Parts, ask: dict[str, Any]) -> InTime:
    return in_time_of(read_network(parts), read_circuit_ask(ask).asked)


@pytest.mark.parametrize(
    ("parts", "ask", "text"),
    [
        ({"V1": voltage("in", "0", 1.0), "R1": R, "C1": C}, {"voltage": "out"}, "V1*(1 - exp(-t/(R1*C1)))"),
        ({"V1": voltage("in", "0", 1.0), "R1": R, "C1": C}, {"current": "C1"}, "(V1/R1)*exp(-t/(R1*C1))"),
        ({"R1": resistor("out", "0", 1.0), "C1": CHARGED}, {"voltage": "out"}, "initial_C1*exp(-t/(R1*C1))"),
        (
            {"V1": voltage("in", "0", 1.0), "R1": R, "C1": CHARGED}, {"voltage": "out"},
            "V1 + (initial_C1 - V1)*exp(-t/(R1*C1))",
        ),
        ({"V1": voltage("in", "0", 1.0), "R1": R, "L1": inductor("out", "0", 2.0)}, {"current": "L1"}, "(V1/R1)*(1 - exp(-t*R1/L1))"),
        ({"I1": current("0", "out", 1.0), "C1": C}, {"voltage": "out"}, "I1/C1*t"),
        ({"V1": voltage("in", "0", 1.0), "R1": R, "R2": resistor("out", "0", 1.0)}, {"voltage": "out"}, "V1*R2/(R1 + R2)"),
    ],
)  # fmt: skip
def test_a_step_reads_as_in_a_book(parts: Parts, ask: dict[str, Any], text: str) -> None:
    found = in_time(parts, ask)
    plain = found.text().replace("(I1/C1)*t", "I1/C1*t").replace(" ", "")
    shown = text.replace(" ", "")
    assert plain in (shown, shown.replace("(V1/R1)", "V1/R1"))
    assert found.is_readable


@given(st.integers(0, 10**6), st.sampled_from(["C", "L"]), st.floats(0.0, 4.0))
@settings(max_examples=40, deadline=None)
def test_the_formula_has_the_value_of_the_numbers(seed: int, store: str, spans: float) -> None:
    circuit = RandomCircuit(seed, ("resistor", "current", "meter", "vccs"), nodes=2, extra=2).with_source()
    first, second = circuit.named[:2]
    parts = {**circuit.parts, "Rx": resistor(second, "x", 2.2e3)}
    if store == "C":
        parts |= {"C9": capacitor("x", "0", 1e-7, initial="-7 V"), "Ry": resistor("x", first, 1e4)}
    else:
        parts |= {"L9": inductor("x", "0", 3.0, initial="1 mA"), "Ry": resistor("x", first, 1e4)}
    network = read_network(parts)
    values = symbol_values(network, network.values(), None)
    time = spans * 1e-3
    for ask in ({"voltage": first}, {"current": "Rx"}, {"power": "Rx"}):
        asked = read_circuit_ask(ask).asked
        formula = in_time_of(network, asked)
        expected = float(solve(network, asked, STEP, time=time).value)
        assert formula.value(values, time) == pytest.approx(expected, rel=1e-7, abs=1e-11)
        if formula.is_readable:
            expression = read_expression(formula.text())
            assert evaluate(expression, values | {"t": time}) == pytest.approx(expected, rel=1e-7, abs=1e-11)


def test_a_power_is_the_product_of_two_exponentials() -> None:
    parts = {"V1": voltage("in", "0", 10.0), "R1": R, "C1": C}
    network = read_network(parts)
    power = in_time(parts, {"power": "R1"})
    assert power.value(network.values(), 1e-3) == pytest.approx(100 / 2e3 * math.exp(-1.0), rel=1e-14)


def test_two_stores_have_no_single_exponential_but_a_value() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "R1": R,
        "C1": C,
        "R2": resistor("out", "x", 1e3),
        "C2": capacitor("x", "0", 1e-6),
    }
    with pytest.raises(CircuitError, match="2 capacitors and coils: with more than one no single exponential says it"):
        in_time(parts, {"voltage": "x"})
    solved = solve(read_network(parts), read_circuit_ask({"voltage": "x"}).asked, STEP, time=1e-3)
    assert 0 < float(solved.value) < 1
    with pytest.raises(CircuitError, match="no single exponential"):
        solved.formula()


def test_a_gain_has_no_value_in_time() -> None:
    with pytest.raises(CircuitError, match="has no value in time"):
        in_time({"R1": R, "C1": C}, {"gain": {"from": "in", "to": "out"}})


def test_a_solved_step_gives_its_formula() -> None:
    network = read_network({"V1": voltage("in", "0", 1.0), "R1": R, "C1": C})
    solved = solve(network, read_circuit_ask({"voltage": "out"}).asked, STEP, time=2e-3)
    assert solved.formula().text() == "V1*(1 - exp(-t/(R1*C1)))"
    assert solved.value == pytest.approx(1 - math.exp(-1), rel=1e-14)
