"""Types by name, and what stands in the catalogue about them."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import pytest

from tutor.circuits.valves import type_file
from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.errors import UnknownValveError, ValveError
from tutor.circuits.valves.type_file import read_types
from tutor.circuits.valves.valve import law_called


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("ECC83", "ECC83"),
        ("12AX7", "ECC83"),
        ("ecc 83", "ECC83"),
        ("6SN7", "6SN7GT"),
        ("6V6", "6V6GT"),
        ("6bq5", "EL84"),
    ],
)
def test_a_type_is_found_by_any_of_its_names(asked: str, name: str) -> None:
    assert valve_type(asked).name == name


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("ECC84", "there is no valve type 'ECC84'; did you mean ECC83?; known are ECC83, ECC82,"),
        ("PCL82", "; the PCL82 is like the ECL82, with a heater of 16 V and 0.3 A; known are"),
        ("triode", "there is no valve type 'triode'; known are"),
    ],
)
def test_an_unknown_type_is_told_with_what_is_near(asked: str, said: str) -> None:
    with pytest.raises(UnknownValveError) as caught:
        valve_type(asked)
    assert said in str(caught.value)
    assert caught.value.name == asked
    assert caught.value.known == known_types()
    assert isinstance(caught.value, LookupError)


def test_no_name_means_two_types() -> None:
    spelt: list[str] = []
    for name in known_types():
        found = valve_type(name)
        spelt += [found.name, *found.aliases, *found.relatives]
    assert len(spelt) == len(set(spelt))


def test_an_unknown_system_or_fit_is_told_with_what_there_is() -> None:
    with pytest.raises(UnknownValveError) as caught:
        valve_type("ECL82").system()
    assert str(caught.value) == "there is no system of the ECL82 ''; known are triode, pentode"
    with pytest.raises(UnknownValveError) as caught:
        valve_type("ECC82").valve(fit="table")
    assert str(caught.value) == "there is no fit of this triode 'table'; known are sheet points"
    with pytest.raises(UnknownValveError) as caught:
        law_called("Steinmetz triode", {})
    assert str(caught.value).startswith("there is no law of a valve 'Steinmetz triode'; did you mean Koren")


@pytest.mark.parametrize("name", known_types())
def test_everything_that_a_lesson_needs_stands_with_each_type(name: str) -> None:
    found = valve_type(name)
    assert found.description
    assert found.base
    assert found.heater.voltage >= 2.5
    assert found.heater.current >= 0.2
    for kind, system in found.systems.items():
        assert kind == system.kind
        assert system.points
        assert system.fits[0].name == "sheet points"
        for point in system.points:
            assert point.source
            assert point.seen in {"transcription", "curve", "memory"}
        if kind == "rectifier":
            assert system.ratings.peak_inverse_voltage
            assert system.ratings.peak_current
        else:
            assert system.ratings.anode_voltage
            assert system.ratings.anode_dissipation
            assert system.capacitances.grid_anode
        assert system.ratings.source
        assert system.ratings.seen


@pytest.mark.parametrize("name", known_types())
def test_pins_name_every_electrode_of_a_triode_or_pentode(name: str) -> None:
    found = valve_type(name)
    if not found.pins or found.heater.direct:
        return
    joined = " ".join(found.pins.values())
    assert all(word in joined for word in ("anode", "grid", "cathode", "heater"))
    assert ("screen" in joined) is ("pentode" in found.systems)
    assert joined.count("anode") == next(iter(found.systems.values())).alike


def test_a_sheets_own_numbers_belong_together() -> None:
    """mu = gm·ra, to what a sheet rounds; and nothing is over its rating."""
    for name in known_types():
        for system in valve_type(name).systems.values():
            for point in system.points:
                if point.mu and point.gm and point.ra:
                    assert point.gm * point.ra == pytest.approx(point.mu, rel=0.02), (name, point.name)
                if system.ratings.anode_dissipation:
                    assert point.anode_voltage * point.anode_current <= system.ratings.anode_dissipation * 1.001


def test_the_range_of_a_law_holds_the_points_that_it_was_fitted_to() -> None:
    for name in known_types():
        for system in valve_type(name).systems.values():
            for fit in system.fits:
                (low, high), (least, most) = fit.limits.anode_voltage, fit.limits.cathode_current
                for point in (point for point in system.points if not point.left_out):
                    assert low < point.anode_voltage <= high
                    assert least < point.anode_current + (point.screen_current or 0) <= most
                    assert fit.limits.cut_off < point.anode_current


def test_reading_the_catalogue_loads_neither_numpy_nor_sympy() -> None:
    code = (
        "import sys; from tutor.circuits.valves.catalogue import valve_type;"
        "print(valve_type('ECC83').system().ratings.anode_voltage, 'numpy' in sys.modules, 'sympy' in sys.modules)"
    )
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["300.0", "False", "False"]


def test_importing_circuits_or_this_package_loads_nothing() -> None:
    code = "import sys, tutor.circuits, tutor.circuits.valves; print('numpy' in sys.modules, 'yaml' in sys.modules)"
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("gm: 1.6 mA/V", "gm: 1.6 mA", "gm: '1.6 mA' is in the wrong unit"),
        ("mu: 100, seen", "my: 100, seen", "there is no such key: my"),
        ("grid leak: 2 MΩ", "grid lake: 2 MΩ", "there is no such key: grid lake"),
    ],
)
def test_a_slip_in_the_facts_is_told_with_its_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    for name in ("types.yaml", "stages.yaml", "fits.yaml"):
        text = (type_file.FOLDER / name).read_text("utf-8")
        if name == "types.yaml":
            assert old in text
            text = text.replace(old, new, 1)
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(ValveError) as caught:
        read_types(tmp_path)
    assert str(caught.value).startswith("ECC83.systems.triode")
    assert said in str(caught.value)


def test_types_are_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        valve_type("ECC83").name = "ECC84"  # type: ignore[misc]
