"""A drawn `fault` ask as plain data: the table of readings, and what each suspect would make of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tutor.circuits.faults.instrument import INSTRUMENTS, Instrument
from tutor.quantities import VOLT, show
from tutor.questions.fault_finding import Table, table_of
from tutor.questions.fault_words import compared, remaining, ruled_out
from tutor.questions.template import Ask, Template

FIGURES = 3


def fault_detail(
    template: Template, ask: Ask, values: Mapping[str, float], labels: Mapping[str, str]
) -> dict[str, Any]:
    """Return what a member sees of a fault ask, and what its solution needs.

    Returns:
        `meter` in words; `readings`, a row for each test point with `node`, `words`, `healthy`, `found`, `range` (""
        for a meter that finds its own), `off` (whether the two differ by more than the meter's errors) and the figures
        `value` and `full_scale` [V]; `suspects` with `name`, `part`, `fault`, what each `reads` at every point, and
        `against`, the point that speaks most clearly against it.
    """
    table = table_of(template, ask, values, labels, 1)
    instrument = INSTRUMENTS[ask.meter]
    rows = [_row(table, instrument, index, point) for index, point in enumerate(ask.points.items())]
    suspects = [
        {
            "name": suspect.name,
            "part": suspect.fault.part,
            "fault": suspect.fault.words,
            "reads": [
                _volts(instrument, float(v), row) for v, row in zip(table.predicted[case, :, 0], rows, strict=True)
            ],
            "against": _against(table, case),
        }
        for case, suspect in enumerate(ask.suspects, 1)
    ]
    return {"meter": instrument.name, "readings": rows, "suspects": suspects}


def _row(table: Table, instrument: Instrument, index: int, point: tuple[str, str]) -> dict[str, Any]:
    node, words = point
    healthy, found = float(table.healthy[index, 0]), float(table.shown[index, 0])
    scales = float(table.healthy_ranges[index, 0]), float(table.ranges[index, 0])
    error = float(table.errors[index, 0]) + instrument.error(healthy, scales[0])
    return {
        "node": node,
        "words": words,
        "healthy": show(healthy, VOLT, FIGURES, trim=not healthy),
        "found": show(found, VOLT, FIGURES, trim=not found),
        "healthy range": show(scales[0], VOLT, trim=True) if scales[0] else "",
        "range": show(scales[1], VOLT, trim=True) if scales[1] else "",
        "off": abs(found - healthy) > error,
        "value": found,
        "full_scale": scales[1],
    }


def _volts(instrument: Instrument, voltage: float, row: Mapping[str, Any]) -> str:
    """Return what a suspect would be read as on the range of the row."""
    scale = float(row["full_scale"])
    if voltage != voltage:  # no operating point
        return "nothing steady"
    if scale and abs(voltage) > scale * 1.02:
        return f"more than the {row['range']} range shows"
    shown = instrument.shown(voltage, scale)
    return show(shown, VOLT, FIGURES, trim=not shown)


def _against(table: Table, case: int) -> int:
    """Return the point at which a suspect fits worst, measured by the meter's error."""
    misfits = [
        abs(float(p) - float(s)) / float(e) if p == p else float("inf")
        for p, s, e in zip(table.predicted[case, :, 0], table.shown[:, 0], table.errors[:, 0], strict=True)
    ]
    return max(range(len(misfits)), key=lambda index: misfits[index])


def fault_steps(detail: Mapping[str, Any], key: str) -> list[str]:
    """Return the reasoning from the readings: which are off, what every suspect would make, what is left."""
    culprit = next(suspect for suspect in detail["suspects"] if suspect["name"] == key)
    others = [suspect for suspect in detail["suspects"] if suspect["name"] != key]
    return [compared(detail), *(ruled_out(detail, suspect) for suspect in others), remaining(detail, culprit)]
