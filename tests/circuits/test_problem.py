from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.networks import (
    answer,
    capacitor,
    coupling,
    current,
    current_amplifier,
    inductor,
    potentiometer,
    resistor,
    transformer,
    triode,
    voltage,
)
from tutor.circuits.analysis import DC
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError, FloatingNodeError, NodeError, PartError
from tutor.circuits.network import read_network
from tutor.circuits.problem import pose

DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}


def test_a_gain_takes_the_source_that_stands_there_and_its_sign() -> None:
    ask = {"gain": {"from": "in", "to": "out"}}
    assert answer(DIVIDER, ask).real == pytest.approx(2 / 3)
    assert answer({**DIVIDER, "V1": voltage("0", "in", 9.0)}, ask).real == pytest.approx(2 / 3)


def test_a_gain_brings_its_own_source_where_none_stands_and_all_others_are_dead() -> None:
    parts = {**DIVIDER, "R3": resistor("out", "far", 1e3), "R4": resistor("far", "0", 1e3)}
    assert answer(parts, {"gain": {"from": "out", "to": "far"}}).real == pytest.approx(0.5)
    assert answer(parts, {"gain": {"from": "out", "to": "in"}}) == 0


def test_a_gain_between_pairs_counts_both_ends() -> None:
    assert answer(DIVIDER, {"gain": {"from": ["in", "0"], "to": ["in", "out"]}}).real == pytest.approx(1 / 3)
    assert answer(DIVIDER, {"gain": {"from": ["0", "in"], "to": "out"}}).real == pytest.approx(-2 / 3)


def test_an_impedance_is_seen_with_sources_dead() -> None:
    parts = {**DIVIDER, "I1": current("0", "out", 5.0)}
    assert answer(parts, {"impedance": "out"}).real == pytest.approx(1e3 * 2e3 / 3e3)
    assert answer(parts, {"impedance": "in"}) == 0


def test_a_time_constant_sees_the_circuit_from_its_capacitor() -> None:
    parts = {**DIVIDER, "C1": capacitor("out", "in", 1e-6)}
    assert answer(parts, {"time constant": "C1"}).real == pytest.approx(2 / 3e-3 * 1e-6)
    assert answer({**DIVIDER, "C1": capacitor("out", "0", 1e-6)}, {"time constant": "C1"}).real == pytest.approx(
        2e-3 / 3
    )
    assert answer({**DIVIDER, "C1": capacitor("in", "0", 1e-6)}, {"time constant": "C1"}) == 0


def test_a_time_constant_minds_what_the_capacitors_own_current_controls() -> None:
    parts = {
        "R1": resistor("a", "0", 1e3),
        "C1": capacitor("a", "0", 1e-6),
        "F1": current_amplifier("0", "a", "C1", 0.5),
    }
    # i = C·u′ leaves the node, half of it is sent back: the resistor sees half the capacitance.
    assert answer(parts, {"time constant": "C1"}).real == pytest.approx(1e3 * 0.5e-6)


def test_windings_carry_currents_of_their_own() -> None:
    windings = {"primary": ("a", "0", 10.0), "secondary": ("b", "0", 1.0)}
    parts = {"V1": voltage("a", "0", 10.0), "T1": transformer(windings), "R1": resistor("b", "0", 5.0)}
    assert answer(parts, {"current": "T1.secondary"}, 50.0) == pytest.approx(-0.2)
    assert answer(parts, {"current": "T1.primary"}, 50.0) == pytest.approx(0.02)
    assert answer(parts, {"current": "T1"}, 50.0) == pytest.approx(0.02)
    assert answer(parts, {"power": "T1"}, 50.0) == pytest.approx(0.0)


def test_the_power_of_a_potentiometer_is_that_of_both_sections() -> None:
    parts = {
        "V1": voltage("a", "0", 10.0),
        "P1": potentiometer("a", "w", "0", 1e3, 0.25),
        "R1": resistor("w", "0", 1e3),
    }
    lower = 1 / (1 / 250 + 1 / 1000)
    i = 10 / (750 + lower)
    assert answer(parts, {"current": "P1"}).real == pytest.approx(i)
    assert answer(parts, {"power": "P1"}).real == pytest.approx(i**2 * 750 + (i * lower) ** 2 / 250)


def test_a_capacitor_carries_nothing_at_dc() -> None:
    parts = {**DIVIDER, "C1": capacitor("out", "0", 1e-6)}
    for ask in ("current", "power"):
        problem = pose(read_network(parts), read_circuit_ask({ask: "C1"}).asked, DC)
        assert problem.is_power == (ask == "power")
        assert answer(parts, {ask: "C1"}) == 0


COILS = {"L1": inductor("a", "0", 1.0), "L2": inductor("b", "0", 1.0), "K1": coupling("L1", "L2", 0.5),
         "R1": resistor("a", "0", 1.0), "R2": resistor("b", "0", 1.0)}  # fmt: skip
TRANSFORMER = {"T1": transformer({"primary": ("a", "0", 1.0), "secondary": ("b", "0", 1.0)}),
               "R1": resistor("a", "0", 1.0), "R2": resistor("b", "0", 1.0)}  # fmt: skip

REFUSED = [
    (DIVIDER, {"voltage": "tap"}, NodeError, "the circuit has no node 'tap'; it has in, 0, out"),
    (DIVIDER, {"voltage": ["out", "inn"]}, NodeError, "the circuit has no node 'inn'; did you mean in?; it has in, 0, out"),
    (DIVIDER, {"impedance": ["out", "tap"]}, NodeError, "the circuit has no node 'tap'; it has in, 0, out"),
    (DIVIDER, {"gain": {"from": "in", "to": "tap"}}, NodeError, "the circuit has no node 'tap'; it has in, 0, out"),
    (DIVIDER, {"current": "R9"}, NodeError, "the circuit has no part 'R9'; it has V1, R1, R2"),
    (DIVIDER, {"power": "R9"}, NodeError, "the circuit has no part 'R9'; it has V1, R1, R2"),
    (DIVIDER, {"time constant": "C9"}, NodeError, "the circuit has no part 'C9'; it has V1, R1, R2"),
    (DIVIDER, {"current": "R1.upper"}, PartError, "part R1: a resistor has no winding 'upper'"),
    (COILS, {"current": "L1.upper"}, PartError, "part L1: an inductor has no winding 'upper'"),
    (TRANSFORMER, {"current": "T1.tertiary"}, NodeError,
     "the circuit has no winding of T1 'tertiary'; did you mean primary?; it has primary, secondary"),
    (COILS, {"current": "K1"}, PartError, "part K1: a coupling carries no current; ask for that of a coil"),
    (COILS, {"power": "K1"}, PartError, "part K1: a coupling takes no power; ask for that of a coil"),
    (COILS, {"time constant": "K1"}, PartError,
     "part K1: a coupling has no time constant; ask for that of a capacitor or an inductor"),
    (COILS, {"time constant": "L1"}, CircuitError,
     "time constant of L1: L2 stores energy too, so that there is no single time constant; leave only L1 in the circuit"),
    ({**DIVIDER, "C1": capacitor("out", "0", 1e-6), "C2": capacitor("in", "0", 1e-6), "C3": capacitor("in", "out", 1e-6)},
     {"time constant": "C1"}, CircuitError,
     "time constant of C1: C2, C3 store energy too, so that there is no single time constant; leave only C1 in the "
     "circuit"),
    ({**DIVIDER, "C1": capacitor("out", "x", 1e-6)}, {"time constant": "C1"}, FloatingNodeError,
     "floating node 'x': at dc nothing but C1 touches it and no path leads from it to node '0'; give it a path, or ask at "
     "another analysis"),
    (DIVIDER, {"impedance": ["in", "in"]}, CircuitError, "impedance: 'in' and 'in' are the same node"),
    (DIVIDER, {"gain": {"from": "0", "to": "in"}}, CircuitError,
     "gain: from '0' to '0' there is no voltage to compare with"),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "ask", "kind", "message"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_asked_is_told(parts: Any, ask: dict[str, Any], kind: type[CircuitError], message: str) -> None:
    with pytest.raises(kind) as caught:
        pose(read_network(parts), read_circuit_ask(ask).asked, DC)
    assert str(caught.value) == message


def test_the_current_of_a_valve_is_its_anodes() -> None:
    parts = {"V1": voltage("g", "0", 1.0), "X1": triode("a", "g", "0", 20.0, 1e4), "R1": resistor("a", "0", 1e4)}
    assert answer(parts, {"current": "X1"}).real == pytest.approx(20.0 / 2e4)
    assert answer(parts, {"voltage": "a"}).real == pytest.approx(-10.0)


@pytest.mark.parametrize("given", [("mu", "ra"), ("mu", "gm"), ("gm", "ra")])
def test_any_two_figures_of_a_valve_make_the_third(given: tuple[str, str]) -> None:
    figures = {"mu": "100", "ra": "62.5 kΩ", "gm": "1.6 mA/V"}
    valve = {"kind": "triode", "nodes": {"anode": "a", "grid": "g", "cathode": "0"}, **{k: figures[k] for k in given}}
    parts = {"V1": voltage("g", "0", 1.0), "X1": valve, "R1": resistor("a", "0", 100e3)}
    assert answer(parts, {"voltage": "a"}).real == pytest.approx(-100 * 100e3 / 162.5e3)
    assert answer(parts, {"impedance": "a"}).real == pytest.approx(62.5e3 * 100e3 / 162.5e3)
