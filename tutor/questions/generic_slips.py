"""Slips that anybody may make on any ask: a factor of a thousand, the sign, peak for rms, and their kind.

Each is a way of turning the key into the wrong answer; a template's own slips come first. The sentences say what to
look at, never the answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from tutor.quantities import DECIBEL, DEGREE, RATIO, Tolerance, Unit


@dataclass(frozen=True, slots=True)
class GenericSlip:
    """One way of going wrong.

    Attributes:
        name: Its key.
        wrong: Gives the wrong answer for a key.
        says: What to say.
        fits: Tells for which units it is plausible.
    """

    name: str
    wrong: Callable[[float], float]
    says: str
    fits: Callable[[Unit], bool]


def _measured(unit: Unit) -> bool:
    return unit.kind not in (DECIBEL.kind, DEGREE.kind)


def _ratio(unit: Unit) -> bool:
    return unit == RATIO


def _level(unit: Unit) -> bool:
    return unit.kind == DECIBEL.kind


def _angle(unit: Unit) -> bool:
    return unit.kind == DEGREE.kind


def _any(_unit: Unit) -> bool:
    return True


def _times(factor: float) -> Callable[[float], float]:
    return lambda key: key * factor


_TWO_PI = 2 * math.pi
_TOO_LARGE = "The figures are right, but the answer is {} times too large: look at the prefixes of what you put in."
_TOO_SMALL = "The figures are right, but the answer is {} times too small: look at the prefixes of what you put in."

GENERIC_SLIPS: tuple[GenericSlip, ...] = (
    GenericSlip("sign", _times(-1), "The size is right, the sign is not: look at which way it counts.", _any),
    GenericSlip("thousand-large", _times(1e3), _TOO_LARGE.format("a thousand"), _measured),
    GenericSlip("thousand-small", _times(1e-3), _TOO_SMALL.format("a thousand"), _measured),
    GenericSlip("million-large", _times(1e6), _TOO_LARGE.format("a million"), _measured),
    GenericSlip("million-small", _times(1e-6), _TOO_SMALL.format("a million"), _measured),
    GenericSlip(
        "two-pi-missing",
        _times(_TWO_PI),
        "Too large by 2π: a frequency goes with ω = 2πf, not with f alone.",
        _measured,
    ),
    GenericSlip(
        "two-pi-extra",
        _times(1 / _TWO_PI),
        "Too small by 2π: a factor 2π stands below the line once too often.",
        _measured,
    ),
    GenericSlip(
        "peak-for-rms", _times(math.sqrt(2)), "Too large by √2: that is a peak where an rms value belongs.", _measured
    ),
    GenericSlip(
        "rms-for-peak", _times(math.sqrt(0.5)), "Too small by √2: that is an rms value where a peak belongs.", _measured
    ),
    GenericSlip(
        "twice", _times(2), "Twice too large: look for a factor of two, such as peak to peak for peak.", _measured
    ),
    GenericSlip("half", _times(0.5), "Half of what it should be: look for a factor of two that was lost.", _measured),
    GenericSlip(
        "ten-log", _times(0.5), "Half of what it should be: for voltages it is 20 log; 10 log is for power.", _level
    ),
    GenericSlip("twenty-log", _times(2), "Twice too large: for powers it is 10 log; 20 log is for voltages.", _level),
    GenericSlip("radians", lambda key: math.radians(key), "That is the angle in radians; degrees are wanted.", _angle),
    GenericSlip("per-cent", _times(100), "The figures are those of per cent: a plain ratio is wanted.", _ratio),
    GenericSlip(
        "per-cent-twice", _times(0.01), "A hundred times too small: look at where per cent come into it.", _ratio
    ),
    GenericSlip("upside-down", lambda key: 1 / key, "The ratio is upside down: look at which goes over which.", _ratio),
    GenericSlip("squared", lambda key: key * key, "That is the square of what is wanted.", _ratio),
    GenericSlip("root", lambda key: math.sqrt(abs(key)), "That is the root of what is wanted.", _ratio),
)


def generic_slip(key: float, value: float, unit: Unit, tolerance: Tolerance) -> GenericSlip | None:
    """Return the generic slip that gives a value, or None when none does, or more than one.

    A slip whose wrong answer lies within two half-widths of the key is passed over: it could be mere rounding. Where
    two slips give the same value (twice a ratio of 2, and its square) neither is named: it could be either.
    """
    if key == 0 or not math.isfinite(value):
        return None
    width = tolerance.half_width(key)
    found = []
    for slip in GENERIC_SLIPS:
        if slip.fits(unit):
            wrong = slip.wrong(key)
            if abs(wrong - key) >= 2 * width and tolerance.accepts(wrong, value):
                found.append(slip)
    return found[0] if len(found) == 1 else None


def thousands_off(key: float, value: float, tolerance: Tolerance) -> int:
    """Return n when the value is the key times 1000ⁿ within tolerance, n from −4 to 4 and not 0; otherwise 0."""
    for n in (1, -1, 2, -2, 3, -3, 4, -4):
        factor = 1000.0**n
        if tolerance.accepts(key, value / factor) and not tolerance.accepts(key, value):
            return n
    return 0
