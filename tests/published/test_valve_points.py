"""The catalogue against the points that sheets print, as tabulated apart from it in ``valve_points.yaml``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.models import Diode
from tutor.circuits.valves.sheet import SheetPoint, System
from tutor.circuits.valves.small_signal import small_signal_at

POINTS: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("valve_points.yaml").read_text("utf-8"))
FIGURES = {
    "Ia_mA": ("anode current", 1e-3),
    "Ig2_mA": ("screen current", 1e-3),
    "gm_mA_V": ("gm", 1e-3),
    "ra_kohm": ("ra", 1e3),
    "mu": ("mu", 1.0),
    "mu_g1g2": ("inner mu", 1.0),
    "V_drop": ("drop", 1.0),
}
WANTED = (
    "ECC81", "ECC82", "ECC83", "6SN7", "6SL7", "EF86", "EL84", "EL34", "6V6", "ECL82", "2A3", "EZ81", "GZ34",
)  # fmt: skip


def system_of(row: dict[str, Any]) -> System:
    return valve_type(row["valve"]).system(row.get("section", ""))


def same_place(point: SheetPoint, row: dict[str, Any]) -> bool:
    if "V_drop" in row:
        return point.anode_current == pytest.approx(row["I_mA"] / 1e3) and point.anode_voltage == row["V_drop"]
    screen = point.screen_voltage or 0
    return (point.anode_voltage, point.grid_voltage, screen) == (row["Va"], row["Vg"], row.get("Vg2", 0))


def of_law(system: System, row: dict[str, Any]) -> dict[str, float]:
    """Return the figures of the law fitted to the sheet's points, worked out from the law alone."""
    law = system.fit("sheet points").make_law()
    if isinstance(law, Diode):
        return {"V_drop": float(law.drop(np.array(row["I_mA"] / 1e3)))}
    at = np.array([row[key] for key in ("Va", "Vg", "Vg2")[: len(law.ports)]], dtype=float)
    currents, slopes = law.slopes(at)
    mu, ra, gm = (float(value) for value in small_signal_at(law, at))
    found = {"Ia_mA": float(currents[0]), "gm_mA_V": gm, "ra_kohm": ra, "mu": mu}
    if len(at) == 3:
        found |= {"Ig2_mA": float(currents[2]), "mu_g1g2": float(slopes[2, 1] / slopes[2, 2])}
    return found


@pytest.mark.parametrize("row", POINTS, ids=lambda row: f"{row['valve']} {row['id']}")
def test_a_sheets_point_is_met_within_the_error_that_is_stored_with_the_fit(row: dict[str, Any]) -> None:
    system = system_of(row)
    (point,) = (point for point in system.points if same_place(point, row))
    stored = {e.figure: e for e in system.fit("sheet points").errors if e.place == point.name}
    found, told = of_law(system, row), 0
    for key, (figure, unit) in FIGURES.items():
        if key in row:
            error = 100 * (found[key] / (row[key] * unit) - 1)
            assert error == pytest.approx(stored[figure].per_cent, abs=0.006), figure
            assert stored[figure].fitted is not bool(point.left_out)
            told += 1
    assert told == len(stored) - ("mu" in stored and "mu" not in row)


def test_the_catalogue_has_every_point_and_no_other() -> None:
    ours = sum(len(system.points) for name in known_types() for system in valve_type(name).systems.values())
    assert ours == len(POINTS)
    for row in POINTS:
        (point,) = (point for point in system_of(row).points if same_place(point, row))
        assert (point.seen == "memory") is bool(row["from_memory"]), (row["valve"], row["id"])


@pytest.mark.parametrize("name", WANTED)
def test_the_types_that_lessons_use_are_there_and_meet_their_sheets(name: str) -> None:
    for system in valve_type(name).systems.values():
        fit = system.fit("sheet points")
        assert fit.rms <= 3.5
        assert max(abs(error.per_cent) for error in fit.errors if error.fitted) <= 6.5, name


@pytest.mark.parametrize(
    ("name", "kind", "worst"),
    [("6L6GC", "pentode", 16.5), ("ECL82", "pentode", 6.0), ("ECC81", "triode", 6.5)],
)
def test_what_a_law_cannot_meet_is_told_by_its_stored_error(name: str, kind: str, worst: float) -> None:
    fit = valve_type(name).system(kind).fit()
    largest = max(abs(error.per_cent) for error in fit.errors if error.fitted)
    assert 5.0 <= largest <= worst
