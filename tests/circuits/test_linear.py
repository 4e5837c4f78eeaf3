"""Solving in numbers: what is returned, and that no answer is given where there is none."""

from __future__ import annotations

import math
import random
import time
from fractions import Fraction
from typing import Any

import pytest

from tests.circuits.networks import (
    Parts,
    amplifier,
    analysis_of,
    answer,
    capacitor,
    current,
    inductor,
    potentiometer,
    resistor,
    transconductance,
    transformer,
    voltage,
)
from tutor.circuits.analysis import AC, DC
from tutor.circuits.asked import Current, Power, Voltage, read_circuit_ask
from tutor.circuits.errors import CircuitError, SingularCircuitError
from tutor.circuits.linear import Solved, solve, symbol_values
from tutor.circuits.network import read_network

DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}
SINE = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "C1": capacitor("out", "0", 1e-6)}


def solved(parts: Parts, ask: dict[str, Any], frequency: float | None = None) -> Solved:
    return solve(read_network(parts), read_circuit_ask(ask).asked, analysis_of(frequency), frequency)


def test_a_dc_answer_is_a_signed_number_without_phase() -> None:
    found = solved(DIVIDER, {"current": "V1"})
    assert found.value == found.magnitude == pytest.approx(-3e-3, rel=1e-12)
    assert (found.phase, found.unit.symbol) == (None, "A")


def test_an_ac_answer_is_a_phasor_with_magnitude_and_phase() -> None:
    found = solved(SINE, {"voltage": "out"}, 159.15494309189535)
    assert isinstance(found.value, complex)
    assert found.magnitude == pytest.approx(9.0 / math.sqrt(2))
    assert found.phase == pytest.approx(-45.0)


def test_a_power_has_a_sign_and_no_phase_at_ac_too() -> None:
    found = solved(SINE, {"power": "V1"}, 50.0)
    assert found.magnitude < 0
    assert found.phase is None


@pytest.mark.parametrize("frequency", [None, 50.0])
def test_a_capacitor_takes_no_power(frequency: float | None) -> None:
    assert solved({**SINE, "R2": resistor("out", "0", 1e3)}, {"power": "C1"}, frequency).magnitude == pytest.approx(0)


def test_a_phase_lies_above_minus_180_degrees_and_not_beyond_180() -> None:
    for a, b, degrees in (("0", "in", 180.0), ("in", "0", 0.0)):
        assert (
            solved({"V1": voltage(a, b, 1.0), "R1": resistor("in", "0", 1.0)}, {"voltage": "in"}, 50.0).phase == degrees
        )
    assert Solved(complex(-1.0, -1e-18), Voltage("a").unit, solved(DIVIDER, {"voltage": "in"}).problem).phase == 180.0


def test_nothing_has_no_sign_and_no_phase() -> None:
    dead = {"V1": voltage("in", "0", 0.0), "R1": resistor("in", "out", 1.0), "R2": resistor("out", "0", 1.0)}
    still = solved(dead, {"current": "V1"})
    assert math.copysign(1.0, still.magnitude) == 1.0
    assert solved(dead, {"voltage": "out"}, 50.0).phase == 0.0


def test_taking_a_figure_gives_a_real_number_with_its_unit() -> None:
    found = solved(SINE, {"voltage": "out"}, 159.15494309189535)
    assert found.taken("imaginary").value == pytest.approx(-4.5)
    assert found.taken("phase").unit.symbol == "°"
    assert found.taken(None) is found
    below = solved(DIVIDER, {"current": "V1"})
    assert (below.taken("magnitude").value, below.taken("phase").value) == (-below.value, 180.0)


# -- circuits without a solution ---------------------------------------------------------------------------------------
def unsolved(place: str, analysis: str = "dc") -> str:
    return f"the circuit has no unique solution at {analysis}: {place} stays undetermined (for these values)"


SINGULAR = [
    ("a gain of one that holds its own input",
     {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "a", 1e3), "R2": resistor("b", "0", 1e3),
      "E1": amplifier("a", "b", ("a", "b"), 1.0)}, {"voltage": "a"}, None, unsolved("the current of E1")),
    ("a slope that cancels the load",
     {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "a", 2e3), "R2": resistor("a", "0", 2e3),
      "G1": transconductance("0", "a", ("a", "0"), 1e-3)}, {"voltage": "a"}, None, unsolved("the voltage of node 'a'")),
    ("a slope that cancels the load but for a rounding",
     {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "a", 3e3), "R2": resistor("a", "0", 7e3),
      "G1": transconductance("0", "a", ("a", "0"), 1 / 3e3 + 1 / 7e3)}, {"voltage": "a"}, None, unsolved("what is asked")),
    ("a source on a coil and a capacitor in resonance",
     {"V1": voltage("in", "0", 1.0), "L1": inductor("in", "a", 0.5), "C1": capacitor("a", "0", 2e-6)}, {"voltage": "a"},
     1 / (2 * math.pi * 1e-3), unsolved("what is asked", "ac")),
    ("an oscillator on the spot",
     {"R1": resistor("out", "a", 1e4), "C1": capacitor("a", "b", 1e-8), "R2": resistor("b", "0", 1e4),
      "C2": capacitor("b", "0", 1e-8), "E1": amplifier("out", "0", ("b", "0"), 3.0), "I1": current("0", "b", 1e-6)},
     {"voltage": "out"}, 1 / (2 * math.pi * 1e-4), unsolved("the current of E1", "ac")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "parts", "ask", "frequency", "message"), SINGULAR, ids=[row[0] for row in SINGULAR])
def test_a_circuit_without_a_solution_is_no_huge_number(
    name: str, parts: Parts, ask: dict[str, Any], frequency: float | None, message: str
) -> None:
    with pytest.raises(SingularCircuitError) as caught:
        solved(parts, ask, frequency)
    assert str(caught.value) == message


def test_a_circuit_without_a_solution_whatever_the_values_names_what_stays_open() -> None:
    parts = {
        "V1": voltage("a", "0", 1.0),
        "T1": transformer({"primary": ("a", "0", 2.0), "secondary": ("b", "0", 1.0)}),
        "E1": amplifier("b", "0", ("a", "0"), 0.5),
    }
    with pytest.raises(SingularCircuitError) as caught:
        solved(parts, {"voltage": "b"})
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: the current of T1 (secondary) stays undetermined"
    )
    assert (caught.value.place, caught.value.analysis) == ("the current of T1 (secondary)", "dc")


def test_values_beyond_every_bound_are_told() -> None:
    parts = {"V1": voltage("a", "0", 1e280), "R1": resistor("a", "0", 1e-280)}
    with pytest.raises(SingularCircuitError) as caught:
        solved(parts, {"current": "R1"})
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: what is asked stays undetermined (it grows beyond every bound)"
    )


# -- circuits that rounding could spoil --------------------------------------------------------------------------------
def test_a_balanced_bridge_gives_nought_and_not_a_last_bit() -> None:
    parts = {
        "V1": voltage("top", "0", 9.7),
        "R1": resistor("top", "a", 123.4),
        "R2": resistor("a", "0", 370.2),
        "R3": resistor("top", "b", 0.7),
        "R4": resistor("b", "0", 2.1),
    }
    assert answer(parts, {"voltage": ["a", "b"]}) == 0.0


@pytest.mark.parametrize(
    "arms", [(1430.1, 8488.7, 4290.3, 25466.10000254661), (351.9, 5459.4, 4574.7, 70972.20000070972)]
)
def test_a_bridge_out_of_balance_by_a_hair_keeps_its_figures(arms: tuple[float, ...]) -> None:
    """Program and LAPACK begin with the same rounded reciprocals, and agree on what these have spoilt."""
    r1, r2, r3, r4 = arms
    parts = {
        "V1": voltage("top", "0", 9.7),
        "R1": resistor("top", "a", r1),
        "R2": resistor("a", "0", r2),
        "R3": resistor("top", "b", r3),
        "R4": resistor("b", "0", r4),
    }
    e1, e2, e3, e4, v = (Fraction(repr(value)) for value in (*arms, 9.7))
    expected = float(v * (e2 / (e1 + e2) - e4 / (e3 + e4)))
    assert answer(parts, {"voltage": ["a", "b"]}).real == pytest.approx(expected, rel=1e-12)


def test_an_ohm_on_top_of_a_teraohm_keeps_its_figures() -> None:
    parts = {
        "I1": current("0", "a", 1e-9),
        "R1": resistor("a", "b", 1.0),
        "R2": resistor("b", "0", 1e12),
        "R3": resistor("a", "c", 1e-3),
        "R4": resistor("c", "0", 3e12),
    }
    assert answer(parts, {"voltage": "a"}).real == pytest.approx(1e-9 / (1 / (1e12 + 1) + 1 / (3e12 + 1e-3)), rel=1e-12)
    assert answer(parts, {"current": "R1"}).real == pytest.approx(1e-9 * (3e12 + 1e-3) / (4e12 + 1.001), rel=1e-12)


def test_a_very_high_gain_keeps_its_figures() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "E1": amplifier("out", "0", ("in", "fb"), 1e12),
        "R1": resistor("out", "fb", 9e3),
        "R2": resistor("fb", "0", 1e3),
    }
    assert answer(parts, {"voltage": "out"}).real == pytest.approx(10.0 / (1 + 1e-11), rel=1e-12)


@pytest.mark.parametrize("turn", [0.0, 1e-9, 0.5, 1.0])
@pytest.mark.parametrize("wiper", ["top", "foot", "wiper"])
def test_a_control_at_its_ends_and_as_a_rheostat_is_no_division_by_zero(turn: float, wiper: str) -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "top", 1e3),
        "P1": potentiometer("top", wiper, "foot", 1e4, turn),
        "R2": resistor("foot", "0", 1e3),
    }
    track = {"top": 1e4 * turn, "foot": 1e4 * (1 - turn), "wiper": 1e4}[wiper]
    assert answer(parts, {"current": "R1"}).real == pytest.approx(1 / (2e3 + track))


# -- size --------------------------------------------------------------------------------------------------------------
def grid(nodes: int, frequency: float | None) -> Parts:
    """A chain with random bridges across it: 200 nodes and some 400 parts."""
    lots = random.Random(7)
    parts: Parts = {"V1": voltage("n0", "0", 1.0)}
    for n in range(1, nodes):
        parts[f"R{n}"] = resistor(f"n{n}", f"n{n - 1}", lots.uniform(1e2, 1e4))
    for n in range(1, nodes - 3):
        other = f"n{lots.randrange(max(0, n - 6), n)}" if n % 5 else "0"
        bridge = capacitor(f"n{n}", other, 1e-9) if frequency and n % 3 == 0 else resistor(f"n{n}", other, 2e3)
        parts[f"S{n}"] = bridge
    return parts


@pytest.mark.parametrize("frequency", [None, 1e3])
def test_a_circuit_of_200_nodes_is_solved_within_two_seconds(frequency: float | None) -> None:
    network = read_network(grid(200, frequency))
    assert len(network.nodes) == 201
    began = time.perf_counter()
    found = solve(network, Voltage("n150"), analysis_of(frequency), frequency)
    assert time.perf_counter() - began < 2
    assert 0 < found.magnitude < 1


def test_a_large_circuit_without_a_solution_is_found_out_too() -> None:
    parts = grid(200, None)
    parts |= {
        "RX": resistor("x", "n9", 2e3),
        "RY": resistor("x", "0", 2e3),
        "G1": transconductance("0", "x", ("x", "n9"), 0.0),
    }
    parts["G1"]["value"] = "1 mA/V"
    parts["G1"]["control"] = ["x", "0"]
    parts["RX"]["nodes"] = ["x", "n0"]
    began = time.perf_counter()
    with pytest.raises(SingularCircuitError):
        solve(read_network(parts), Voltage("x"), DC)
    assert time.perf_counter() - began < 2


# -- smaller things ----------------------------------------------------------------------------------------------------
def test_an_ac_analysis_wants_a_frequency_above_nothing() -> None:
    network = read_network(SINE)
    for frequency, message in (
        (None, "an ac analysis wants a frequency; write `frequency: 50 Hz`"),
        (0.0, "the frequency is 0 Hz; it must be more than nothing (ask dc instead)"),
    ):
        with pytest.raises(CircuitError) as caught:
            solve(network, Voltage("out"), AC, frequency)
        assert str(caught.value) == message


def test_a_frequency_does_not_matter_at_dc() -> None:
    assert solve(read_network(DIVIDER), Voltage("out"), DC, 50.0).value == pytest.approx(6.0)


def test_symbols_worked_out_from_others_are_among_the_values() -> None:
    network = read_network({"V1": voltage("a", "0", 2.0, 90.0), "R1": resistor("a", "0", 1.0)})
    values = symbol_values(network, network.values(), 50.0)
    assert values["turn_V1"] == pytest.approx(1j)
    assert values["s"] == pytest.approx(314.1592653589793j)


def test_the_sign_of_a_current_source_goes_with_its_own_nodes() -> None:
    parts = {"I1": current("0", "a", 2e-3), "R1": resistor("a", "0", 1e3)}
    assert answer(parts, {"voltage": "a"}).real == pytest.approx(2.0)
    network = read_network(parts)
    assert solve(network, Current("I1"), DC).value == pytest.approx(2e-3)
    assert solve(network, Power("I1"), DC).value == pytest.approx(-4e-3)
