"""Operating points of the catalogue's valves against ngspice, which solves the same laws as sources of its own."""

from __future__ import annotations

import random

import pytest

from tests.circuits.spice import voltages_of, want_ngspice
from tutor.circuits.valves import stages
from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.models import GridCurrent, KorenTriode, ReefmanPentode
from tutor.circuits.valves.operating_point import ValvePoint
from tutor.circuits.valves.sheet import System
from tutor.circuits.valves.valve import Valve

CLOSE = 1e-3
SYSTEMS: dict[str, System] = {
    f"{name} {kind}": valve_type(name).system(kind) for name in known_types() for kind in valve_type(name).systems
}
VALVES: dict[str, Valve] = {
    f"{name} {kind}": valve_type(name).valve(kind) for name in known_types() for kind in valve_type(name).systems
}
TRIODES = [name for name, valve in VALVES.items() if isinstance(valve.law, KorenTriode)]
PENTODES = [name for name, valve in VALVES.items() if isinstance(valve.law, ReefmanPentode)]
STAGES = 3


def grid_card(law: GridCurrent) -> str:
    return f"Bg g k I={law.perveance!r}*pow(max(v(g,k)-({law.onset!r}),0),1.5)"


def triode_cards(law: KorenTriode) -> list[str]:
    anode = "max(v(a,k),0)"
    drive = f"{law.kp!r}*({1 / law.mu!r}+(v(g,k)+({law.vct!r}))/sqrt({law.kvb!r}+{anode}*{anode}))"
    return [f"Ba a k I={2 / law.kg1!r}*pow({anode}*ln(1+exp({drive}))/{law.kp!r},{law.ex!r})", grid_card(law.grid)]


def pentode_cards(law: ReefmanPentode) -> list[str]:
    anode, screen = "max(v(a,k),0)", "max(v(s,k),0)"
    drive = f"{law.kp!r}*({1 / law.mu!r}+v(g,k)/sqrt({law.kvb!r}+{screen}*{screen}))"
    given = f"2*pow({screen}*ln(1+exp({drive}))/{law.kp!r},{law.ex!r})"
    knee = f"exp(-pow({law.beta!r}*{anode},1.5))" if law.beam else f"1/(1+{law.beta!r}*{anode})"
    most = 1 / law.kg1 - 1 / law.kg2
    return [
        f"Ba a k I=({given})*({most!r}*(1-({knee}))+{law.a / law.kg1!r}*{anode})",
        f"Bs s k I=({given})*(1+{law.alpha_s!r}*({knee}))/{law.kg2!r}",
        grid_card(law.grid),
    ]


def drawn(name: str, place: int) -> tuple[random.Random, float, float, float]:
    """Return lots, a supply [V], and resistors that suit the valve: anode load and cathode [Ω]."""
    lots = random.Random(f"{name} {place}")
    ht = round(lots.uniform(120.0, 350.0), 1)
    rest = SYSTEMS[name].points[0]
    load = round(0.5 * ht / max(rest.anode_current, 1e-4) * lots.uniform(0.3, 2.0), 1)
    bias = max(abs(rest.grid_voltage or 1.0), 0.5)
    return lots, ht, load, round(bias / max(rest.anode_current, 1e-4) * lots.uniform(0.3, 2.0), 2)


def agree(name: str, point: ValvePoint, cards: list[str], ports: dict[str, str]) -> None:
    theirs = voltages_of(cards, ("k", *ports.values()))
    # Voltages from the cathode are compared by the size of what stands in the circuit: that of the anode or 1 V.
    for port, node in ports.items():
        expected = (theirs[node] - theirs["k"]).real
        assert abs(float(point.voltage(port)[0]) - expected) <= CLOSE * max(abs(expected), 0.1), (name, port)


@pytest.mark.parametrize("place", range(STAGES))
@pytest.mark.parametrize("name", TRIODES)
def test_a_triode_settles_where_ngspice_says(name: str, place: int) -> None:
    """Each third stage gets a positive grid through its leak, so that grid current counts."""
    want_ngspice()
    lots, ht, load, cathode = drawn(name, place)
    leak, grid = round(lots.uniform(1e5, 1e6), 0), (round(lots.uniform(5.0, 20.0), 2) if place == 2 else 0.0)
    valve = VALVES[name]
    assert isinstance(valve.law, KorenTriode)
    point = stages.cathode_bias(valve, ht, load, cathode, grid_leak=leak, grid_voltage=grid).of()
    cards = [f"Vh h 0 {ht}", f"Ra h a {load}", f"Rk k 0 {cathode}", f"Vg b 0 {grid}", f"Rg b g {leak}"]
    agree(name, point, cards + triode_cards(valve.law), {"anode": "a", "grid": "g"})


@pytest.mark.parametrize("place", range(STAGES))
@pytest.mark.parametrize("name", PENTODES)
def test_a_pentode_settles_where_ngspice_says(name: str, place: int) -> None:
    want_ngspice()
    lots, ht, load, cathode = drawn(name, place)
    screen = round(load * lots.uniform(1.0, 4.0), 1)
    valve = VALVES[name]
    assert isinstance(valve.law, ReefmanPentode)
    point = stages.pentode_stage(valve, ht, load, screen, cathode, grid_leak=470e3).of()
    cards = [f"Vh h 0 {ht}", f"Ra h a {load}", f"Rs h s {screen}", f"Rk k 0 {cathode}", "Rg g 0 470k"]
    agree(name, point, cards + pentode_cards(valve.law), {"anode": "a", "grid": "g", "screen": "s"})


def test_there_are_valves_of_both_kinds() -> None:
    assert len(TRIODES) >= 5
    assert len(PENTODES) >= 4
