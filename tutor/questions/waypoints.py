"""How far a wrong answer got: whether it is a value on the way that the worked solution takes to the ask."""

from __future__ import annotations

from tutor.quantities import Reading, Tolerance, read_unit
from tutor.questions.question import DrawnAsk, Question


def value_reached(question: Question, ask: DrawnAsk, reading: Reading, band: Tolerance) -> str | None:
    """Return the symbol of a value on the way that an answer equals within tolerance, its unit considered.

    Only values that come before the ask's own count, and none of an ask that comes later: that would tell its key.

    Args:
        question: The question with its way-points.
        ask: The ask that was answered wrongly.
        reading: What was read.
        band: The tolerance of the ask; absolute bands do not fit other quantities, so their relative part is used.
    """
    later = {other.name for other in question.asks} - {other.name for other in question.asks_before(ask)}
    relative = Tolerance(relative=band.relative or 0.02)
    for waypoint in question.waypoints:
        if waypoint.name == ask.name:
            return None
        unit = read_unit(waypoint.unit).unit
        if waypoint.name in later or not unit.fits(reading.quantity.unit) or not waypoint.value:
            continue
        if relative.accepts(waypoint.value, reading.quantity.magnitude):
            return waypoint.name
    return None
