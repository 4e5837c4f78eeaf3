"""A question's plot: worked out to points when the question is drawn, kept as plain data, and turned into a picture."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from tutor.drawing.plots import Curve, Panel, Picture, draw_plot
from tutor.drawing.plots.frame import Frame
from tutor.drawing.plots.geometry import Point, runs_of, thinned
from tutor.drawing.plots.marks import DASHES
from tutor.quantities import number_in, read_unit
from tutor.questions.compiling import Compiled
from tutor.questions.plot import HEIGHT, Plot, PlotAxis, PlotCurve
from tutor.questions.plot_sources import curve_function

POINTS = 601
"""Places across at which a curve is worked out, before it is thinned."""

POINTS_OF_VALVES = 161
"""The same for valves, whose curves have no corners."""

_CLOSE = 0.05  # of a pixel: how far a kept curve may be from the whole one
_WIDE = 1000.0
_FIGURES = 7
_VOLTS = read_unit("V")


def plot_data(compiled: Compiled, values: Mapping[str, float]) -> dict[str, Any]:
    """Return the plot of a template for drawn values: axes and curves, each curve as few points as show it."""
    plot = compiled.template.plot
    assert plot is not None
    base = [values[name] for name in compiled.base]
    curves = [
        {
            "name": curve.name,
            "label": label,
            "family": bool(curve.grid_voltages),
            "points": _points(compiled, base, curve, grid),
        }
        for curve in plot.curves.values()
        for label, grid in _members(curve)
    ]
    return {"across": _axis_data(plot.across), "up": _axis_data(plot.up), "curves": curves}


def _members(curve: PlotCurve) -> Iterator[tuple[str, float]]:
    """Yield the label and grid voltage of each line of a curve: one, or a family's."""
    if not curve.grid_voltages:
        yield curve.label, 0.0
    for index, volts in enumerate(curve.grid_voltages):
        shown = f"{number_in(volts, _VOLTS)} V"
        yield (f"V_g = {shown}" if index == 0 else shown), volts


def _points(compiled: Compiled, base: list[float], curve: PlotCurve, grid: float) -> list[list[float]]:
    plot = compiled.template.plot
    assert plot is not None
    # A reservoir's trace turns sharply at its foot, which must not fall between two points.
    count = POINTS_OF_VALVES if curve.valve else 4 * POINTS if curve.reservoir is not None else POINTS
    xs = _stations(plot.across, count)
    heights = _valve_heights if curve.valve else _heights
    found = list(zip(xs, heights(compiled, base, curve, xs, grid), strict=True))
    return [[float(f"{x:.{_FIGURES}g}"), float(f"{y:.{_FIGURES}g}")] for x, y in _thinned(plot, found)]


def _heights(compiled: Compiled, base: list[float], curve: PlotCurve, xs: list[float], grid: float) -> list[float]:
    function = compiled.function(curve_function(curve.name))
    found = []
    for x in xs:
        try:
            found.append(float(function(*base, x, grid)[0]))
        except (ArithmeticError, ValueError):
            found.append(math.nan)
    return found


def _valve_heights(
    compiled: Compiled, base: list[float], curve: PlotCurve, xs: list[float], grid: float
) -> list[float]:
    """Return the same at once: the law of a valve works on arrays."""
    import numpy as np

    function = compiled.function(curve_function(curve.name), arrays=True)
    return [float(height) for height in function(*base, np.array(xs), grid)[0]]


def _stations(axis: PlotAxis, count: int) -> list[float]:
    shares = [n / (count - 1) for n in range(count)]
    if axis.scale == "log":
        return [axis.low * (axis.high / axis.low) ** share for share in shares]
    return [axis.low + (axis.high - axis.low) * share for share in shares]


def _thinned(plot: Plot, points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the points on and about the paper that a thinned line keeps."""
    frame = Frame(0.0, 0.0, _WIDE, _WIDE, plot.across.drawn(), plot.up.drawn())
    places = dict(zip(frame.pixels(points), points, strict=True))
    return [places[point] for run in _runs(list(places)) for point in run]


def _runs(pixels: list[Point]) -> list[list[Point]]:
    """Return runs of points on the paper, one further point at each end, thinned."""
    runs: list[list[Point]] = []
    for run in runs_of(pixels):
        inside = [-1.0 <= y <= _WIDE + 1.0 for _, y in run]
        near = [point for n, point in enumerate(run) if any(inside[max(n - 1, 0) : n + 2])]
        if near:
            runs.append(thinned(near, _CLOSE * _WIDE / HEIGHT))
    return runs


def _axis_data(axis: PlotAxis) -> dict[str, Any]:
    return {
        "name": axis.name,
        "symbol": axis.symbol,
        "unit": axis.unit.symbol,
        "low": axis.low,
        "high": axis.high,
        "scale": axis.scale,
    }


def _axis(data: Mapping[str, Any], *, upright: bool) -> PlotAxis:
    plain = {key: data[key] for key in ("name", "symbol", "low", "high", "scale")}
    return PlotAxis(**plain, unit=read_unit(data["unit"]).unit, upright=upright)


def picture_of(data: Mapping[str, Any], *, title: str, uid: str) -> Picture:
    """Return the picture of a plot that was kept as data."""
    x, y = _axis(data["across"], upright=False).drawn(), _axis(data["up"], upright=True).drawn()
    single = [curve for curve in data["curves"] if not curve["family"]]
    families = len(single) < len(data["curves"])
    marks = []
    for curve in data["curves"]:
        points = [(float(a), float(b)) for a, b in curve["points"]]
        if curve["family"]:
            marks.append(Curve(points=points, label=curve["label"], at_end=True, in_key=False))
            continue
        index = single.index(curve) + families
        # A curve that stands alone needs no name beside it; the axis says what it is.
        label = curve["label"] if len(data["curves"]) > 1 else ""
        dash = "" if families and index == 1 else DASHES[index % len(DASHES)]
        marks.append(
            Curve(points=points, label=label, name=curve["label"], colour=index + 1, dash=dash, at_end=families)
        )
    return draw_plot([Panel(x=x, y=y, marks=tuple(marks), height=HEIGHT)], title=title, uid=uid)
