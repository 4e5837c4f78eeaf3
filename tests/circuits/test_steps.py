"""Step responses against their closed forms, and the laws that they obey."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import (
    Parts,
    RandomCircuit,
    amplifier,
    answer,
    capacitor,
    coupling,
    current,
    inductor,
    resistor,
    voltage,
)
from tutor.circuits.analysis import STEP
from tutor.circuits.asked import Current, Voltage, read_circuit_ask
from tutor.circuits.errors import CircuitError, FloatingNodeError, SingularCircuitError, SourceLoopError
from tutor.circuits.linear import solve
from tutor.circuits.network import read_network

CLOSE = 1e-10


def at(parts: Parts, ask: dict[str, Any], time: float) -> float:
    value = solve(read_network(parts), read_circuit_ask(ask).asked, STEP, time=time).value
    assert isinstance(value, float)
    return value


def low_pass(**more: Any) -> Parts:
    return {"V1": voltage("in", "0", 10.0), "R1": resistor("in", "out", 2e3), "C1": capacitor("out", "0", 1e-6, **more)}


TIMES = (0.0, 1e-5, 1e-3, 2e-3, 0.01, 1.0)


@pytest.mark.parametrize("time", TIMES)
def test_a_capacitor_charges_by_the_exponential(time: float) -> None:
    assert at(low_pass(), {"voltage": "out"}, time) == pytest.approx(10.0 * -math.expm1(-time / 2e-3), abs=1e-12)
    assert at(low_pass(), {"current": "R1"}, time) == pytest.approx(5e-3 * math.exp(-time / 2e-3), abs=1e-15)
    assert at(low_pass(), {"current": "C1"}, time) == pytest.approx(5e-3 * math.exp(-time / 2e-3), abs=1e-15)
    assert at(low_pass(), {"power": "R1"}, time) == pytest.approx(0.05 * math.exp(-2 * time / 2e-3), abs=1e-15)


@pytest.mark.parametrize("time", TIMES)
def test_a_charged_capacitor_begins_where_it_stood(time: float) -> None:
    parts = low_pass(initial="25 V")
    assert at(parts, {"voltage": "out"}, time) == pytest.approx(10.0 + 15.0 * math.exp(-time / 2e-3), abs=1e-12)


@pytest.mark.parametrize("time", TIMES)
def test_a_coil_takes_its_current_slowly(time: float) -> None:
    parts = {"V1": voltage("in", "0", 10.0), "R1": resistor("in", "a", 500.0), "L1": inductor("a", "0", 1.0)}
    assert at(parts, {"current": "L1"}, time) == pytest.approx(0.02 * -math.expm1(-time * 500), abs=1e-15)
    assert at(parts, {"voltage": "a"}, time) == pytest.approx(10.0 * math.exp(-time * 500), abs=1e-12)
    held = {**parts, "L1": inductor("a", "0", 1.0, initial="50 mA")}
    assert at(held, {"current": "L1"}, time) == pytest.approx(0.02 + 0.03 * math.exp(-time * 500), abs=1e-15)


@pytest.mark.parametrize("resistance", [1.0, 50.0, 199.9999, 200.0, 200.0001, 2e3, 1e6])
@pytest.mark.parametrize("time", [1e-4, 1e-2, 0.1, 1.0])
def test_a_series_circuit_rings_creeps_or_neither(resistance: float, time: float) -> None:
    """R, L and C in series: any text on transients; damping a = R/2L, natural frequency w = 1/√(LC)."""
    parts = {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", resistance),
        "L1": inductor("a", "b", 1.0),
        "C1": capacitor("b", "0", 1e-4),
    }
    a, w = resistance / 2, 100.0
    if a < w:
        d = math.sqrt(w * w - a * a)
        expected = 1 - math.exp(-a * time) * (math.cos(d * time) + a / d * math.sin(d * time))
    elif a == w:
        expected = 1 - math.exp(-a * time) * (1 + a * time)
    else:
        d = math.sqrt(a * a - w * w)
        fast, slow = -a - d, w * w / (-a - d)
        expected = 1 + (slow * math.exp(fast * time) - fast * math.exp(slow * time)) / (fast - slow)
    # Near the critical damping it is the closed form that loses figures.
    assert at(parts, {"voltage": "b"}, time) == pytest.approx(
        expected, rel=1e-9, abs=1e-9 if resistance < 1e4 else 1e-12
    )


def test_two_sections_have_the_poles_of_their_equation() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", 1e3),
        "C1": capacitor("a", "0", 1e-6),
        "R2": resistor("a", "b", 1e3),
        "C2": capacitor("b", "0", 1e-6),
    }
    # (τs)² + 3τs + 1 = 0 for equal sections: τs = (−3 ± √5)/2.
    fast, slow = (-3 - math.sqrt(5)) / 2e-3, (-3 + math.sqrt(5)) / 2e-3
    for time in (0.0, 1e-4, 1e-3, 1e-2):
        expected = 1 + (slow * math.exp(fast * time) - fast * math.exp(slow * time)) / (fast - slow)
        assert at(parts, {"voltage": "b"}, time) == pytest.approx(expected, abs=1e-12)


def test_capacitors_in_parallel_count_together() -> None:
    parts = {
        "V1": voltage("1", "0", 10.0),
        "C1": capacitor("1", "2", 47e-6),
        "C2": capacitor("2", "1", 22e-6),
        "R1": resistor("2", "0", 3.3e3),
    }
    decay = math.exp(-0.5 / (3.3e3 * 69e-6))
    assert at(parts, {"voltage": ["1", "2"]}, 0.5) == pytest.approx(10.0 * (1 - decay))
    assert at(parts, {"current": "C1"}, 0.5) == pytest.approx(10.0 / 3.3e3 * decay * 47 / 69)
    assert at(parts, {"current": "C2"}, 0.5) == pytest.approx(-10.0 / 3.3e3 * decay * 22 / 69)


def test_a_capacitor_across_the_source_takes_no_current_once_charged() -> None:
    parts = {**low_pass(), "C2": capacitor("in", "0", 1e-5)}
    assert at(parts, {"current": "C2"}, 1e-3) == 0.0
    assert at(parts, {"voltage": "out"}, 1e-3) == pytest.approx(10.0 * (1 - math.exp(-0.5)))


def test_a_divider_of_capacitors_shares_out_the_step_at_once() -> None:
    parts = {
        "V1": voltage("1", "0", 10.0),
        "C1": capacitor("1", "2", 1e-6),
        "C2": capacitor("2", "0", 3e-6),
        "R1": resistor("2", "0", 1e3),
    }
    assert at(parts, {"voltage": "2"}, 0.0) == pytest.approx(2.5)
    assert at(parts, {"voltage": "2"}, 4e-3) == pytest.approx(2.5 * math.exp(-1))
    assert at(parts, {"current": "C1"}, 0.0) == pytest.approx(1e-6 * 2.5 / 4e-3)


def test_charges_are_shared_when_capacitors_are_joined() -> None:
    parts = {
        "R1": resistor("a", "0", 1e6),
        "C1": capacitor("a", "0", 1e-6, initial="12 V"),
        "C2": capacitor("0", "a", 2e-6, initial="3 V"),
    }
    assert at(parts, {"voltage": "a"}, 0.0) == pytest.approx((12.0 * 1 - 3.0 * 2) / 3)


def test_coupled_coils_leave_by_their_leakage() -> None:
    """Two equal coils with the secondary shorted: the primary sees L(1 − k²)."""
    k, coil = 0.8, 2.0
    parts = {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", 1.0),
        "L1": inductor("a", "0", coil),
        "L2": inductor("b", "0", coil),
        "K1": coupling("L1", "L2", k),
        "R2": resistor("b", "0", 1e-9),
    }
    leakage = coil * (1 - k * k)
    assert at(parts, {"current": "L1"}, 0.3) == pytest.approx(-math.expm1(-0.3 / leakage), rel=1e-6)


def test_without_stores_a_step_is_dc() -> None:
    parts = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}
    assert at(parts, {"voltage": "out"}, 5e-3) == pytest.approx(6.0)


def test_a_source_that_tells_dc_from_ac_steps_by_its_dc_value() -> None:
    parts = low_pass()
    parts["V1"]["value"] = {"dc": "10 V", "ac": "1 V"}
    assert at(parts, {"voltage": "out"}, 1.0) == pytest.approx(10.0)


def rc_circuit(seed: int) -> Parts:
    return RandomCircuit(seed, ("resistor", "capacitor", "current", "voltage"), nodes=3, extra=6).with_source().parts


@given(st.integers(0, 10**6))
@settings(max_examples=25)
def test_after_long_enough_a_step_is_dc(seed: int) -> None:
    parts = {name: {k: v for k, v in part.items() if k != "phase"} for name, part in rc_circuit(seed).items()}
    for node in ("n1", "n2", "n3"):
        expected = answer(parts, {"voltage": node}).real
        assert at(parts, {"voltage": node}, 1e3) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(st.integers(0, 10**6), st.floats(1e-6, 1e-3))
@settings(max_examples=25)
def test_the_current_of_a_capacitor_is_the_growth_of_its_voltage(seed: int, time: float) -> None:
    parts = {**rc_circuit(seed), "CX": capacitor("n1", "n2", 1e-8)}
    network = read_network(parts)
    later, sooner = (float(solve(network, Voltage("n1", "n2"), STEP, time=time * f).value.real) for f in (1.001, 0.999))
    growth = (later - sooner) / (0.002 * time)
    flow = float(solve(network, Current("CX"), STEP, time=time).value.real)
    largest = max(abs(later), 1e-3) / time * 1e-8
    assert abs(flow - 1e-8 * growth) <= 1e-4 * max(abs(flow), largest)


@given(st.integers(0, 10**6), st.floats(1e-6, 1e-2))
@settings(max_examples=20)
def test_the_middle_of_a_step_may_be_the_start_of_another(seed: int, time: float) -> None:
    """Whatever a capacitor holds half-way is all that the rest hangs on."""
    parts = rc_circuit(seed)
    stores = [name for name, part in parts.items() if part["kind"] == "capacitor"]
    network = read_network(parts)
    held = {
        name: float(solve(network, Voltage(*parts[name]["nodes"]), STEP, time=time / 2).value.real) for name in stores
    }
    again = {name: {**part, "initial": f"{held[name]!r} V"} if name in held else part for name, part in parts.items()}
    expected = at(parts, {"voltage": "n2"}, time)
    assert at(again, {"voltage": "n2"}, time / 2) == pytest.approx(expected, rel=1e-8, abs=1e-8)


def test_a_circuit_without_loss_keeps_its_energy() -> None:
    parts = {
        "L1": inductor("a", "0", 2.0),
        "C1": capacitor("a", "0", 1e-6, initial="10 V"),
        "R1": resistor("a", "0", 1e15),
    }
    for time in np.linspace(0, 0.1, 7):
        volts, amperes = at(parts, {"voltage": "a"}, float(time)), at(parts, {"current": "L1"}, float(time))
        assert 1e-6 * volts**2 + 2.0 * amperes**2 == pytest.approx(1e-4)


REFUSED = [
    ({"V1": voltage("a", "0", 1.0), "E1": amplifier("b", "0", ("a", "0"), 2.0), "C1": capacitor("b", "0", 1e-6)},
     {"voltage": "b"}, SourceLoopError,
     "loop of voltage sources: at step E1, C1 close a loop in which each fixes its own voltage; put a resistor into the "
     "loop or take one of them out"),
    ({"V1": voltage("a", "0", 1.0), "L1": inductor("a", "b", 1.0), "L2": inductor("b", "0", 1.0)}, {"current": "L1"},
     FloatingNodeError,
     "floating node 'b': at step nothing but L1 and L2 touches it and no path leads from it to node '0'; give it a path, "
     "or ask at another analysis"),
    ({"R1": resistor("a", "0", 1.0), "R2": resistor("b", "0", 1.0), "L1": inductor("a", "0", 1.0),
      "L2": inductor("b", "0", 1.0), "K1": coupling("L1", "L2", 1.0), "I1": current("0", "a", 1.0)}, {"voltage": "a"},
     SingularCircuitError,
     "the circuit has no unique solution at step: the current of a coil stays undetermined (couplings of 1 or more)"),
    (low_pass(), {"gain": {"from": "in", "to": "out"}}, CircuitError,
     "the gain from in to out has no value in time; ask for a voltage, a current or a power at step"),
    ({"V1": voltage("n0", "0", 1.0), **{f"R{n}": resistor(f"n{n}", f"n{n + 1}", 1e3) for n in range(61)},
      **{f"C{n}": capacitor(f"n{n + 1}", "0", 1e-6) for n in range(61)}}, {"voltage": "n3"}, CircuitError,
     "61 capacitors and coils; 60 are the most at step"),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "ask", "kind", "message"), REFUSED, ids=range(len(REFUSED)))
def test_what_has_no_step_response_says_why(
    parts: Parts, ask: dict[str, Any], kind: type[CircuitError], message: str
) -> None:
    with pytest.raises(kind) as caught:
        at(parts, ask, 1e-3)
    assert str(caught.value) == message


def test_the_time_constant_is_the_same_at_step() -> None:
    assert at(low_pass(), {"time constant": "C1"}, 1.0) == pytest.approx(2e-3)
