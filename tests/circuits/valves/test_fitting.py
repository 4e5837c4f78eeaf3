"""Our own fits: found again from the facts, deterministic, and written as they are read."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tutor.circuits.valves import type_file
from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.fitting import fit_type, rounded, written
from tutor.circuits.valves.least_squares import least_squares
from tutor.circuits.valves.models import Array
from tutor.circuits.valves.sheet import ValveType
from tutor.circuits.valves.type_file import read_types

AGAIN = 1e-4
"""How closely parameters are found again, as a ratio: six figures are stored, and machines differ in the last bits of a
logarithm, which the flattest direction of a fit magnifies."""


@pytest.fixture(scope="module")
def fitted() -> dict[str, ValveType]:
    return {name: fit_type(found) for name, found in read_types(with_fits=False).items()}


@pytest.mark.parametrize("name", known_types())
def test_a_fit_made_again_gives_what_is_stored(name: str, fitted: dict[str, ValveType]) -> None:
    for kind, system in fitted[name].systems.items():
        stored = valve_type(name).systems[kind]
        assert [fit.name for fit in system.fits] == [fit.name for fit in stored.fits]
        for again, before in zip(system.fits, stored.fits, strict=True):
            assert again.law == before.law
            assert again.parameters == pytest.approx(before.parameters, rel=AGAIN), again.name
            assert again.rms == pytest.approx(before.rms, abs=0.02)
            for one, other in zip(again.errors, before.errors, strict=True):
                assert (one.place, one.figure, one.fitted) == (other.place, other.figure, other.fitted)
                assert one.per_cent == pytest.approx(other.per_cent, abs=0.03)
            for limit in ("anode_voltage", "cathode_current", "screen_voltage"):
                assert getattr(again.limits, limit) == pytest.approx(getattr(before.limits, limit), rel=0.01)


def test_what_is_written_is_read_back(fitted: dict[str, ValveType], tmp_path: Path) -> None:
    for name in ("types.yaml", "stages.yaml"):
        (tmp_path / name).write_text((type_file.FOLDER / name).read_text("utf-8"), encoding="utf-8")
    (tmp_path / "fits.yaml").write_text(written(fitted), encoding="utf-8")
    assert read_types(tmp_path) == fitted


def test_the_rms_is_that_of_the_errors_fitted_to() -> None:
    for name in known_types():
        for system in valve_type(name).systems.values():
            for fit in system.fits:
                used = [error.per_cent for error in fit.errors if error.fitted]
                assert fit.rms == pytest.approx(math.sqrt(sum(e * e for e in used) / len(used)), abs=0.006)


def test_a_point_left_out_moves_nothing_but_keeps_its_error() -> None:
    fit = valve_type("EF86").system().fit()
    left_out = [error for error in fit.errors if error.place == "1956"]
    assert {error.figure for error in left_out} == {"anode current", "screen current", "gm", "ra", "inner mu"}
    assert not any(error.fitted for error in left_out)


def test_stored_parameters_have_six_figures() -> None:
    for name in known_types():
        for system in valve_type(name).systems.values():
            for fit in system.fits:
                for value in fit.parameters.values():
                    assert rounded(value, 6) == value


def test_least_squares_finds_parameters_that_made_the_data() -> None:
    x = np.linspace(0.1, 3, 25)

    def curve(p: Array) -> Array:
        return np.asarray(p[0] * np.exp(-p[1] * x) + p[2])

    data = curve(np.array([2.0, 1.3, 0.4]))
    found = least_squares(lambda p: curve(p) - data, np.array([1.0, 0.5, 0.0]))
    assert found.tolist() == pytest.approx([2.0, 1.3, 0.4], rel=1e-7)


def test_least_squares_meets_the_normal_equations_where_data_cannot_be_met() -> None:
    a = np.array([[1.0, 2.0], [3.0, -1.0], [0.5, 0.5], [2.0, 2.0]])
    b = np.array([1.0, 2.0, -1.0, 0.5])
    found = least_squares(lambda p: a @ p - b, np.array([0.0, 0.0]))
    assert found.tolist() == pytest.approx(np.linalg.lstsq(a, b, rcond=None)[0].tolist(), rel=1e-8)


def test_least_squares_takes_the_same_way_twice() -> None:
    def valley(p: Array) -> Array:
        return np.array([10 * (p[1] - p[0] ** 2), 1 - p[0]])

    first, second = (least_squares(valley, np.array([-1.2, 1.0])) for _ in range(2))
    assert np.array_equal(first, second)
    assert first.tolist() == pytest.approx([1.0, 1.0], abs=1e-8)
