"""Random stages against ngspice, which is given the same equations and finds the operating point by itself."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest

from tests.circuits.spice import PROGRAM, want_ngspice
from tests.circuits.valves.laws import FITTED, PENTODES, TRIODES
from tutor.circuits.valves import stages
from tutor.circuits.valves.models import Diode, GridCurrent, KorenTriode, Law, ReefmanPentode
from tutor.circuits.valves.operating_point import OperatingPoint, operating_point
from tutor.circuits.valves.valve import Valve

STAGES = 60
AGREEMENT = 1e-6
SMALLEST = 1e-6  # volts, to which no ratio is asked


@dataclass(frozen=True, slots=True)
class Stage:
    """A random stage: what we find, and the same as cards for ngspice.

    Attributes:
        point: Our operating point, of one draw.
        cards: Resistors and sources; the valves are put in by `pins`.
        pins: Nodes of each valve, in the order anode, grid, screen, cathode.
    """

    point: OperatingPoint
    cards: list[str]
    pins: list[tuple[str, ...]]


def drive(law: KorenTriode | ReefmanPentode, head: str, grid: str) -> str:
    """Return E of Koren's and Reefman's laws; `head` is the voltage of anode or screen."""
    shift = law.vct if isinstance(law, KorenTriode) else 0.0
    x = f"{law.kp!r}*({1 / law.mu!r}+({grid}+{shift!r})/sqrt({law.kvb!r}+({head})*({head})))"
    return f"({head})/{law.kp!r}*ln(1+exp({x}))"


def grid_card(name: str, law: KorenTriode | ReefmanPentode, grid: str, cathode: str) -> str:
    current: GridCurrent = law.grid
    above = f"(V({grid},{cathode})-({current.onset!r}))"
    return f"B{name}g {grid} {cathode} I = {above} > 0 ? {current.perveance!r}*pow({above},1.5) : 0"


def valve_cards(name: str, law: Law, pins: tuple[str, ...]) -> list[str]:
    """Return a valve as sources whose currents are written out from its parameters, apart from our own code."""
    anode, cathode = pins[0], pins[-1]
    va = f"V({anode},{cathode})"
    if isinstance(law, Diode):
        return [f"B{name} {anode} {cathode} I = {va} > 0 ? {law.perveance!r}*pow({va},1.5) : 0"]
    vg = f"V({pins[1]},{cathode})"
    if isinstance(law, KorenTriode):
        current = f"{2 / law.kg1!r}*pow({drive(law, va, vg)},{law.ex!r})"
        return [
            f"B{name}a {anode} {cathode} I = {va} > 0 ? {current} : 0",
            grid_card(name, law, pins[1], cathode),
        ]
    assert isinstance(law, ReefmanPentode)
    vs = f"V({pins[2]},{cathode})"
    space = f"(({vs}) > 0 ? 2*pow({drive(law, vs, vg)},{law.ex!r}) : 0)"
    held = f"(({va}) > 0 ? {va} : 0)"
    knee = f"exp(-pow({law.beta!r}*{held},1.5))" if law.beam else f"(1/(1+{law.beta!r}*{held}))"
    to_anode = f"({1 / law.kg1 - 1 / law.kg2!r})*(1-{knee})+{law.a / law.kg1!r}*{held}"
    to_screen = f"(1+{law.alpha_s!r}*{knee})/{law.kg2!r}"
    return [
        f"B{name}a {anode} {cathode} I = {space}*({to_anode})",
        f"B{name}s {pins[2]} {cathode} I = {space}*{to_screen}",
        grid_card(name, law, pins[1], cathode),
    ]


def pick(rng: np.random.Generator, valves: dict[str, Valve]) -> Valve:
    names = sorted(valves)
    return valves[names[int(rng.integers(len(names)))]]


def between(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def cathode_bias(rng: np.random.Generator) -> Stage:
    ht, ra, rk = rng.uniform(100, 400), between(rng, 2e3, 3e5), between(rng, 100, 1e4)
    point = stages.cathode_bias(pick(rng, TRIODES), ht, ra, rk, grid_leak=1e6)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {ra!r}", f"Rk k 0 {rk!r}", "Rg g 0 1e6"]
    return Stage(point, cards, [("a", "g", "k")])


def driven_grid(rng: np.random.Generator) -> Stage:
    ht, ra, vg, rg = rng.uniform(100, 400), between(rng, 2e3, 3e5), rng.uniform(-10, 20), between(rng, 1e3, 1e6)
    point = stages.fixed_bias(pick(rng, TRIODES), ht, ra, vg, grid_leak=rg)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {ra!r}", f"Vg b 0 {vg!r}", f"Rg b g {rg!r}"]
    return Stage(point, cards, [("a", "g", "0")])


def splitter(rng: np.random.Generator) -> Stage:
    ht, load, bias = rng.uniform(200, 400), between(rng, 1e4, 1e5), between(rng, 300, 3e3)
    point = stages.split_load(pick(rng, TRIODES), ht, load, bias, grid_leak=1e6)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {load!r}", f"Rb k f {bias!r}", f"Rl f 0 {load!r}", "Rg g f 1e6"]
    return Stage(point, cards, [("a", "g", "k")])


def coupled(rng: np.random.Generator) -> Stage:
    ht, loads = rng.uniform(200, 400), (between(rng, 4e4, 3e5), between(rng, 1e3, 5e4))
    cathodes = (between(rng, 500, 5e3), between(rng, 1e4, 1e5))
    point = stages.direct_coupled(pick(rng, TRIODES), pick(rng, TRIODES), ht, loads, cathodes, grid_leak=1e6)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {loads[0]!r}", f"Rk k 0 {cathodes[0]!r}", "Rg g 0 1e6"]
    cards += [f"Rb ht b {loads[1]!r}", f"Rl m 0 {cathodes[1]!r}"]
    return Stage(point, cards, [("a", "g", "k"), ("b", "a", "m")])


def pentode(rng: np.random.Generator) -> Stage:
    ht, ra, rs, rk = rng.uniform(150, 400), between(rng, 500, 3e5), between(rng, 100, 1e6), between(rng, 50, 3e3)
    point = stages.pentode_stage(pick(rng, PENTODES), ht, ra, rs, rk, grid_leak=5e5)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {ra!r}", f"Rs ht s {rs!r}", f"Rk k 0 {rk!r}", "Rg g 0 5e5"]
    return Stage(point, cards, [("a", "g", "s", "k")])


def long_tail(rng: np.random.Generator) -> Stage:
    ht, ra, rk = rng.uniform(250, 400), between(rng, 3e4, 2e5), between(rng, 2e4, 1e5)
    first, second = rng.uniform(40, 100, 2)
    valve = pick(rng, TRIODES)
    z = np.full((4, 4), rk) + np.diag([ra, 1e6, ra, 1e6])
    point = operating_point([valve, valve], [ht, first, ht, second], z)
    cards = [f"Vht ht 0 {ht!r}", f"Ra ht a {ra!r}", f"Rb ht b {ra!r}", f"Rk k 0 {rk!r}"]
    cards += [f"Vg e 0 {float(first)!r}", "Rg e g 1e6", f"Vm f 0 {float(second)!r}", "Rm f m 1e6"]
    return Stage(point, cards, [("a", "g", "k"), ("b", "m", "k")])


def diode(rng: np.random.Generator) -> Stage:
    valve = FITTED["EZ81 rectifier sheet points"]
    volts, ohms = rng.uniform(1, 300), between(rng, 10, 1e5)
    point = operating_point([valve], [volts], [[ohms]])
    return Stage(point, [f"Vs s 0 {volts!r}", f"Rs s a {ohms!r}"], [("a", "0")])


KINDS = (cathode_bias, driven_grid, splitter, coupled, pentode, pentode, long_tail, diode)


def made(seed: int) -> Stage:
    return KINDS[seed % len(KINDS)](np.random.default_rng(1000 + seed))


def port_nodes(stage: Stage) -> Iterator[tuple[str, str]]:
    for pins in stage.pins:
        for pin in pins[:-1]:
            yield pin, pins[-1]


def by_ngspice(stage: Stage) -> list[float]:
    """Return the port voltages as ngspice finds them."""
    cards = list(stage.cards)
    for number, (valve, pins) in enumerate(zip(stage.point.valves, stage.pins, strict=True)):
        cards += valve_cards(f"v{number}", valve.law, pins)
    nodes = sorted({node for pins in stage.pins for node in pins} - {"0"})
    prints = [f"print v({node})" for node in nodes]
    options = ".options reltol=1e-7 abstol=1e-13 vntol=1e-8 gmin=1e-15 itl1=1000 itl2=1000"
    deck = ["a stage", *cards, options, ".control", "set numdgt=12", "op", *prints, ".endc", ".end"]
    assert PROGRAM is not None
    done = subprocess.run(
        [PROGRAM, "-b"], input="\n".join(deck) + "\n", capture_output=True, text=True, timeout=60, check=False
    )
    found = {node: float(value) for node, value in re.findall(r"v\((\w+)\) = (\S+)", done.stdout)}
    assert set(found) == set(nodes), done.stdout + done.stderr
    found["0"] = 0.0
    return [found[pin] - found[cathode] for pin, cathode in port_nodes(stage)]


@pytest.mark.parametrize("seed", range(STAGES))
def test_a_random_stage_settles_where_ngspice_says(seed: int) -> None:
    want_ngspice()
    stage = made(seed)
    ours, theirs = stage.point.voltages[0], np.array(by_ngspice(stage))
    assert np.isfinite(ours).all()
    assert (np.abs(ours - theirs) <= AGREEMENT * np.abs(theirs) + SMALLEST).all(), (ours, theirs)


def test_the_random_stages_hold_all_that_a_stage_can_be() -> None:
    drawn = [made(seed) for seed in range(STAGES)]
    laws = {type(valve.law) for stage in drawn for valve in stage.point.valves}
    assert laws == {KorenTriode, ReefmanPentode, Diode}
    grids = [float(of.current("grid")[0]) for s in drawn for k, v in enumerate(s.point.valves) if "grid" in v.law.ports
             for of in [s.point.of(k)]]  # fmt: skip
    assert sum(current > 0 for current in grids) >= 8
    assert sum(current == 0 for current in grids) >= 25
