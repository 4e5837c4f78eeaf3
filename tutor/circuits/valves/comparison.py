"""The figures that a sheet prints, beside those of a law."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from tutor.circuits.valves import stages
from tutor.circuits.valves.models import Array, Diode, Law
from tutor.circuits.valves.operating_point import ValvePoint
from tutor.circuits.valves.sheet import FitError, SheetPoint, SheetStage, System
from tutor.circuits.valves.small_signal import small_signal, small_signal_at
from tutor.circuits.valves.valve import Valve

Compared: TypeAlias = list[tuple[str, float, float]]
"""What is compared, the printed figure, the law's figure; in SI units."""


def compare_point(law: Law, point: SheetPoint) -> Compared:
    """Return the figures of a sheet's point, each that is printed, beside those of a law."""
    if isinstance(law, Diode):
        return [("drop", point.anode_voltage, float(law.drop(np.array(point.anode_current))))]
    voltages = [point.anode_voltage, point.grid_voltage or 0.0]
    if point.screen_voltage is not None:
        voltages.append(point.screen_voltage)
    at = np.array(voltages)
    currents, slopes = law.slopes(at)
    small = small_signal_at(law, at)
    rows: list[tuple[str, float | None, Array]] = [
        ("anode current", point.anode_current, currents[0]),
        ("gm", point.gm, small.gm),
        ("ra", point.ra, small.ra),
    ]
    if point.screen_voltage is None:
        rows.append(("mu", point.mu, small.mu))
    else:
        rows.append(("screen current", point.screen_current, currents[2]))
        rows.append(("inner mu", point.inner_mu, slopes[2, 1] / slopes[2, 2]))
    return [(name, printed, float(of_law)) for name, printed, of_law in rows if printed is not None]


def settled(law: Law, stages_: Sequence[SheetStage]) -> ValvePoint:
    """Return where a law settles in printed stages of one kind; arrays of one draw for each stage."""
    valve = Valve(law)
    ht, anode, cathode = (_column(stages_, key) for key in ("ht", "anode_load", "cathode_resistor"))
    if "screen" in law.ports:
        return stages.pentode_stage(valve, ht, anode, _column(stages_, "screen_resistor"), cathode).of()
    return stages.cathode_bias(valve, ht, anode, cathode).of()


def compare_stages(law: Law, stages_: Sequence[SheetStage]) -> list[Compared]:
    """Return the gain and the currents of printed stages, each that is printed, beside those of a law."""
    point = settled(law, stages_)
    small = small_signal(point)
    into = 1 / _column(stages_, "anode_load") + 1 / _column(stages_, "next_leak", missing=math.inf)
    figures = {
        "gain": small.gm / (1 / small.ra + into),
        "anode_current": point.current("anode"),
        "cathode_current": point.cathode_current,
    }
    if "screen" in law.ports:
        figures["screen_current"] = point.current("screen")
    return [
        [
            (name.replace("_", " "), getattr(stage, name), float(of_law[row]))
            for name, of_law in figures.items()
            if getattr(stage, name) is not None
        ]
        for row, stage in enumerate(stages_)
    ]


def _column(stages_: Sequence[SheetStage], name: str, missing: float = math.nan) -> Array:
    values = [getattr(stage, name) for stage in stages_]
    return np.array([missing if value is None else value for value in values], dtype=np.float64)


def errors_of(law: Law, system: System, stages_fitted: bool) -> tuple[FitError, ...]:
    """Return how far a law is from every printed figure of a system.

    Args:
        law: The law.
        system: Its points and stages.
        stages_fitted: Whether the law was fitted to the stages too.
    """
    found: list[FitError] = []
    for point in system.points:
        found += _told(point.name, compare_point(law, point), not point.left_out)
    if not system.stages:
        return tuple(found)
    rows: dict[str, int] = {}
    for stage, compared in zip(system.stages, compare_stages(law, system.stages), strict=True):
        rows[stage.table] = rows.get(stage.table, 0) + 1
        found += _told(f"{stage.table}, row {rows[stage.table]}", compared, stages_fitted and not stage.left_out)
    return tuple(found)


def _told(place: str, compared: Compared, fitted: bool) -> list[FitError]:
    return [
        FitError(place=place, figure=figure, per_cent=round(100 * (of_law / printed - 1), 2), fitted=fitted)
        for figure, printed, of_law in compared
    ]
