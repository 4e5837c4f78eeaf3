"""Valves in any network settle where the stages of one or two valves say, and Kirchhoff's laws hold."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tutor.circuits.analysis import DC
from tutor.circuits.errors import PartError
from tutor.circuits.network import Network, read_network
from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.errors import UnknownValveError
from tutor.circuits.valves.in_network import rest
from tutor.circuits.valves.stages import cathode_bias, direct_coupled, pentode_stage
from tutor.circuits.valves.state import State


def network_of(**parts: dict[str, Any]) -> Network:
    return read_network(parts)


def supply(volts: str = "250 V") -> dict[str, Any]:
    return {"kind": "voltage source", "nodes": ["ht", "0"], "value": volts}


def resistor(a: str, b: str, value: str) -> dict[str, Any]:
    return {"kind": "resistor", "nodes": [a, b], "value": value}


def triode(anode: str, grid: str, cathode: str, name: str = "ECC83") -> dict[str, Any]:
    return {"kind": "triode", "type": name, "nodes": {"anode": anode, "grid": grid, "cathode": cathode}}


STAGE = {
    "HT": supply(),
    "Ra": resistor("ht", "a", "100 kΩ"),
    "V1": triode("a", "g", "k"),
    "Rk": resistor("k", "0", "1.5 kΩ"),
    "Rg": resistor("g", "0", "1 MΩ"),
}


def test_a_stage_settles_as_its_own_formulas_say() -> None:
    point = rest(network := read_network(STAGE), network.values())
    stage = cathode_bias(valve_type("ECC83").valve(), 250.0, 100e3, 1500.0, grid_leak=1e6)
    assert point.voltages["k"][0] == pytest.approx(1500.0 * stage.of().current("anode")[0], rel=1e-4)
    assert point.voltages["a"][0] == pytest.approx(250.0 - 100e3 * stage.of().current("anode")[0], rel=1e-4)
    assert point.states["V1"][0] == int(State.CONDUCTING)
    assert point.found.all()


def test_kirchhoff_holds_at_every_electrode() -> None:
    point = rest(network := read_network(STAGE), network.values())
    anode, grid = point.currents["V1"][:, 0]
    assert (250.0 - point.voltages["a"][0]) / 100e3 == pytest.approx(anode + point.voltages["a"][0] / 1e10, rel=1e-9)
    assert point.voltages["k"][0] / 1500.0 == pytest.approx(anode + grid, rel=1e-6)


def test_a_direct_coupled_pair_settles_as_its_own_formulas_say() -> None:
    parts = {
        "HT": supply("300 V"),
        "Ra": resistor("ht", "a", "220 kΩ"),
        "V1": triode("a", "0", "k"),
        "Rk": resistor("k", "0", "1.5 kΩ"),
        "Rb": resistor("ht", "b", "33 kΩ"),
        "V2": triode("b", "a", "c", "ECC82"),
        "Rc": resistor("c", "0", "33 kΩ"),
    }
    point = rest(network := read_network(parts), network.values())
    valves = valve_type("ECC83").valve(), valve_type("ECC82").valve()
    pair = direct_coupled(*valves, 300.0, (220e3, 33e3), (1500.0, 33e3))
    assert point.voltages["c"][0] == pytest.approx(33e3 * pair.of(1).cathode_current[0], rel=1e-4)
    assert point.voltages["k"][0] == pytest.approx(1500.0 * pair.of(0).cathode_current[0], rel=1e-4)


def test_a_pentode_stage_settles_as_its_own_formulas_say() -> None:
    pins = {"anode": "a", "grid": "g", "screen": "s", "cathode": "k"}
    parts = {
        "HT": supply(),
        "Ra": resistor("ht", "a", "220 kΩ"),
        "Rs": resistor("ht", "s", "1 MΩ"),
        "V1": {"kind": "pentode", "type": "EF86", "nodes": pins},
        "Rk": resistor("k", "0", "2.2 kΩ"),
        "Rg": resistor("g", "0", "1 MΩ"),
    }
    point = rest(network := read_network(parts), network.values())
    stage = pentode_stage(valve_type("EF86").valve(), 250.0, 220e3, 1e6, 2200.0, grid_leak=1e6).of()
    assert point.voltages["k"][0] == pytest.approx(2200.0 * stage.cathode_current[0], rel=1e-3)
    assert point.voltages["s"][0] == pytest.approx(250.0 - 1e6 * stage.current("screen")[0], rel=1e-3)


def test_the_sheets_own_stage_lies_near_what_is_printed() -> None:
    # ECC83 at 250 V on the anode with −2 V on the grid: 1.2 mA (RCA 12AX7-A sheet, October 1960: typical characteristics).
    parts = {
        "HT": supply(),
        "V1": triode("ht", "g", "0"),
        "Vg": {"kind": "voltage source", "nodes": ["g", "0"], "value": "-2 V"},
    }
    point = rest(network := read_network(parts), network.values())
    assert point.currents["V1"][0, 0] == pytest.approx(1.2e-3, rel=0.03)


def test_draws_are_solved_at_once_as_they_are_alone() -> None:
    network = read_network(STAGE)
    loads = np.array([47e3, 100e3, 220e3])
    symbols = {**{name: np.full(3, value) for name, value in network.values().items()}, "Ra": loads}
    together = rest(network, symbols, 3).voltages["a"]
    for place, load in enumerate(loads):
        alone = rest(network, {**network.values(), "Ra": load}).voltages["a"][0]
        assert together[place] == pytest.approx(alone, rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "state"),
    [
        ({"Rk": resistor("k", "0", "10 GΩ")}, State.CUT_OFF),
        ({"Rg": {"kind": "voltage source", "nodes": ["g", "0"], "value": "2 V"}, "Rk": resistor("k", "0", "1 Ω")},
         State.GRID_CURRENT),
    ],
)  # fmt: skip
def test_the_state_of_a_valve_is_told(changes: dict[str, Any], state: State) -> None:
    point = rest(network := read_network({**STAGE, **changes}), network.values())
    assert point.states["V1"][0] & int(state)


def test_an_unknown_type_is_named() -> None:
    network = read_network({**STAGE, "V1": triode("a", "g", "k", "ECC99X")})
    with pytest.raises(UnknownValveError) as caught:
        rest(network, network.values())
    assert caught.value.name == "ECC99X"


def test_the_linear_solver_still_wants_small_signal_figures() -> None:
    with pytest.raises(PartError) as caught:
        read_network(STAGE).equations(DC)
    assert "wants two of mu, ra and gm" in str(caught.value)
