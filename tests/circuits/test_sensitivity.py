"""Sensitivities: against the textbook's, against what a small step shows, and their sums over a whole circuit."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import (
    AC_KINDS,
    DC_KINDS,
    Parts,
    RandomCircuit,
    analysis_of,
    capacitor,
    coupling,
    inductor,
    potentiometer,
    resistor,
    voltage,
)
from tutor.circuits.analysis import AC, DC, STEP
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError, NodeError
from tutor.circuits.expressions import evaluate, read_expression
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import read_network
from tutor.circuits.numeric import estimate, solve_numerically
from tutor.circuits.problem import pose
from tutor.circuits.sensitivity import sensitivity, sensitivity_text

DIVIDER: Parts = {"V1": voltage("in", "0", 12.0), "R1": resistor("in", "tap", 2e3), "R2": resistor("tap", "0", 1e3)}


def asked(ask: dict[str, Any]) -> Any:
    return read_circuit_ask(ask).asked


def test_a_divider_moves_as_the_textbook_says() -> None:
    """The relative sensitivity to the upper resistor is −R1/(R1 + R2)."""
    network = read_network(DIVIDER)
    found = sensitivity(network, asked({"voltage": "tap"}), "R1", DC)
    assert found.value == pytest.approx(4.0)
    assert found.slope == pytest.approx(-12 * 1e3 / 9e6)
    assert found.relative == pytest.approx(-2 / 3)
    assert found.is_exact
    text = sensitivity_text(network, asked({"voltage": "tap"}), "R1", DC)
    assert text == "-V1*R2/(R1**2 + 2*R1*R2 + R2**2)"


@pytest.mark.parametrize(("symbol", "relative"), [("R1", -0.5), ("C1", -0.5), ("frequency", -0.5)])
def test_at_its_corner_a_low_pass_loses_half_a_per_cent_for_one(symbol: str, relative: float) -> None:
    parts = {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 1e3), "C1": capacitor("out", "0", 1e-6)}
    corner = 1 / (2 * math.pi * 1e-3)
    found = sensitivity(read_network(parts), asked({"voltage": "out"}), symbol, AC, corner)
    assert found.relative == pytest.approx(relative, rel=1e-12)
    assert found.degrees * found.at == pytest.approx(-math.degrees(0.5), rel=1e-12)
    assert found.decibels * found.at == pytest.approx(-10 / math.log(10), rel=1e-12)


@given(st.integers(0, 10**6), st.one_of(st.none(), st.floats(20.0, 20e3)), st.data())
@settings(max_examples=40, deadline=None)
def test_a_slope_is_what_a_small_step_shows(seed: int, frequency: float | None, data: st.DataObject) -> None:
    circuit = RandomCircuit(seed, DC_KINDS if frequency is None else AC_KINDS, nodes=3, extra=5).with_source()
    parts = {**circuit.parts, "P9": potentiometer(circuit.named[0], "w9", "0", 1e5, 0.4, law="log")}
    network = read_network(parts)
    values, analysis = network.values(), analysis_of(frequency)
    symbol = data.draw(st.sampled_from(sorted(values)))
    ask = data.draw(st.sampled_from([{"voltage": circuit.named[-1]}, {"voltage": "w9"}, {"power": "P9"}]))
    found = sensitivity(network, asked(ask), symbol, analysis, frequency)
    problem = pose(network, asked(ask), analysis)
    step = 1e-4 * (abs(values[symbol]) or 1.0)

    def ends(step: float) -> complex:
        moved = [{**values, symbol: values[symbol] + way * step} for way in (1, -1)]
        up, down = (complex(solve_numerically(problem, symbol_values(network, one, frequency))[0]) for one in moved)
        return (up - down) / (2 * step)

    expected = (4 * ends(step) - ends(2 * step)) / 3
    rounding = 1e-13 * estimate(problem, symbol_values(network, values, frequency)).scale / step
    assert abs(complex(found.slope) - expected) <= 1e-6 * abs(expected) + rounding


@given(st.integers(0, 10**6))
@settings(max_examples=25, deadline=None)
def test_an_impedance_scales_with_all_of_its_impedances(seed: int) -> None:
    """Euler: of a function of the first degree in its resistances, the relative sensitivities add up to one."""
    circuit = RandomCircuit(seed, ("resistor", "meter"), nodes=4, extra=4)
    network = read_network(circuit.parts)
    ask = asked({"impedance": circuit.named[0]})
    total = sum(sensitivity(network, ask, symbol, DC).relative for symbol in network.values())
    assert total == pytest.approx(1.0, rel=1e-10)


@pytest.mark.parametrize(
    ("parts", "ask", "symbol"),
    [
        (DIVIDER, {"power": "R2"}, "R2"),
        (DIVIDER, {"impedance": "tap"}, "R2"),
        ({**DIVIDER, "C1": capacitor("tap", "0", 1e-6)}, {"time constant": "C1"}, "R1"),
        ({**DIVIDER, "C1": capacitor("tap", "0", 1e-6)}, {"time constant": "C1"}, "C1"),
        ({"R1": resistor("a", "0", 50.0), "L1": inductor("a", "0", 2.0)}, {"time constant": "L1"}, "R1"),
        ({"R1": resistor("a", "0", 50.0), "L1": inductor("a", "0", 2.0)}, {"time constant": "L1"}, "L1"),
        ({"V1": voltage("in", "0", 3.0), "P1": potentiometer("in", "w", "0", 1e5, 0.3, law="log")}, {"voltage": "w"}, "turn_P1"),
    ],
)  # fmt: skip
def test_formula_and_numbers_agree(parts: Parts, ask: dict[str, Any], symbol: str) -> None:
    network = read_network(parts)
    found = sensitivity(network, asked(ask), symbol, DC)
    text = sensitivity_text(network, asked(ask), symbol, DC)
    values = symbol_values(network, network.values(), None)
    assert evaluate(read_expression(text), values) == pytest.approx(found.slope, rel=1e-12)


def test_a_coupling_moves_a_gain_through_its_mutual_inductance() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0), "L1": inductor("in", "0", 1.0), "L2": inductor("out", "0", 4.0),
        "K1": coupling("L1", "L2", 0.5), "RL": resistor("out", "0", 1e9),
    }  # fmt: skip
    found = sensitivity(read_network(parts), asked({"voltage": "out"}), "K1", AC, 50.0)
    assert found.slope == pytest.approx(2.0, rel=1e-5)  # V2/V1 = k·√(L2/L1) unloaded
    assert "sqrt" in sensitivity_text(read_network(parts), asked({"voltage": "out"}), "K1", AC)


def test_a_step_of_one_store_is_derived_by_its_exponential() -> None:
    parts = {"V1": voltage("in", "0", 10.0), "R1": resistor("in", "out", 2e3), "C1": capacitor("out", "0", 1e-6)}
    network = read_network(parts)
    found = sensitivity(network, asked({"voltage": "out"}), "C1", STEP, time=1e-3)
    # v = V·(1 − e^(−t/RC)): dv/dC = −V·t/(R·C²)·e^(−t/RC).
    assert found.slope == pytest.approx(-10 * 1e-3 / (2e3 * 1e-12) * math.exp(-0.5), rel=1e-12)
    assert found.is_exact
    text = sensitivity_text(network, asked({"voltage": "out"}), "C1", STEP)
    assert evaluate(read_expression(text), network.values() | {"t": 1e-3}) == pytest.approx(found.slope, rel=1e-12)


def test_a_step_of_two_stores_is_derived_by_a_difference_and_says_so() -> None:
    parts = {
        "V1": voltage("in", "0", 10.0), "R1": resistor("in", "x", 1e3), "L1": inductor("x", "out", 1.0),
        "C1": capacitor("out", "0", 1e-6),
    }  # fmt: skip
    found = sensitivity(read_network(parts), asked({"voltage": "out"}), "V1", STEP, time=1e-3)
    assert not found.is_exact
    assert found.relative == pytest.approx(1.0, rel=1e-9)


def test_what_cannot_be_said_is_named() -> None:
    network = read_network(DIVIDER)
    with pytest.raises(NodeError, match="'R9'"):
        sensitivity(network, asked({"voltage": "tap"}), "R9", DC)
    with pytest.raises(NodeError, match="'frequency'"):
        sensitivity(network, asked({"voltage": "tap"}), "frequency", DC)
    dead = read_network({**DIVIDER, "V1": voltage("in", "0", 0.0)})
    found = sensitivity(dead, asked({"voltage": "tap"}), "V1", DC)
    assert found.slope == pytest.approx(1 / 3)
    with pytest.raises(CircuitError, match="there are no per cent of it"):
        _ = found.relative
    assert sensitivity_text(network, asked({"impedance": "tap"}), "V1", DC) == "0"
