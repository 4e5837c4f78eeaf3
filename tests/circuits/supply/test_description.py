from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.circuits.supply.supplies import plain
from tutor.circuits.supply.description import Ideal, Load, Section, Silicon, Supply, Topology, Winding
from tutor.circuits.supply.errors import SupplyError, UnloadedSupplyError


def test_a_description_is_imported_without_numpy() -> None:
    code = "import sys, tutor.circuits, tutor.circuits.supply.description; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"reservoir": -1e-6},
            "supply reservoir: found -1e-06; wanted a number, 0 or more, not infinite",
        ),
        (
            {"reservoir": np.array([32e-6, np.nan])},
            "supply reservoir (draw 1): found nan; wanted a number, 0 or more, not infinite",
        ),
        (
            {"winding": Winding(emf=0.0, resistance=1.0, frequency=50.0)},
            "supply winding.emf: found 0; wanted a number above 0, not infinite",
        ),
        (
            {"winding": Winding(emf=np.array([1.0, 2.0]), resistance=np.array([1.0, 1.0, 1.0]), frequency=50.0)},
            "supply winding.resistance: found 3 draws; wanted 2 as in the arrays before it, or one number",
        ),
        (
            {"winding": Winding(emf="250 V", resistance=1.0, frequency=50.0)},  # type: ignore[arg-type]
            "supply winding.emf: found '250 V'; wanted a number, or an array of numbers",
        ),
        (
            {"winding": Winding(emf=[250.0], resistance=1.0, frequency=50.0)},  # type: ignore[arg-type]
            "supply winding.emf: found [250.0]; wanted a number, or a NumPy array of shape (draws,)",
        ),
        (
            {"load": Load(resistance=0.0)},
            "supply load.resistance: found 0; wanted a number above 0",
        ),
        (
            {"load": Load(current=-0.01)},
            "supply load.current: found -0.01; wanted a number, 0 or more, not infinite",
        ),
        (
            {"bleeder": np.array([1e5, 0.0])},
            "supply bleeder (draw 1): found 0; wanted a number above 0",
        ),
        (
            {"sections": (Section(resistance=100.0, capacitance=1e-6), Section(resistance=1.0, capacitance=0.0))},
            "supply sections[1].capacitance: found 0; wanted a number above 0, not infinite",
        ),
        (
            {"sections": (Section(resistance=0.0, capacitance=1e-6),)},
            "supply sections[0].resistance: found 0; wanted a resistor above 0 Ω, or a choke with an inductance",
        ),
        (
            {"winding": Winding(emf=9.0, resistance=0.0, frequency=50.0), "rectifier": Silicon(drop=0.7, slope=0.0)},
            "supply winding.resistance: found 0; wanted some resistance in the winding or the rectifier: without it the "
            "charging current has no bound",
        ),
        (
            {"topology": "voltage doubler"},
            "supply topology: found 'voltage doubler'; wanted half-wave or bi-phase or bridge",
        ),
        (
            {"rectifier": "GZ34"},
            "supply rectifier: found 'GZ34'; wanted Silicon, Vacuum or Ideal",
        ),
    ],
)
def test_a_fault_is_named_with_its_key_and_cure(change: dict[str, Any], message: str) -> None:
    with pytest.raises(SupplyError) as caught:
        replace(plain(), **change)
    assert str(caught.value) == message


def test_the_facts_of_a_fault_are_attributes() -> None:
    with pytest.raises(SupplyError) as caught:
        plain(reservoir=np.array([1e-6, 2e-6, -3e-6]))
    error = caught.value
    assert (error.key, error.found, error.draw) == ("reservoir", "-3e-06", 2)
    assert error.wanted == "a number, 0 or more, not infinite"


def test_a_voltage_that_hangs_in_the_air_is_refused() -> None:
    with pytest.raises(UnloadedSupplyError) as caught:
        plain(reservoir=np.array([32e-6, 0.0]), load=float("inf"))
    assert str(caught.value) == (
        "supply reservoir (draw 1): found 0; wanted a reservoir, a section, a load resistance or a bleeder for the "
        "voltage to stand across"
    )


def test_a_topology_may_be_given_by_its_name() -> None:
    assert plain("half-wave").topology is Topology.HALF_WAVE  # type: ignore[arg-type]


def test_the_draws_are_the_length_of_the_arrays() -> None:
    assert plain().draws == 1
    assert plain(emf=np.array([100.0, 200.0, 300.0])).draws == 3


def test_a_part_of_the_draws_is_a_supply_again() -> None:
    section = Section(resistance=np.array([1.0, 2.0, 3.0]), capacitance=1e-6)
    part = plain(emf=np.array([100.0, 200.0, 300.0]), sections=(section,)).part(1, 3)
    assert part.draws == 2
    assert list(part.winding.emf) == [200.0, 300.0]  # type: ignore[arg-type]
    assert list(part.sections[0].resistance) == [2.0, 3.0]  # type: ignore[arg-type]
    assert part.sections[0].capacitance == 1e-6


def test_off_load_only_the_bleeder_stays() -> None:
    supply = Supply(
        winding=Winding(emf=250.0, resistance=50.0, frequency=50.0),
        topology=Topology.BRIDGE,
        rectifier=Ideal(resistance=0.0),
        reservoir=32e-6,
        sections=(Section(resistance=100.0, capacitance=16e-6, load=Load(current=0.01)),),
        load=Load(resistance=1e4),
        bleeder=220e3,
        reservoir_load=Load(current=0.05),
    ).off_load()
    loads = (supply.load, supply.reservoir_load, supply.sections[0].load)
    assert [(load.resistance, load.current) for load in loads] == [(float("inf"), 0.0)] * 3
    assert supply.bleeder == 220e3
