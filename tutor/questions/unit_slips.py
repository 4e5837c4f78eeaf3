"""Units of answers: what fits the ask, what is the same in other words, and a right figure with a wrong unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from tutor.quantities import DEGREE, DIMENSIONLESS, RADIAN, Quantity, Reading, Tolerance, Unit, best_prefix
from tutor.questions.generic_slips import thousands_off
from tutor.questions.question import DrawnAsk
from tutor.questions.words import with_article


@dataclass(frozen=True, slots=True)
class UnitSlip:
    """A right figure with a wrong prefix or unit.

    Attributes:
        name: `prefix` or `unit`.
        says: What to say.
        mended: The answer with the right unit, for carrying on with.
    """

    name: str
    says: str
    mended: Reading


def in_kind_of(reading: Reading, wanted: Unit) -> Reading:
    """Return an angle in the kind of unit that is wanted, radians as degrees or the reverse; others as they are."""
    unit = reading.quantity.unit
    if unit.dimension != DIMENSIONLESS or {unit.kind, wanted.kind} != {DEGREE.kind, RADIAN.kind}:
        return reading
    return _scaled(reading, math.degrees(1) if wanted.kind == DEGREE.kind else math.radians(1), wanted)


def fits(ask: DrawnAsk, reading: Reading) -> bool:
    """Tell whether an answer has the kind of unit wanted; a plain number may stand for any dimensionless one."""
    unit, wanted = reading.quantity.unit, ask.key_unit
    return unit.dimension == wanted.dimension and (unit.kind == wanted.kind or not unit.kind)


def unit_slip(ask: DrawnAsk, reading: Reading, band: Tolerance, key: float) -> UnitSlip | None:
    """Return the slip of a right figure with a wrong prefix or unit, or None.

    Args:
        ask: What is asked.
        reading: What was read.
        band: How far off is still right.
        key: The right value, or what follows from the member's own earlier answers.
    """
    if key == 0:
        return None
    if fits(ask, reading):
        says = "The figure is right, the prefix is not: look at how many noughts it stands for."
        if ask.printed_unit.text == "%":
            says = "The figure is right as a plain ratio; per cent are wanted."
        found = _of_prefix(ask, reading, band, key)
        return None if found is None else UnitSlip("prefix", says, _scaled(reading, found, ask.key_unit))
    for scale in (1.0, ask.printed_unit.factor):
        figure = reading.quantity.magnitude * scale
        off = thousands_off(key, figure, band)
        if off or band.accepts(key, figure):
            says = f"The figure is right, the unit is not: {with_article(ask.key_unit.name)} is wanted."
            return UnitSlip("unit", says, _scaled(reading, scale * 1000.0**-off, ask.key_unit))
    return None


def _of_prefix(ask: DrawnAsk, reading: Reading, band: Tolerance, key: float) -> float | None:
    """Return by what the answer must be multiplied to be right, if a prefix alone is at fault."""
    value = reading.quantity.magnitude
    if reading.prefix_written:
        off = thousands_off(key, value, band)
        return 1000.0**-off if off else None
    return next((scale for scale in _forgotten(ask, reading, key) if band.accepts(key, value * scale)), None)


def _forgotten(ask: DrawnAsk, reading: Reading, key: float) -> Iterator[float]:
    """Yield the factors that a member may have left out or put in twice without writing a prefix."""
    if ask.printed_unit.factor != 1.0 and not (ask.printed == "%" and reading.unit_written):
        # Beside kΩ: 4.7 Ω for 4.7 kΩ, or 4700 as if ohms were counted there. Who writes per cent means them.
        yield ask.printed_unit.factor if reading.unit_written else 1 / ask.printed_unit.factor
    best = best_prefix(key, ask.key_unit).factor
    if reading.unit_written and best != 1.0:
        yield best


def _scaled(reading: Reading, factor: float, unit: Unit) -> Reading:
    quantity = Quantity(reading.quantity.magnitude * factor, unit)
    return replace(reading, quantity=quantity, last_figure=reading.last_figure * factor)
