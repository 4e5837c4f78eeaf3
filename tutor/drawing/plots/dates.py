"""An axis of dates: days, weeks, months or years, whichever can be labelled in the length there is."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from datetime import date

from tutor.drawing.plots import texts
from tutor.drawing.plots.axes import LENGTH, Axis, Tick
from tutor.drawing.plots.days import MONTHS, day_number
from tutor.drawing.plots.scales import SMALLEST_GAP
from tutor.quantities import RATIO, WrittenUnit

_ROOM_BETWEEN = 9.0
_FEWEST_DAYS = 6
_Rhythm = tuple[str, int]
# What is labelled and what is ruled between the labels, finest first; weeks begin on Mondays.
_RHYTHMS: tuple[tuple[_Rhythm, _Rhythm | None], ...] = (
    (("day", 1), None),
    (("day", 2), ("day", 1)),
    (("week", 1), ("day", 1)),
    (("week", 2), ("week", 1)),
    (("month", 1), ("week", 1)),
    (("month", 2), ("month", 1)),
    (("month", 3), ("month", 1)),
    (("month", 6), ("month", 1)),
    (("year", 1), ("month", 3)),
    (("year", 2), ("year", 1)),
    (("year", 5), ("year", 1)),
    (("year", 10), ("year", 5)),
    (("year", 50), ("year", 10)),
    (("year", 200), ("year", 50)),
    (("year", 1000), ("year", 200)),
)


def date_axis(dates: Iterable[date], *, name: str, length: float = LENGTH) -> Axis:
    """Return an axis of dates that holds all of them, in days of the calendar.

    Args:
        dates: Dates, or dates with the time of day.
        name: What is plotted.
        length: Of the axis in pixels.
    """
    days = [day_number(moment) for moment in dates]
    low, high = (min(days), max(days)) if days else (1.0, 8.0)
    first, last = int(low), int(high) + (high > int(high))
    if last - first < _FEWEST_DAYS:
        first = min(max(1, first - (_FEWEST_DAYS - last + first) // 2), date.max.toordinal() - _FEWEST_DAYS)
        last = first + _FEWEST_DAYS
    ticks: list[Tick] = []
    between: _Rhythm | None = None
    for labelled, ruling in _RHYTHMS:
        ticks, between = _ticks(labelled, first, last), ruling
        if _fits(ticks, first, last, length):
            break
    ruled = list(_days(between, first, last)) if between else []
    if len(ruled) * SMALLEST_GAP > length:
        ruled = []
    stated = {tick.value for tick in ticks}
    return Axis(
        low=float(first),
        high=float(last),
        scale="date",
        name=name,
        written=WrittenUnit("", 1.0, RATIO),
        ticks=tuple(ticks),
        smalls=tuple(float(day) for day in ruled if day not in stated),
    )


def _days(rhythm: _Rhythm, first: int, last: int) -> Iterator[int]:
    """Yield the days of a rhythm, as numbers."""
    kind, every = rhythm
    if kind in ("day", "week"):
        # Day 1 of the calendar was a Monday, so weeks of any count begin on Mondays.
        length = every * (7 if kind == "week" else 1)
        yield from range(first + (1 - first) % length, last + 1, length)
        return
    start = date.fromordinal(first)
    months = (start.year * 12 + start.month - 1) if kind == "month" else start.year * 12
    step = every if kind == "month" else every * 12
    months -= months % step
    while months < 120_000:  # the calendar ends with the year 9999
        if months >= 12:
            day = date(months // 12, months % 12 + 1, 1).toordinal()
            if day > last:
                return
            if day >= first:
                yield day
        months += step


def _ticks(rhythm: _Rhythm, first: int, last: int) -> list[Tick]:
    kind, _ = rhythm
    if (last - first) / {"day": 1, "week": 7, "month": 28, "year": 365}[kind] > 400:
        return []
    ticks = []
    for number in _days(rhythm, first, last):
        day = date.fromordinal(number)
        month = MONTHS[day.month - 1]
        if kind == "year" or (kind == "month" and day.month == 1):
            label = str(day.year)
        else:
            label = month if kind == "month" else f"{day.day}\u00a0{month}"
        ticks.append(Tick(float(number), label))
    return ticks


def _fits(ticks: list[Tick], first: int, last: int, length: float) -> bool:
    if len(ticks) < 2:
        return False
    scale = length / (last - first)
    return all(
        (after.value - before.value) * scale
        >= (texts.width(before.label) + texts.width(after.label)) / 2 + _ROOM_BETWEEN
        for before, after in itertools.pairwise(ticks)
    )
