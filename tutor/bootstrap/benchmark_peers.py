"""What the benchmark is measured against beside general libraries: NumPy written by hand, a valve's law, ngspice."""

from __future__ import annotations

import importlib.util
import re
import shutil
import subprocess
import time
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from tutor.circuits.valves import stages
from tutor.circuits.valves.catalogue import valve_type

NGSPICE = shutil.which("ngspice")
SPICE_ANSWERS = 200
"""Answers of one run of ngspice, so that its start counts for little."""


SPICE_PARTS = {
    "Rg1": "g1 0", "Rk1": "k1 0", "Ra1": "a1 0", "Rg2": "g2 0", "Rk2": "k2 0", "RL": "out 0", "Rf": "out k1",
    "Cin": "in g1", "Ck1": "k1 0", "Cc": "a1 g2", "Ck2": "k2 0",
}  # fmt: skip


SYMBOLIC_BRIDGE = "\n".join(("V1 s 0 dc {V1}", "Rs s t", "R1 t a", "R2 a 0", "R3 t b", "R4 b 0", "Rm a b"))


def missing_peers() -> tuple[str, ...]:
    """Return the yardsticks that are not installed here."""
    missing = [] if NGSPICE is not None else ["ngspice"]
    return (*missing, *([] if importlib.util.find_spec("lcapy") else ["lcapy"]))


def symbolic_library_job() -> Callable[[], Any] | None:
    """Return a job that solves the bridge with lcapy, a general library for symbolic circuits; None without it."""
    try:
        import lcapy  # type: ignore[import-not-found, import-untyped, unused-ignore]  # not among our dependencies
    except ImportError:
        return None
    return lambda: lcapy.Circuit(SYMBOLIC_BRIDGE)["a"].V.dc.expr


def two_stage_amplifier(v: Mapping[str, Any]) -> Any:
    """Return the output of the two-stage amplifier as somebody would write it who knows the circuit; see `by_hand`.

    Args:
        v: Every value by its symbol, numbers or arrays of shape (draws,), `s` among them.
    """
    s, fed = v["s"], 1 / v["Rf"]
    grid = v["V1"] * s * v["Cin"] / (s * v["Cin"] + 1 / v["Rg1"])
    coupled = v["Rg2"] + 1 / (s * v["Cc"])
    load = 1 / v["Ra1"] + 1 / coupled
    first, second = (1 / v[f"Rk{n}"] + s * v[f"Ck{n}"] for n in (1, 2))
    # The first anode is a·u_k1 − b, and the first cathode p + q·u_out.
    below = load + 1 / v["ra_T1"]
    a, b = (v["gm_T1"] + 1 / v["ra_T1"]) / below, v["gm_T1"] * grid / below
    cathode = first + fed + load * a
    p, q = load * b / cathode, fed / cathode
    ratio = v["turns_X1_primary"] / v["turns_X1_secondary"]
    degenerated = 1 + (v["gm_T2"] + 1 / v["ra_T2"]) / second
    driven = ratio * v["gm_T2"] * v["Rg2"] / (coupled * degenerated)
    own = 1 / v["RL"] + fed + ratio * ratio / (v["ra_T2"] * degenerated)
    return (driven * (b - a * p) + fed * p) / (own + driven * a * q - fed * q)


def triode_jobs(draws: int) -> tuple[Callable[[], Any], Callable[[], Any]]:
    """Return two jobs: the operating points of many triode stages, and the valve's law once on as many voltages."""
    random = np.random.default_rng(5)
    valve = valve_type("ECC83").valve()
    ht, load, cathode = (random.uniform(*span, draws) for span in ((200.0, 350.0), (47e3, 270e3), (680.0, 3300.0)))
    voltages = np.array([random.uniform(50.0, 250.0, draws), random.uniform(-4.0, 0.0, draws)])
    return lambda: stages.cathode_bias(valve, ht, load, cathode), lambda: valve.law.currents(voltages)


def ngspice_output(values: Mapping[str, float], frequency: float, answers: int = 1) -> tuple[complex, float]:
    """Return the output of the two-stage amplifier by ngspice, and the seconds that each answer took.

    Args:
        values: Every value by its symbol.
        frequency: In Hz.
        answers: How many analyses to run, each with another value of R_L; the first has the given one.

    Raises:
        RuntimeError: If ngspice printed no answer.
    """
    assert NGSPICE is not None
    resistors = {
        "Rg1": "g1 0",
        "Rk1": "k1 0",
        "Ra1": "a1 0",
        "Rg2": "g2 0",
        "Rk2": "k2 0",
        "RL": "out 0",
        "Rf": "out k1",
    }
    capacitors = {"Cin": "in g1", "Ck1": "k1 0", "Cc": "a1 g2", "Ck2": "k2 0"}
    cards = [f"{name} {nodes} {values[name]!r}" for name, nodes in (resistors | capacitors).items()]
    for n in (1, 2):
        cards.append(f"G{n} a{n} k{n} g{n} k{n} {values[f'gm_T{n}']!r}")
        cards.append(f"Rv{n} a{n} k{n} {values[f'ra_T{n}']!r}")
    turns = values["turns_X1_secondary"] / values["turns_X1_primary"]
    cards += [f"Vin in 0 dc 0 ac {values['V1']!r}", f"Ex x 0 a2 0 {turns!r}", "Vx out x 0", f"Fx a2 0 Vx {-turns!r}"]
    control = [".control", "set numdgt=15"]
    for place in range(answers):
        control += [
            f"alter RL = {values['RL'] * (1 + place / 1000)!r}",
            f"ac lin 1 {frequency!r} {frequency!r}",
            "print v(out)",
        ]
    text = "\n".join(["* two stages", *cards, *control, ".endc", ".end", ""])
    began = time.perf_counter()
    done = subprocess.run([NGSPICE, "-b"], input=text, capture_output=True, text=True, timeout=120, check=False)  # noqa: S603 - our own netlist
    taken = time.perf_counter() - began
    found = re.findall(r"^v\(out\) = (\S+),(\S+)", done.stdout, re.MULTILINE)
    if len(found) != answers:
        raise RuntimeError(f"ngspice printed {len(found)} answers of {answers}: {done.stderr[:200]}")
    return complex(float(found[0][0]), float(found[0][1])), taken / answers
