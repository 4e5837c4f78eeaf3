"""Circuits whose answer is known in closed form, dc and ac, each beside the textbook formula that it must meet.

The formulas of valve stages are those of F. Langford-Smith, Radiotron Designer's Handbook, 4th ed. (1953), chapters 2, 7
and 12; the others stand in any text on circuit theory, and the two that have an author of their own name it.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from tests.circuits.networks import (
    Parts,
    amplifier,
    analysis_of,
    answer,
    capacitor,
    coupling,
    current,
    current_amplifier,
    inductor,
    potentiometer,
    resistor,
    transconductance,
    transformer,
    transresistance,
    triode,
    voltage,
)
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import read_network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import pose

PI2 = 2 * math.pi
GOLDEN = (1 + math.sqrt(5)) / 2
MU, RA, RL, RK = 100.0, 62.5e3, 100e3, 1.5e3


@dataclass(frozen=True)
class Classic:
    """A circuit, what is asked of it, and the value of its textbook formula."""

    name: str
    parts: Parts
    ask: dict[str, Any]
    expected: complex
    frequency: float | None = None


def parallel(*values: complex) -> complex:
    return 1 / sum(1 / value for value in values)


def ladder(sections: int, end: float | None = None, value: float = 1e3) -> Parts:
    parts: Parts = {}
    for n in range(sections):
        parts[f"R{n}"] = resistor(f"n{n}", f"n{n + 1}", value)
        parts[f"S{n}"] = resistor(f"n{n + 1}", "0", value)
    if end is not None:
        parts["RE"] = resistor(f"n{sections}", "0", end)
    return parts


def fibonacci(n: int) -> int:
    a, b = 0, 1
    for _ in range(n):
        a, b = b, a + b
    return a


def bridge(r1: float, r2: float, r3: float, r4: float, detector: float) -> Parts:
    return {
        "V1": voltage("top", "0", 10.0),
        "R1": resistor("top", "left", r1),
        "R2": resistor("left", "0", r2),
        "R3": resistor("top", "right", r3),
        "R4": resistor("right", "0", r4),
        "R5": resistor("left", "right", detector),
    }


def bridge_current(r1: float, r2: float, r3: float, r4: float, detector: float) -> float:
    """Thévenin across the detector: the open voltage over the two halves in series with it."""
    open_voltage = 10.0 * (r2 / (r1 + r2) - r4 / (r3 + r4))
    return open_voltage / (detector + r1 * r2 / (r1 + r2) + r3 * r4 / (r3 + r4))


def twin_t(r: float, c: float) -> Parts:
    return {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", r),
        "R2": resistor("a", "out", r),
        "C3": capacitor("a", "0", 2 * c),
        "C1": capacitor("in", "b", c),
        "C2": capacitor("b", "out", c),
        "R3": resistor("b", "0", r / 2),
    }


def wien(r: float, c: float) -> Parts:
    return {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", r),
        "C1": capacitor("a", "out", c),
        "R2": resistor("out", "0", r),
        "C2": capacitor("out", "0", c),
    }


def series_rlc(r: float, l: float, c: float) -> Parts:  # noqa: E741 - as the formula writes it
    return {
        "V1": voltage("in", "0", 2.0),
        "R1": resistor("in", "a", r),
        "L1": inductor("a", "b", l),
        "C1": capacitor("b", "0", c),
    }


def cathode_stage(bypassed: bool) -> Parts:
    parts = {
        "V1": voltage("grid", "0", 1.0),
        "X1": triode("anode", "grid", "cathode", MU, RA),
        "RL": resistor("anode", "0", RL),
        "RK": resistor("cathode", "0", RK),
    }
    return parts | ({"C1": capacitor("cathode", "0", 1.0)} if bypassed else {})


def follower() -> Parts:
    return {
        "V1": voltage("grid", "0", 1.0),
        "X1": triode("0", "grid", "out", MU, RA),
        "RK": resistor("out", "0", 22e3),
    }


def concertina() -> Parts:
    return {
        "V1": voltage("grid", "0", 1.0),
        "X1": triode("anode", "grid", "cathode", MU, RA),
        "R1": resistor("anode", "0", 56e3),
        "R2": resistor("cathode", "0", 56e3),
    }


def long_tailed_pair(tail: float) -> Parts:
    return {
        "V1": voltage("grid", "0", 1.0),
        "X1": triode("one", "grid", "tail", MU, RA),
        "X2": triode("two", "0", "tail", MU, RA),
        "R1": resistor("one", "0", 82e3),
        "R2": resistor("two", "0", 100e3),
        "RT": resistor("tail", "0", tail),
    }


def pair_below(tail: float) -> float:
    return (RA + 82e3) * (RA + 100e3) + (MU + 1) * tail * (2 * RA + 82e3 + 100e3)


def sallen_key(r1: float, r2: float, c1: float, c2: float) -> Parts:
    return {
        "V1": voltage("in", "0", 1.0),
        "R1": resistor("in", "a", r1),
        "R2": resistor("a", "b", r2),
        "C1": capacitor("a", "out", c1),
        "C2": capacitor("b", "0", c2),
        "E1": amplifier("out", "0", ("b", "0"), 1.0),
        "RO": resistor("out", "0", 1e4),
    }


def phase_shift(r: float, c: float) -> Parts:
    parts: Parts = {"V1": voltage("n0", "0", 1.0)}
    for n in range(3):
        parts[f"C{n}"] = capacitor(f"n{n}", f"n{n + 1}", c)
        parts[f"R{n}"] = resistor(f"n{n + 1}", "0", r)
    return parts


def cube(value: float) -> Parts:
    """The edges of a cube; corners are called by their coordinates, the corner 000 is earth."""
    corners = [f"{x}{y}{z}" for x in "01" for y in "01" for z in "01"]
    edges = [
        (a, b)
        for a in corners
        for b in corners
        if a < b and sum(p != q for p, q in zip(a, b, strict=True)) == 1
    ]  # fmt: skip
    return {f"R{a}{b}": resistor(a if a != "000" else "0", b, value) for a, b in edges}


def log_share(turn: float, half: float = 0.1) -> float:
    """The law y = (bˣ − 1)/(b − 1) through (0, 0), (½, half) and (1, 1): b = (1/half − 1)²."""
    base = (1 / half - 1) ** 2
    return (base**turn - 1) / (base - 1)


def volume(turn: float, law: str) -> Parts:
    return {
        "V1": voltage("in", "0", 2.0),
        "P1": potentiometer("in", "wiper", "0", 500e3, turn, law=law),
        "RL": resistor("wiper", "0", 1e6),
    }


def volume_expected(share: float) -> complex:
    if share == 0:
        return 0
    lower = parallel(500e3 * share, 1e6)
    return 2.0 * lower / (lower + 500e3 * (1 - share))


def loaded_meter() -> Parts:
    return {
        "V1": voltage("ht", "0", 250.0),
        "R1": resistor("ht", "tap", 220e3),
        "R2": resistor("tap", "0", 470e3),
        "M1": {"kind": "meter", "nodes": ["tap", "0"], "range": "250 V", "ohms per volt": "20 kΩ/V"},
    }


def coils(k: float) -> Parts:
    return {
        "V1": voltage("in", "0", 5.0),
        "L1": inductor("in", "0", 2.0),
        "L2": inductor("out", "0", 0.5),
        "K1": coupling("L1", "L2", k),
        "R2": resistor("out", "0", 1e3),
    }


def coil_input(k: float, f: float) -> complex:
    w, m = PI2 * f, k * math.sqrt(2.0 * 0.5)
    return 1j * w * 2.0 + (w * m) ** 2 / (1e3 + 1j * w * 0.5)


def output_transformer() -> Parts:
    windings = {"primary": ("in", "0", 3000.0), "speaker": ("s", "0", 100.0), "feedback": ("f", "0", 250.0)}
    return {"T1": transformer(windings), "R2": resistor("s", "0", 8.0), "R3": resistor("f", "0", 1.2e3)}


def bootstrapped(gain: float) -> Parts:
    return {
        "RG": resistor("in", "out", 1e6),
        "E1": amplifier("out", "0", ("in", "0"), gain),
        "RO": resistor("out", "0", 1e3),
    }


def anode_follower(a: float, rs: float, rf: float) -> Parts:
    return {
        "V1": voltage("in", "0", 1.0),
        "RS": resistor("in", "grid", rs),
        "RF": resistor("grid", "out", rf),
        "E1": amplifier("0", "out", ("grid", "0"), a),
    }


def delta(rab: float, rbc: float, rca: float) -> Parts:
    return {"R1": resistor("a", "b", rab), "R2": resistor("b", "0", rbc), "R3": resistor("0", "a", rca)}


F0 = 1 / (PI2 * 10e3 * 10e-9)
RES = 1 / (PI2 * math.sqrt(0.5 * 2e-6))
VOLTAGE_OUT = {"voltage": "out"}

CLASSICS = [
    Classic("divider", {"V1": voltage("a", "0", 9.0), "R1": resistor("a", "b", 2e3), "R2": resistor("b", "0", 1e3)},
            {"voltage": "b"}, 3.0),
    Classic("bridge out of balance", bridge(1e3, 2e3, 1.5e3, 2.7e3, 470.0), {"current": "R5"},
            bridge_current(1e3, 2e3, 1.5e3, 2.7e3, 470.0)),
    Classic("bridge in balance (Wheatstone)", bridge(120.0, 47.0, 1.2e3, 470.0, 33.0), {"current": "R5"}, 0.0),
    Classic("ladder of six", ladder(6), {"impedance": "n0"}, 1e3 * fibonacci(13) / fibonacci(12)),
    Classic("ladder ended by its own impedance", ladder(5, 1e3 / GOLDEN * (1 + 1 / GOLDEN) * GOLDEN),
            {"impedance": "n0"}, 1e3 * GOLDEN),
    Classic("cube of resistors, corner to corner", cube(1e3), {"impedance": "111"}, 5e3 / 6),
    Classic("cube of resistors, along an edge", cube(1e3), {"impedance": "001"}, 7e3 / 12),
    Classic("cube of resistors, across a face", cube(1e3), {"impedance": "011"}, 3e3 / 4),
    Classic("delta and star (Kennelly)", delta(10e3, 22e3, 33e3), {"impedance": "a"},
            10e3 * 33e3 / 65e3 + 33e3 * 22e3 / 65e3),
    Classic("power into a matched load",
            {"V1": voltage("a", "0", 10.0), "R1": resistor("a", "b", 600.0), "R2": resistor("b", "0", 600.0)},
            {"power": "R2"}, 10.0**2 / (4 * 600)),
    Classic("twin T at its notch", twin_t(10e3, 10e-9), VOLTAGE_OUT, 0.0, F0),
    Classic("twin T an octave above", twin_t(10e3, 10e-9), VOLTAGE_OUT, (1 - 4) / (1 - 4 + 8j), 2 * F0),
    Classic("Wien network at its frequency", wien(10e3, 10e-9), VOLTAGE_OUT, 1 / 3, F0),
    Classic("Wien network below", wien(10e3, 10e-9), VOLTAGE_OUT, 1 / (3 + 1j * (0.3 - 1 / 0.3)), 0.3 * F0),
    Classic("RC low-pass at its corner", {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 10e3),
            "C1": capacitor("out", "0", 10e-9)}, VOLTAGE_OUT, 1 / (1 + 1j), F0),
    Classic("series resonance, voltage of the capacitor", series_rlc(50.0, 0.5, 2e-6), {"voltage": ["b", "0"]},
            -2j * math.sqrt(0.5 / 2e-6) / 50.0, RES),
    Classic("series resonance, power", series_rlc(50.0, 0.5, 2e-6), {"power": "R1"}, 2.0**2 / 50.0, RES),
    Classic("series circuit off resonance", series_rlc(50.0, 0.5, 2e-6), {"current": "L1"},
            2.0 / (50.0 + 1j * (PI2 * 400 * 0.5 - 1 / (PI2 * 400 * 2e-6))), 400.0),
    Classic("parallel resonance", {"R1": resistor("a", "0", 47e3), "L1": inductor("a", "0", 0.5),
            "C1": capacitor("a", "0", 2e-6)}, {"impedance": "a"}, 47e3, RES),
    Classic("phase-shift network at 180°", phase_shift(10e3, 10e-9), {"voltage": "n3"}, -1 / 29, F0 / math.sqrt(6)),
    Classic("Sallen and Key low-pass", sallen_key(22e3, 33e3, 4.7e-9, 2.2e-9), VOLTAGE_OUT,
            1 / (1 + 1j * PI2 * 3e3 * 2.2e-9 * 55e3 - (PI2 * 3e3) ** 2 * 22e3 * 33e3 * 4.7e-9 * 2.2e-9), 3e3),
    Classic("bootstrapped grid leak", bootstrapped(0.93), {"impedance": "in"}, 1e6 / (1 - 0.93)),
    Classic("transformer with three windings", output_transformer(), {"impedance": "in"},
            3000.0**2 / (100.0**2 / 8.0 + 250.0**2 / 1.2e3)),
    Classic("coupled coils, input impedance", coils(0.9), {"current": "V1"}, -5.0 / coil_input(0.9, 100.0), 100.0),
    Classic("coupled coils, perfect", coils(1.0), VOLTAGE_OUT, 5.0 * math.sqrt(0.5 / 2.0), 100.0),
    Classic("coupled coils in opposition", coils(-1.0), VOLTAGE_OUT, -5.0 * math.sqrt(0.5 / 2.0), 100.0),
    Classic("voltage-controlled voltage source with feedback",
            {"V1": voltage("in", "0", 1.0), "E1": amplifier("out", "0", ("in", "fb"), 120.0),
             "R1": resistor("out", "fb", 9e3), "R2": resistor("fb", "0", 1e3)},
            VOLTAGE_OUT, 120 / (1 + 120 * 0.1)),
    Classic("voltage-controlled current source with a degenerating resistor",
            {"V1": voltage("in", "0", 1.0), "G1": transconductance("out", "k", ("in", "k"), 5e-3),
             "RK": resistor("k", "0", 330.0), "RL": resistor("out", "0", 4.7e3)},
            VOLTAGE_OUT, -5e-3 * 4.7e3 / (1 + 5e-3 * 330.0)),
    Classic("current-controlled voltage source",
            {"V1": voltage("in", "0", 3.0), "R1": resistor("in", "0", 1.5e3),
             "H1": transresistance("out", "0", "R1", 2.2e3), "RL": resistor("out", "0", 10.0)},
            VOLTAGE_OUT, 3.0 / 1.5e3 * 2.2e3),
    Classic("current-controlled current source, input resistance of a follower",
            {"R1": resistor("in", "e", 1e3), "F1": current_amplifier("0", "e", "R1", 99.0),
             "RE": resistor("e", "0", 470.0)}, {"impedance": "in"}, 1e3 + 100 * 470.0),
    *(Classic(f"volume control, {law}, turn {turn}", volume(turn, law), {"voltage": "wiper"},
              volume_expected(log_share(turn) if law == "log" else turn))
      for law in ("linear", "log") for turn in (0.0, 0.25, 0.5, 1.0)),
    Classic("voltmeter on a divider", loaded_meter(), {"voltage": "tap"},
            250.0 * parallel(470e3, 5e6) / (220e3 + parallel(470e3, 5e6))),
    Classic("triode, cathode bypassed", cathode_stage(True), {"gain": {"from": "grid", "to": "anode"}},
            -MU * RL / (RA + RL), 1e9),
    Classic("triode, cathode unbypassed", cathode_stage(False), {"gain": {"from": "grid", "to": "anode"}},
            -MU * RL / (RA + RL + (MU + 1) * RK)),
    Classic("triode, output resistance unbypassed", cathode_stage(False), {"impedance": "anode"},
            parallel(RL, RA + (MU + 1) * RK)),
    Classic("cathode follower, gain", follower(), VOLTAGE_OUT, MU * 22e3 / (RA + (MU + 1) * 22e3)),
    Classic("cathode follower, output resistance", follower(), {"impedance": "out"}, parallel(22e3, RA / (MU + 1))),
    Classic("concertina, anode", concertina(), {"voltage": "anode"}, -MU * 56e3 / (RA + (MU + 2) * 56e3)),
    Classic("concertina, cathode", concertina(), {"voltage": "cathode"}, MU * 56e3 / (RA + (MU + 2) * 56e3)),
    Classic("concertina, output resistance of the anode", concertina(), {"impedance": "anode"},
            parallel(56e3, RA + (MU + 1) * 56e3)),
    Classic("concertina, output resistance of the cathode", concertina(), {"impedance": "cathode"},
            parallel(56e3, (RA + 56e3) / (MU + 1))),
    Classic("long-tailed pair, driven anode", long_tailed_pair(10.47e3), {"voltage": "one"},
            -MU * 82e3 * (RA + 100e3 + (MU + 1) * 10.47e3) / pair_below(10.47e3)),
    Classic("long-tailed pair, other anode", long_tailed_pair(10.47e3), {"voltage": "two"},
            MU * (MU + 1) * 100e3 * 10.47e3 / pair_below(10.47e3)),
    Classic("pentode",
            {"V1": voltage("g", "0", 1.0), "RL": resistor("a", "0", 100e3),
             "X1": {"kind": "pentode", "nodes": {"anode": "a", "grid": "g", "screen": "0", "cathode": "0"},
                    "gm": "2.2 mA/V", "ra": "2.5 MΩ"}},
            {"voltage": "a"}, -2.2e-3 * parallel(100e3, 2.5e6)),
    Classic("anode follower", anode_follower(50.0, 100e3, 470e3), VOLTAGE_OUT, -50 * 4.7 / (50 + 4.7 + 1)),
    Classic("Miller capacitance", {"C1": capacitor("g", "a", 1.7e-12), "E1": amplifier("0", "a", ("g", "0"), 60.0),
            "R1": resistor("a", "0", 1e3)}, {"impedance": "g"}, 1 / (1j * PI2 * 1e4 * 1.7e-12 * 61), 1e4),
    Classic("three phases add up to nothing",
            {"I1": current("0", "n", 1.0, 0.0), "I2": current("0", "n", 1.0, 120.0),
             "I3": current("0", "n", 1.0, -120.0), "R1": resistor("n", "0", 1e3)}, {"voltage": "n"}, 0.0, 50.0),
    Classic("two sources at an angle",
            {"V1": voltage("a", "0", 230.0, 30.0), "V2": voltage("b", "0", 230.0, -90.0),
             "R1": resistor("a", "b", 1e3)}, {"voltage": ["a", "b"]},
            cmath.rect(230.0, math.radians(30)) - cmath.rect(230.0, math.radians(-90)), 50.0),
]  # fmt: skip


@pytest.mark.parametrize("classic", CLASSICS, ids=lambda classic: classic.name)
def test_a_classic_circuit_meets_its_textbook_formula(classic: Classic) -> None:
    got = answer(classic.parts, classic.ask, classic.frequency)
    assert abs(got - classic.expected) <= 1e-9 * max(abs(classic.expected), 1e-3), (got, classic.expected)


@pytest.mark.parametrize("classic", CLASSICS, ids=lambda classic: classic.name)
def test_the_pivoted_solution_meets_it_too(classic: Classic) -> None:
    network = read_network(classic.parts)
    problem = pose(network, read_circuit_ask(classic.ask).asked, analysis_of(classic.frequency))
    values = symbol_values(problem.network, network.values(), classic.frequency)
    got = solve_numerically(problem, {name: np.array([value]) for name, value in values.items()})[0]
    assert abs(got - classic.expected) <= 1e-9 * max(abs(classic.expected), 1e-3)


def test_a_ladder_of_24_sections_is_solved_by_fibonaccis_numbers() -> None:
    parts = {"V1": voltage("n0", "0", 1.0), **ladder(24)}
    assert answer(parts, {"voltage": "n24"}).real == pytest.approx(1 / fibonacci(49), rel=1e-12)
