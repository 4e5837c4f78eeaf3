"""Corner frequencies as they are asked: against the formulas of the trade, and the poles and zeros of the response."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.circuits.networks import (
    Parts,
    amplifier,
    answer,
    capacitor,
    inductor,
    potentiometer,
    resistor,
    triode,
    voltage,
)
from tests.circuits.test_transfer import values_of
from tutor.circuits.analysis import AC, DC
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError, NodeError, PartError, SingularCircuitError
from tutor.circuits.linear import Solved, solve
from tutor.circuits.network import read_network
from tutor.circuits.sensitivity import sensitivity
from tutor.circuits.transfer import transfer_of

STAGE: Parts = {
    "Vs": voltage("in", "0", 1.0), "V1": triode("anode", "in", "cathode", 100.0, 62.5e3),
    "Ra": resistor("anode", "0", 1e5), "Rk": resistor("cathode", "0", 1500.0), "Ck": capacitor("cathode", "0", 25e-6),
}  # fmt: skip
SHELF: Parts = {"R1": resistor("in", "out", 9e3), "R2": resistor("out", "x", 1e3), "C1": capacitor("x", "0", 1e-7)}


def found(parts: Parts, corner: Any) -> Solved:
    return solve(read_network(parts), read_circuit_ask({"corner frequency": corner}).asked, AC, 1e3)


def zero(part: str, start: Any, end: Any, **more: Any) -> dict[str, Any]:
    return {"part": part, "kind": "zero", "from": start, "to": end, **more}


@pytest.mark.parametrize(
    ("parts", "corner", "text", "value"),
    [
        (STAGE, "Ck", "(ra_V1 + Ra + Rk + mu_V1*Rk)/(2*pi*ra_V1*Rk*Ck + 2*pi*Ra*Rk*Ck)", 8.20097),
        (STAGE, zero("Ck", "in", "anode"), "1/(2*pi*Rk*Ck)", 4.24413),
        (SHELF, {"part": "C1", "from": "in"}, "1/(2*pi*R1*C1 + 2*pi*R2*C1)", 1 / (2 * math.pi * 1e-3)),
        (SHELF, zero("C1", "in", "out"), "1/(2*pi*R2*C1)", 1 / (2 * math.pi * 1e-4)),
        (
            {"R1": resistor("in", "out", 1e3), "L1": inductor("out", "0", 2.0), "R2": resistor("out", "0", 3e3)},
            {"part": "L1", "from": "in"}, "R1*R2/(2*pi*R1*L1 + 2*pi*L1*R2)", 750 / (4 * math.pi),
        ),
    ],
)  # fmt: skip
def test_a_corner_has_its_formula_and_its_value(parts: Parts, corner: Any, text: str, value: float) -> None:
    """The stage's figures are those of Langford-Smith, Radiotron Designer's Handbook, 4th ed. (1953), p. 484."""
    solved = found(parts, corner)
    assert solved.value == pytest.approx(value, rel=2e-6)
    assert solved.unit.symbol == "Hz"
    assert solved.formula().text() == text
    assert solved.formula().value(read_network(parts).values()) == pytest.approx(solved.value, rel=1e-14)


def test_pole_and_zero_are_those_of_the_transfer_function() -> None:
    network = read_network(STAGE)
    transfer = transfer_of(network, ("in", "0"), ("anode", "0"))
    poles, zeros = (
        roots[0] / (-2 * math.pi) for roots in (transfer.poles(values_of(network)), transfer.zeros(values_of(network)))
    )
    assert found(STAGE, "Ck").value == pytest.approx(poles[0].real, rel=1e-12)
    assert found(STAGE, zero("Ck", "in", "anode")).value == pytest.approx(zeros[0].real, rel=1e-12)


def test_other_stores_are_taken_as_is_said_of_them() -> None:
    parts = {
        **SHELF, "Rs": resistor("s", "in", 5e3), "V1": voltage("s", "0", 1.0), "C2": capacitor("out", "0", 1e-12),
        "C3": capacitor("in", "0", 1e-3),
    }  # fmt: skip
    with pytest.raises(CircuitError, match="C2, C3 store energy too"):
        found(parts, "C1")
    shorted = found(parts, {"part": "C1", "open": "C2", "short": "C3"}).value
    assert shorted == pytest.approx(1 / (2 * math.pi * 1e-3), rel=1e-12)
    opened = found(parts, {"part": "C1", "open": ["C2", "C3"]}).value
    assert opened == pytest.approx(1 / (2 * math.pi * 1.5e-3), rel=1e-12)


def test_a_coil_may_be_open_too() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 1e3), "L1": inductor("out", "x", 5.0),
        "R2": resistor("x", "0", 1e3), "C1": capacitor("out", "0", 1e-7),
    }  # fmt: skip
    assert found(parts, {"part": "C1", "open": "L1"}).value == pytest.approx(1 / (2 * math.pi * 1e-4), rel=1e-12)
    assert found(parts, {"part": "C1", "short": "L1"}).value == pytest.approx(2 / (2 * math.pi * 1e-4), rel=1e-12)


def test_a_zero_inside_a_loop_of_feedback_is_the_pole_of_what_is_fed_back() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0), "A1": amplifier("out", "0", ("in", "fed"), 200.0),
        "Rf": resistor("out", "fed", 22e3), "Rk": resistor("fed", "0", 1e3), "C1": capacitor("fed", "0", 33e-9),
    }  # fmt: skip
    seen = 1 / (1 / 22e3 + 1 / 1e3)
    assert found(parts, zero("C1", "in", "out")).value == pytest.approx(1 / (2 * math.pi * seen * 33e-9), rel=1e-12)


def test_3_db_down_is_the_corner_of_a_single_pole() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "P1": potentiometer("in", "w", "0", 1e5, 0.3),
        "C1": capacitor("w", "0", 1e-9),
    }
    corner = found(parts, "C1").value
    assert isinstance(corner, float)
    level = abs(answer(parts, {"voltage": "w"}, corner)) / abs(answer(parts, {"voltage": "w"}))
    assert level == pytest.approx(1 / math.sqrt(2), rel=1e-12)


@pytest.mark.parametrize(("symbol", "relative"), [("R2", -0.1), ("C1", -1.0), ("R1", -0.9)])
def test_a_corner_moves_against_its_time_constant(symbol: str, relative: float) -> None:
    asked = read_circuit_ask({"corner frequency": {"part": "C1", "from": "in"}}).asked
    assert sensitivity(read_network(SHELF), asked, symbol, DC).relative == pytest.approx(relative)


@pytest.mark.parametrize(
    ("corner", "kind", "message"),
    [
        ("R1", PartError, "part R1: a resistor has no corner frequency; ask for that of a capacitor or an inductor"),
        ("C9", NodeError, "the circuit has no part 'C9'"),
        ({"part": "C1", "from": "nowhere"}, NodeError, "the circuit has no node 'nowhere'"),
        ({"part": "C1", "short": "R1"}, PartError, "part R1: a resistor has no corner frequency"),
        ({"part": "C1", "short": "C1"}, CircuitError, "corner frequency of C1: C1 cannot be short or open here as well"),
        (zero("C1", "in", "in"), CircuitError, "a zero wants two places"),
    ],
)  # fmt: skip
def test_what_is_no_corner_is_told(corner: Any, kind: type[CircuitError], message: str) -> None:
    with pytest.raises(kind, match=message):
        found(SHELF, corner)


def test_a_capacitor_across_a_stiff_source_has_no_corner() -> None:
    parts = {"V1": voltage("in", "0", 1.0), "C1": capacitor("in", "0", 1e-6), "R1": resistor("in", "0", 1e3)}
    with pytest.raises(SingularCircuitError, match="it sees no resistance"):
        found(parts, "C1")
