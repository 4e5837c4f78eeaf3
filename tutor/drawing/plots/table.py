"""The data behind a plot: as a table of its figures, and the plot in words.

A curve is told at the labelled lines of the axis across and halfway between them, read off the drawn points by
straight lines; bars are told one by one.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from tutor.drawing.plots import texts
from tutor.drawing.plots.axes import Axis, decades_within
from tutor.drawing.plots.marks import Bars, Curve, Mark
from tutor.drawing.schematic.text import marked_up

_LOG_DIGITS = (1, 2, 3, 5, 7)
_NOTHING = "–"


@dataclass(frozen=True, slots=True)
class Table:
    """The figures of one panel.

    Attributes:
        caption: What it tells.
        headings: Of the columns.
        rows: As many cells each as there are headings.
    """

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def html(self) -> str:
        """The table as HTML, its first column the head of each row."""
        heads = "".join(f'<th scope="col">{marked_up(heading)}</th>' for heading in self.headings)
        rows = "".join(
            f'<tr><th scope="row">{marked_up(row[0])}</th>'
            + "".join(f"<td>{marked_up(cell)}</td>" for cell in row[1:])
            + "</tr>"
            for row in self.rows
        )
        return (
            f"<table><caption>{marked_up(self.caption)}</caption>"
            f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
        )


def table_of(x: Axis, y: Axis, marks: Sequence[Mark]) -> Table | None:
    """Return the table of a panel's curves or bars; None if it has neither."""
    bars = next((mark for mark in marks if isinstance(mark, Bars)), None)
    if bars is not None:
        rows = [
            (f"{x.number(low)} to {x.number(high)}", y.number(height, 0))
            for low, high, height in zip(bars.edges, bars.edges[1:], bars.heights, strict=False)
        ]
        return Table(_caption(y, x), (texts.plain(x.heading), texts.plain(y.heading)), tuple(rows))
    curves = [mark for mark in marks if isinstance(mark, Curve)]
    if not curves:
        return None
    columns = [column for curve in curves for column in _columns(curve, y)]
    values = stations(x, curves)
    cells = [tuple(_cell(y, points, value, x) for _, points in columns) for value in values]
    kept = [
        (x.number(value), *row)
        for value, row in zip(values, cells, strict=True)
        if any(cell != _NOTHING for cell in row)
    ]
    return Table(_caption(y, x), (texts.plain(x.heading), *(heading for heading, _ in columns)), tuple(kept))


def stations(x: Axis, curves: Sequence[Curve]) -> list[float]:
    """Return the values across at which curves are told: few points are told themselves."""
    own = sorted({float(point[0]) for curve in curves for point in curve.points})
    if x.scale == "date" or len(own) <= 12:
        return own
    if x.scale == "log":
        return decades_within(x.low, x.high, _LOG_DIGITS)
    ticks = [tick.value for tick in x.ticks]
    halves = [(a + b) / 2 for a, b in itertools.pairwise(ticks)]
    return sorted({x.low, x.high, *ticks, *halves})


def words_of(title: str, panels: Sequence[tuple[Axis, Axis, Sequence[Mark]]]) -> str:
    """Return a plot in words: its axes, how finely they are ruled, its curves, and what is marked on them."""
    said = [f"Plot: {texts.plain(title).rstrip('.')}."]
    said.append(f"Across: {_axis(panels[0][0])}.")
    for x, y, marks in panels:
        said.append(f"Upwards: {_axis(y)}.")
        curves = [mark.called for mark in marks if isinstance(mark, Curve) and mark.called]
        if curves:
            said.append(f"{'Curve' if len(curves) == 1 else 'Curves'}: {'; '.join(curves)}.")
        told = [word for mark in marks if (word := mark.told(x, y))]
        if told:
            said.append(f"Marked: {'; '.join(told)}.")
    return " ".join(said)


def _axis(axis: Axis) -> str:
    if axis.scale == "date":
        return f"{texts.plain(axis.name)}, from {axis.number(axis.low)} to {axis.number(axis.high)}"
    unit = f" in {axis.written.text}" if axis.written.text else ""
    name = " ".join(word for word in (axis.name, axis.symbol) if word)
    said = f"{texts.plain(name)}{unit}, from {axis.number(axis.low, 0)} to {axis.number(axis.high, 0)}"
    if axis.scale == "log":
        return f"{texts.plain(name)}, from {axis.told(axis.low)} to {axis.told(axis.high)}, on a logarithmic scale"
    return f"{said}, one small division is {axis.number(axis.small, 0)}"


def _caption(y: Axis, x: Axis) -> str:
    return f"{texts.plain(y.name)} against {texts.plain(x.name[:1].lower() + x.name[1:])}"


def _columns(curve: Curve, y: Axis) -> list[tuple[str, Sequence[tuple[float, float]]]]:
    heading = curve.called or texts.plain(y.heading)
    found = [(heading, curve.points)]
    if curve.band:
        for word, index in (("lower", 0), ("upper", 1)):
            edge = [(point[0], ends[index]) for point, ends in zip(curve.points, curve.band, strict=True)]
            found.append((f"{heading}, {word} edge", edge))
    return found


def _cell(y: Axis, points: Sequence[tuple[float, float]], value: float, x: Axis) -> str:
    found = height_at(points, value, logarithmic=x.scale == "log")
    return _NOTHING if math.isnan(found) or not y.low <= found <= y.high else y.number(found)


def height_at(points: Sequence[tuple[float, float]], value: float, *, logarithmic: bool = False) -> float:
    """Return how high a line through points stands at a value across; nan beside it and in its gaps.

    >>> height_at([(0.0, 1.0), (10.0, 3.0)], 5.0)
    2.0
    """
    xs = [point[0] for point in points]
    index = bisect_left(xs, value)
    if index < len(xs) and xs[index] == value:
        return points[index][1]
    if not 0 < index < len(xs):
        return math.nan
    (x0, y0), (x1, y1) = points[index - 1], points[index]
    share = math.log(value / x0) / math.log(x1 / x0) if logarithmic else (value - x0) / (x1 - x0)
    return y0 + share * (y1 - y0)
