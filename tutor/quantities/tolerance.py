"""Tolerances: how far a value may lie from another and still count as it.

A tolerance has a relative part, an absolute part, or both, and then the larger of the two holds: "1 %, at
least 0.5 mV" serves values near nought. A per cent of a level in decibels means nothing and is refused.
"""

import math
from dataclasses import dataclass, replace

from tutor.quantities.errors import DimensionError, QuantityFormatError, ToleranceError
from tutor.quantities.reading import Reading, read_quantity
from tutor.quantities.units import DECIBEL, RATIO, Unit, read_unit
from tutor.quantities.writing import show_exact, show_in

SLACK = 1e-9
"""Share of a half-width by which arithmetic may overstep a bound that is itself right."""

NOISE = 1e-12
"""Share of a key that is arithmetic and no difference; it keeps "exact" from failing on the last bits."""

_PER_CENT = read_unit("%")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """A band about a value.

    Attributes:
        relative: Half-width as a ratio to the value: 0.02 for 2 %.
        absolute: Half-width in coherent units.
        kind: The unit of the absolute part; a plain ratio where there is none.
    """

    relative: float = 0.0
    absolute: float = 0.0
    kind: Unit = RATIO

    def __post_init__(self) -> None:
        for part in (self.relative, self.absolute):
            if not 0 <= part < math.inf:
                raise ToleranceError(repr(part), "a tolerance is not negative and not infinite", "write 2 %")

    def half_width(self, key: float) -> float:
        """Return how far a value may lie from the key, in the unit of the key."""
        return max(self.relative * abs(key), self.absolute)

    def accepts(self, key: float, value: float) -> bool:
        """Say whether a value counts as the key; a value on the bound itself does."""
        half_width = self.half_width(key)
        # The bound itself is right: "5 %" promises the learner 5 %, whatever the last bits of a float say.
        slack = SLACK * half_width + NOISE * abs(key)
        return math.isfinite(value - key) and abs(value - key) <= half_width + slack

    def scaled(self, factor: float) -> "Tolerance":
        """Return a tolerance with both parts multiplied by a positive factor."""
        return replace(self, relative=self.relative * factor, absolute=self.absolute * factor)

    def fit(self, unit: Unit) -> "Tolerance":
        """Return the tolerance itself if it can be used on values in a unit.

        Raises:
            DimensionError: If it is a per cent on decibels, or its absolute part has another unit.
        """
        if self.relative and unit.kind == DECIBEL.kind:
            raise DimensionError(
                f"a tolerance of {self}", unit.name, "a level takes an absolute band, for example 0.2 dB"
            )
        if self.absolute and not self.kind.fits(unit):
            example = "2 %" if not unit.symbol else f"2 % or {show_exact(0.1, unit)}"
            raise DimensionError(f"a tolerance of {self}", unit.name, f"write for example {example}")
        return self

    def __str__(self) -> str:
        """Return the text that `read_tolerance` reads as this tolerance."""
        absolute = show_exact(self.absolute, self.kind)
        if self.relative:
            share = show_in(self.relative, _PER_CENT, 12)
            return f"{share}, at least {absolute}" if self.absolute else share
        if not self.absolute:
            return "exact"
        return absolute if self.kind.symbol else f"at least {absolute}"


_CURE = "write 2 %, 0.2 dB, 0.5 V, exact, or 1 %, at least 0.5 mV"


def read_tolerance(text: str) -> Tolerance:
    """Read a tolerance: "2 %", "0.2 dB", "3°", "0.5 V", "1 %, at least 0.5 mV", "at least 0.05", "exact".

    A sign ± before it is allowed. A bare number is refused, since 5 might mean 5 % or a band of 5; a band for
    a plain ratio is written "at least 0.05".

    Raises:
        ToleranceError: If the text is none of these; says what would do.
    """
    if len(text) > 100:
        raise ToleranceError(text, "it is longer than 100 characters", _CURE)
    plain = text.strip()
    if plain.lower() == "exact":
        return Tolerance()
    share, joint, least = plain.partition("at least")
    share = share.rstrip().removesuffix(",").rstrip()
    if not joint:
        return _one_part(text, share)
    relative = _one_part(text, share) if share else Tolerance()
    if relative.absolute:
        raise ToleranceError(text, "the part before 'at least' is no per cent", _CURE)
    band = _amount(text, least)
    return replace(relative, absolute=band.quantity.magnitude, kind=band.quantity.unit)


def _one_part(text: str, part: str) -> Tolerance:
    """Read a tolerance of a single part: a per cent, or an absolute band that carries its unit."""
    reading = _amount(text, part)
    if not reading.unit_written:
        bare = _without_sign(part).strip()
        reason = f"{bare} has no unit: {bare} % is a share of the value, 'at least {bare}' a band about it"
        raise ToleranceError(text, reason, _CURE)
    magnitude, unit = reading.quantity.magnitude, reading.quantity.unit
    if not unit.fits(RATIO):
        return Tolerance(absolute=magnitude, kind=unit)
    if magnitude >= 1:
        raise ToleranceError(text, "100 % or more would accept nought", _CURE)
    return Tolerance(relative=magnitude)


def _amount(text: str, part: str) -> Reading:
    """Read one amount of a tolerance, without its sign of spread."""
    try:
        reading = read_quantity(_without_sign(part))
    except QuantityFormatError as fault:
        raise ToleranceError(text, fault.reason, _CURE) from fault
    if reading.quantity.magnitude < 0:
        raise ToleranceError(text, "a tolerance is not negative", _CURE)
    return reading


def _without_sign(part: str) -> str:
    """Return an amount without the sign of spread before it."""
    for sign in ("±", "+/-", "+-", "+/−"):
        part = part.strip().removeprefix(sign)
    return part


def rounding_interval(figures: int) -> float:
    """Return the largest share by which rounding to so many significant figures moves a value.

    Args:
        figures: Significant figures, one or more.

    Returns:
        A ratio: 0.05 for two figures, 0.005 for three (1.00 may stand for anything from 0.995 to 1.005).

    Raises:
        ToleranceError: If figures is less than one.
    """
    if figures < 1:
        raise ToleranceError(f"{figures} figures", "a number has at least one figure", "write for example 3")
    return float(f"5e-{figures}")
