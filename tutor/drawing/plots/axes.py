"""Axes: what a scale runs over, where its lines stand, how they are labelled, and how finely it can be read.

`linear_axis`, `log_axis` and `date_axis` make one that holds given values, for a given length on the page. What is no
number, or larger than any quantity of the trade, is left out.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from tutor.drawing.plots import texts
from tutor.drawing.plots.days import written_date
from tutor.drawing.plots.errors import PlotError
from tutor.drawing.plots.scales import SMALLEST_GAP, Step, angles_from, division, steps_from
from tutor.quantities import RATIO, Unit, WrittenUnit, best_prefix, number_in, show
from tutor.quantities.dimensions import superscript
from tutor.quantities.units import power_of_ten

Scale = Literal["linear", "log", "date"]

LENGTH = 290.0
"""Pixels of a usual axis across."""

LARGEST = 1e60
"""Beyond this a value is not drawn: two of them would leave the range of numbers."""

_LEAST_TICK_GAP = 20.0
_ROOM_BETWEEN = 7.0
_UNDIVIDED = 8.0  # pixels: a step longer than this wants lines between its labels
_LEAST_SPAN = 1e-7  # of the values themselves: below it the labels would show arithmetic noise
_TIDY = 0.12  # of the axis may be empty for it to end at a labelled line
_DIGITS = tuple(range(1, 10))
_FEW_DIGITS = (1, 2, 5)
_AS_ON_PAPER = (1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 4.5, 5, 6, 7, 8, 9)
_FINE = tuple(
    float(f"{tenth}e-1")
    for first, last, step in ((10, 20, 1), (20, 40, 2), (40, 100, 5))
    for tenth in range(first, last, step)
)
_TENTHS = tuple(float(f"{tenth}e-1") for tenth in range(10, 100))


@dataclass(frozen=True, slots=True)
class Tick:
    """A labelled line of the grid."""

    value: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A scale with its grid.

    Attributes:
        low: Where it begins, in the coherent unit (days of the calendar on an axis of dates).
        high: Where it ends.
        scale: How values are spread along it.
        name: What is plotted ("Anode voltage").
        symbol: Its symbol, such as "V_a", or "".
        written: The unit on the labels, with its prefix.
        ticks: The labelled lines.
        smalls: The lines between them, sorted.
        small: The smallest division of a linear scale; 0 where divisions differ from place to place.
    """

    low: float
    high: float
    scale: Scale
    name: str
    symbol: str = ""
    written: WrittenUnit
    ticks: tuple[Tick, ...]
    smalls: tuple[float, ...]
    small: float = 0.0

    def share(self, value: float) -> float:
        """Return how far along the axis a value stands: 0 at the low end, 1 at the high one, nan for none."""
        if not abs(value) <= LARGEST or (self.scale == "log" and value <= 0):
            return math.nan
        if self.scale == "log":
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    def value_at(self, share: float) -> float:
        """Return the value that stands so far along the axis."""
        if self.scale == "log":
            return self.low * math.pow(self.high / self.low, share)
        return self.low + (self.high - self.low) * share

    @property
    def title(self) -> str:
        """Name, symbol and unit, as they stand beside the axis."""
        unit = f"({self.written.text})" if self.written.text else ""
        return " ".join(word for word in (self.name, self.symbol, unit) if word)

    @property
    def heading(self) -> str:
        """Name and unit, as they stand over a column of a table."""
        return f"{self.name} ({self.written.text})" if self.written.text else self.name

    def told(self, value: float) -> str:
        """Return a value as words say it, with its unit."""
        if self.scale == "log":
            return show(value, self.written.unit)
        return f"{self.number(value)} {self.written.text}".rstrip()

    def number(self, value: float, more: int = 1) -> str:
        """Write a value in the unit of the labels.

        Args:
            value: In the coherent unit.
            more: Places after the point beyond those of a small division; on a log scale four figures and the prefix
                are written instead: 10k.
        """
        if self.scale == "date":
            return written_date(value)
        if self.scale == "log":
            return _with_letter(float(f"{value:.4g}"), self.written.unit)
        places = _places(self.small, self.written) + more
        return _fixed(value, self.written, places)


def small_division(axis: Axis, value: float) -> float:
    """Return the size of the smallest grid division where a value stands: half of it is a fair tolerance for reading.

    On a line between two divisions it is the smaller one; beyond either end, the last one.

    Args:
        axis: The axis.
        value: In the coherent unit.

    Raises:
        PlotError: If the value is no number.

    >>> small_division(log_axis([10, 100e3], name="Frequency"), 260.0)
    50.0
    """
    if not math.isfinite(value):
        raise PlotError("value", str(value), "a number")
    if axis.small:
        return axis.small
    lines = lines_of(axis)
    gaps = [after - before for before, after in itertools.pairwise(lines)]
    index = min(max(bisect_right(lines, value) - 1, 0), len(gaps) - 1)
    near = [index]
    if index > 0 and math.isclose(value, lines[index], rel_tol=1e-9):
        near.append(index - 1)
    if index + 1 < len(gaps) and math.isclose(value, lines[index + 1], rel_tol=1e-9):
        near.append(index + 1)
    return float(f"{min(gaps[one] for one in near):.9g}")


def lines_of(axis: Axis) -> list[float]:
    """Return the values at which an axis is ruled, its ends included."""
    return sorted({axis.low, axis.high, *axis.smalls, *(tick.value for tick in axis.ticks)})


def usable(values: Iterable[float]) -> list[float]:
    """Return the values that can be drawn."""
    return [float(value) for value in values if abs(value) <= LARGEST]


def linear_axis(
    values: Iterable[float],
    *,
    name: str,
    symbol: str = "",
    unit: Unit = RATIO,
    written: WrittenUnit | None = None,
    length: float = LENGTH,
    upright: bool = False,
    exact: bool = False,
    whole: bool = False,
) -> Axis:
    """Return a linear axis that holds the values.

    Args:
        values: In the coherent unit; the smallest and the largest matter.
        name: What is plotted.
        symbol: Its symbol, or "".
        unit: The coherent unit.
        written: The unit for the labels; chosen by the largest value when left out.
        length: Of the axis in pixels.
        upright: Whether it stands, so that labels need height and not width.
        exact: Whether it ends exactly where the values do, and not at a line.
        whole: Whether only whole numbers are counted.
    """
    low, high = _span(usable(values))
    least = max((high - low) * min(_LEAST_TICK_GAP / length, 0.5), 1.0 if whole else 0.0)
    found: Axis | None = None
    for step in angles_from(least) if unit.kind == "°" else steps_from(least):
        ends = (low, high) if exact else _rounded_ends(low, high, step, length)
        chosen = written or _unit_for(*ends, step, unit)
        found = _ruled(step, ends, chosen, length, whole=whole, name=name, symbol=symbol)
        pixels = length * step.size / (ends[1] - ends[0])
        divided = found.small != step.size or pixels < _UNDIVIDED or (whole and step.size == 1)
        shares = [(found.share(tick.value), tick.label) for tick in found.ticks]
        if len(found.ticks) <= 2 or (divided and _fits(shares, length, upright)):
            break
    assert found is not None  # there are steps of every size
    return found


def _ruled(
    step: Step, ends: tuple[float, float], written: WrittenUnit, length: float, *, whole: bool, name: str, symbol: str
) -> Axis:
    """Return a linear axis that is labelled at every step."""
    places = _places(step.size, written)
    ticks = tuple(Tick(value, _fixed(value, written, places)) for value in step.within(*ends))
    small = division(step, length * step.size / (ends[1] - ends[0]))
    small = step if whole and small.size < 1 else small
    labelled = {tick.value for tick in ticks}
    return Axis(
        low=ends[0],
        high=ends[1],
        scale="linear",
        name=name,
        symbol=symbol,
        written=written,
        ticks=ticks,
        smalls=tuple(value for value in small.within(*ends) if value not in labelled),
        small=small.size,
    )


def log_axis(
    values: Iterable[float],
    *,
    name: str,
    symbol: str = "",
    unit: Unit = RATIO,
    length: float = LENGTH,
    upright: bool = False,
) -> Axis:
    """Return a logarithmic axis that holds the positive ones of the values; arguments as for `linear_axis`.

    Labels carry the letter of their prefix: 100, 1k, 10k.
    """
    found = [value for value in usable(values) if value >= 1 / LARGEST]
    low, high = (min(found), max(found)) if found else (1.0, 10.0)
    if high < low * 1.02:
        low, high = low / 2, high * 2
    digits = _DIGITS if high < 10 * low else _FEW_DIGITS
    low, high = _line_below(low, digits), _line_above(high, digits)
    decade = length / math.log10(high / low)
    lines = _log_lines(low, high, decade)
    ticks = _log_ticks(low, high, unit, length, upright=upright)
    labelled = {tick.value for tick in ticks}
    return Axis(
        low=low,
        high=high,
        scale="log",
        name=name,
        symbol=symbol,
        written=WrittenUnit(unit.symbol, 1.0, unit),
        ticks=ticks,
        smalls=tuple(value for value in lines if value not in labelled),
    )


def _span(values: Sequence[float]) -> tuple[float, float]:
    """Return the ends of the values, apart from each other."""
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    if high - low > max(_LEAST_SPAN * max(abs(low), abs(high)), 1 / LARGEST):
        return low, high
    if abs(high) < 1 / LARGEST:
        return 0.0, 1.0
    # A constant stands in the middle of a scale that begins at nought; its last figures would spoil the scale's end.
    twice = float(f"{2 * high:.6g}")
    return min(0.0, twice), max(0.0, twice)


def _rounded_ends(low: float, high: float, step: Step, length: float) -> tuple[float, float]:
    """Return where the axis ends: at labelled lines unless that wastes room, else at the next line of the grid."""
    wide = step.times(step.below(low)), step.times(step.above(high))
    if high - low >= (1 - _TIDY) * (wide[1] - wide[0]):
        return wide
    finer = division(step, length * step.size / (wide[1] - wide[0]))
    return finer.times(finer.below(low)), finer.times(finer.above(high))


def _unit_for(low: float, high: float, step: Step, unit: Unit) -> WrittenUnit:
    """Return the unit for the labels, behind a power of ten where no prefix of the trade makes them short."""
    largest = max(abs(low), abs(high))
    found = best_prefix(largest, unit)
    power = power_of_ten(found.factor) or 0
    leading = math.floor(math.log10(largest) + 1e-9) if largest else 0
    if -2 <= leading - power <= 4 or (largest and step.size / largest < 1e-4):
        return found
    tidy = 3 * math.floor(leading / 3)
    text = f"10{superscript(tidy)} {unit.symbol}".rstrip()
    return WrittenUnit(text, float(f"1e{tidy}"), unit)


def _places(size: float, written: WrittenUnit) -> int:
    """Return the places after the point that a step needs in a unit."""
    in_unit = f"{size / written.factor:.6e}"
    mantissa, power = in_unit.split("e")
    figures = len(mantissa.rstrip("0").rstrip(".").replace(".", ""))
    return max(0, figures - 1 - int(power))


def _fixed(value: float, written: WrittenUnit, places: int) -> str:
    """Write a value in a unit with so many places after the point."""
    in_unit = abs(value / written.factor)
    if round(in_unit, places) == 0:
        return "0"
    return number_in(value, written, math.floor(math.log10(in_unit) + 1e-12) + 1 + places, trim=False)


def _fits(labels: Sequence[tuple[float, str]], length: float, upright: bool) -> bool:
    """Whether labels, each at its share of the axis, stay clear of each other."""
    if upright:
        gaps = (after[0] - before[0] for before, after in itertools.pairwise(labels))
        return all(gap * length >= texts.SIZE + 4 for gap in gaps)
    end = -math.inf
    for share, label in labels:
        half = texts.width(label) / 2
        if share * length - half < end + _ROOM_BETWEEN:
            return False
        end = share * length + half
    return True


def _line_below(value: float, digits: Iterable[int]) -> float:
    """Return the last of the given multiples of powers of ten that is not above a value."""
    return decades_within(value / 20, value, digits)[-1]


def _line_above(value: float, digits: Iterable[int]) -> float:
    """Return the first of the given multiples of powers of ten that is not below a value."""
    return decades_within(value, value * 20, digits)[0]


def decades_within(low: float, high: float, digits: Iterable[float]) -> list[float]:
    """Return the given multiples of every power of ten within two values, sorted."""
    powers = range(math.floor(math.log10(low)) - 1, math.ceil(math.log10(high)) + 1)
    found = (float(f"{digit}e{power}") for power in powers for digit in digits)
    return sorted({value for value in found if low * (1 - 1e-9) <= value <= high * (1 + 1e-9)})


def _log_lines(low: float, high: float, decade: float) -> list[float]:
    """Return the lines of a grid whose decade is so many pixels long: finer where there is room."""
    for digits in (_TENTHS, _FINE, _AS_ON_PAPER, _DIGITS, _FEW_DIGITS):
        closest = min(math.log10(b / a) for a, b in zip(digits, (*digits[1:], 10), strict=True))
        if closest * decade >= SMALLEST_GAP * 0.8:
            return decades_within(low, high, digits)
    return decades_within(low, high, (1,))


def _log_ticks(low: float, high: float, unit: Unit, length: float, *, upright: bool) -> tuple[Tick, ...]:
    """Return the labelled lines: as many as fit, decades before others."""
    span = math.log(high / low)
    ticks: tuple[Tick, ...] = ()
    for values in _label_sets(low, high):
        ticks = tuple(Tick(value, _with_letter(value, unit)) for value in values)
        if _fits([(math.log(tick.value / low) / span, tick.label) for tick in ticks], length, upright):
            break
    return ticks


def _label_sets(low: float, high: float) -> Iterator[list[float]]:
    """Yield what may be labelled between two values, most first."""
    if high < 3 * low:
        yield decades_within(low, high, _TENTHS)
        yield decades_within(low, high, _AS_ON_PAPER)
    yield decades_within(low, high, _DIGITS)
    yield decades_within(low, high, (1, 2, 3, 5))
    yield decades_within(low, high, _FEW_DIGITS)
    yield sorted({low, *decades_within(low, high, (1,)), high})
    for nth in (1, 2, 3, 5, 10, 20, 30, 60):
        yield _nth_decades(low, high, nth)


def _nth_decades(low: float, high: float, nth: int) -> list[float]:
    found = decades_within(low, high, (1,))
    return [value for value in found if round(math.log10(value)) % nth == 0] or found[:1]


def _with_letter(value: float, unit: Unit) -> str:
    """Write a value with its prefix but without its unit: 10k for 10 kHz."""
    found = best_prefix(value, unit)
    number = number_in(value, found)
    if number.startswith("0.0") or not unit.symbol or not found.text.endswith(unit.symbol):
        return number_in(value, WrittenUnit(unit.symbol, 1.0, unit))
    return number + found.text.removesuffix(unit.symbol)
