"""Preferred values: the numbers in which resistors and capacitors are made.

Values are exact decimals: 47 kΩ of a series is the float 47000.0, not one that arithmetic came near to.

Source: IEC 60063, Preferred number series for resistors and capacitors; E3 and E192 from memory of the same
standard (E192 is the formula's values with 920 in place of 919). Checked in ``tests/published``.
"""

import math
from collections.abc import Iterator

from tutor.quantities.errors import PreferredValueError, SeriesError

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


def _three_figures(count: int) -> tuple[int, ...]:
    """Return the values of a series that follows its formula; E24 and coarser do not."""
    return tuple(round(100 * 10 ** (place / count)) for place in range(count))


SERIES: dict[str, tuple[int, ...]] = {
    "E3": _E24[::8],
    "E6": _E24[::4],
    "E12": _E24[::2],
    "E24": _E24,
    "E48": _three_figures(48),
    "E96": _three_figures(96),
    # The one place where the standard leaves its formula.
    "E192": tuple(920 if value == 919 else value for value in _three_figures(192)),
}
"""Name of a series to its values in one decade: two figures up to E24, three above."""

_TOLERANCES = {"E3": 0.4, "E6": 0.2, "E12": 0.1, "E24": 0.05, "E48": 0.02, "E96": 0.01, "E192": 0.005}

SLACK = 1e-9
"""Share of a value by which arithmetic may miss a preferred value and still mean it."""


def series_named(series: str) -> tuple[int, ...]:
    """Return the values of a series in one decade.

    Raises:
        SeriesError: If there is no series of that name.
    """
    values = SERIES.get(series)
    if values is None:
        raise SeriesError(series, tuple(SERIES), _name_like(series))
    return values


def _name_like(series: str) -> str:
    """Return the known name whose number is nearest; E12 where there is no number."""
    digits = "".join(sign for sign in series[:8] if sign in "0123456789")
    wanted = int(digits or "12")
    return min(SERIES, key=lambda name: abs(int(name[1:]) - wanted))


def usual_tolerance(series: str) -> float:
    """Return the tolerance, as a ratio, of parts usually made in a series: 0.1 for E12.

    E3 and E192 are from memory: the standard says of E3 only that it is for more than 20 %.

    Raises:
        SeriesError: If there is no series of that name.
    """
    series_named(series)
    return _TOLERANCES[series]


def values_between(series: str, low: float, high: float) -> tuple[float, ...]:
    """Return the values of a series from low to high, both included, in rising order.

    Args:
        series: Its name.
        low: Lower bound in any coherent unit, positive.
        high: Upper bound in the same unit; an upper bound under the lower one leaves nothing.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If a bound is not positive and finite.
    """
    _require_size(low)
    _require_size(high)
    least, most = low * (1 - SLACK), high * (1 + SLACK)
    decades = range(_decade(low) - 1, _decade(high) + 2)
    return tuple(value for decade in decades for value in _decade_of(series, decade) if least <= value <= most)


def nearest(series: str, value: float) -> float:
    """Return the preferred value nearest by ratio.

    Nearness is geometric: the neighbour whose quotient with the value is closer to one wins, because a
    tolerance is a share of the value: in E6 the border between 10 and 15 is 12.25, not 12.5. No decimal is
    equally near two values, since no two neighbours have a rational geometric mean.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If the value is not positive and finite.
    """
    below, above = round_down(series, value), round_up(series, value)
    return below if value / below < above / value else above


def round_up(series: str, value: float) -> float:
    """Return the smallest preferred value that is not less.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If the value is not positive and finite.
    """
    return next(each for each in _around(series, value) if each >= value * (1 - SLACK))


def round_down(series: str, value: float) -> float:
    """Return the largest preferred value that is not more.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If the value is not positive and finite.
    """
    return max(each for each in _around(series, value) if each <= value * (1 + SLACK))


def neighbours(series: str, value: float) -> tuple[float, float]:
    """Return the preferred values next below and next above, neither of them the value itself.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If the value is not positive and finite.
    """
    around = tuple(_around(series, value))
    below = max(each for each in around if each < value * (1 - SLACK))
    return below, next(each for each in around if each > value * (1 + SLACK))


def is_preferred(series: str, value: float) -> bool:
    """Say whether a value belongs to a series.

    Raises:
        SeriesError: If there is no series of that name.
        PreferredValueError: If the value is not positive and finite.
    """
    return any(math.isclose(each, value, rel_tol=SLACK) for each in _around(series, value))


def _require_size(value: float) -> None:
    if not 1e-280 < value < 1e280:
        raise PreferredValueError(value, "it must be positive and of a size that parts have")


def _decade(value: float) -> int:
    return math.floor(math.log10(value))


def _decade_of(series: str, decade: int) -> Iterator[float]:
    """Yield the values of a series from 10**decade up, each the float nearest to its decimal."""
    values = series_named(series)
    shift = decade - (len(str(values[0])) - 1)
    return (float(f"{value}e{shift}") for value in values)


def _around(series: str, value: float) -> Iterator[float]:
    """Yield in rising order the values of the decade of a value and of both its neighbours."""
    _require_size(value)
    decade = _decade(value)
    return (each for near in (decade - 1, decade, decade + 1) for each in _decade_of(series, near))
