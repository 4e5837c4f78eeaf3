"""Plots: what is read off the drawn points by ruler is the key, and nothing on the paper hides it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tutor.circuits.expressions import evaluate
from tutor.drawing.plots.table import height_at
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.fragments import plot_of
from tutor.questions.plot import Plot, PlotReading
from tutor.questions.plot_reading import axis_of
from tutor.questions.question import Question

QUESTIONS = 12
"""Questions whose plots are measured, spread over the serials."""

CLOSE = 0.1
"""Of a small division: how far the drawn curve may pass from the key."""

Points = Sequence[tuple[float, float]]


def check_plot(evidence: Evidence) -> Iterator[Finding]:
    """Yield findings about readings that the drawn plot does not give, and about labels without room."""
    import numpy as np

    plot = evidence.template.plot
    if plot is None:
        return
    if not any(ask.reading for ask in evidence.template.asks):
        yield finding("plot", ("plot",), "nothing is read off it; an ask of kind reading would")
    places = np.flatnonzero(evidence.admitted)
    for place in places[:: max(1, len(places) // QUESTIONS)][:QUESTIONS]:
        try:
            question = draw(evidence.compiled, int(evidence.serials[place]))
        except QuestionError as error:
            yield finding("plot", ("plot",), str(error))
            return
        found = list(_check(evidence, plot, question))
        yield from found
        if found:
            return


def _check(evidence: Evidence, plot: Plot, question: Question) -> Iterator[Finding]:
    for ask in evidence.template.asks:
        if ask.reading is None:
            continue
        path = ("ask", ask.name, "of plot")
        key, axis = question.ask(ask.name).key, axis_of(plot, ask.reading)
        if not axis.low <= key <= axis.high:
            message = f"serial {question.serial}: the key {key:.4g} {axis.unit.symbol} is not on the paper; "
            yield finding("plot", path, message + "widen the axis or exclude it by a condition")
            continue
        measured = _measured(plot, ask.reading, question)
        allowed = CLOSE * 2 * axis.tolerance(key).half_width(key)
        if not abs(measured - key) <= allowed:
            message = f"serial {question.serial}: the drawn curve gives {measured:.6g}, and the key is {key:.6g}"
            yield finding("plot", path, message)
    for fault in plot_of(question, "check").faults:
        yield finding("plot", ("plot",), f"serial {question.serial}: {fault}")


def _measured(plot: Plot, reading: PlotReading, question: Question) -> float:
    """Return what a ruler finds on the drawn points; nan where there is nothing to find."""
    points = _points(plot, reading, reading.curve, question)
    logarithmic = plot.across.scale == "log"
    if reading.at is not None:
        return height_at(points, evaluate(reading.at, question.values), logarithmic=logarithmic)
    if reading.extreme:
        heights = [y for _, y in points]
        return max(heights) if reading.extreme == "highest" else min(heights)
    if reading.height is not None:
        level = evaluate(reading.height, question.values)
        other: Points = [(plot.across.low, level), (plot.across.high, level)]
    else:
        other = _points(plot, reading, reading.meets, question)
    found = list(_crossings(points, other, logarithmic=logarithmic))
    if not found:
        return math.nan
    x, y = found[-1 if reading.side == "right" else 0]
    return x if reading.take == "across" else y


def _points(plot: Plot, reading: PlotReading, name: str, question: Question) -> Points:
    """Return the drawn points of a curve, of a family those of the grid voltage that is read."""
    assert question.plot is not None
    drawn: list[Mapping[str, Any]] = [curve for curve in question.plot["curves"] if curve["name"] == name]
    curve = plot.curves[name]
    if curve.grid_voltages and reading.grid_voltage is not None:
        volts = evaluate(reading.grid_voltage, question.values)
        drawn = [
            one for one, grid in zip(drawn, curve.grid_voltages, strict=True) if math.isclose(grid, volts, abs_tol=1e-9)
        ]
    return [(float(x), float(y)) for x, y in drawn[0]["points"]] if drawn else []


def _crossings(first: Points, other: Points, *, logarithmic: bool) -> Iterator[tuple[float, float]]:
    """Yield where two lines through points cross, from the left."""
    xs = sorted({x for x, _ in (*first, *other)})
    gaps = [
        (x, height_at(first, x, logarithmic=logarithmic) - height_at(other, x, logarithmic=logarithmic)) for x in xs
    ]
    for (x0, d0), (x1, d1) in itertools.pairwise(gap for gap in gaps if not math.isnan(gap[1])):
        if (d0 > 0) != (d1 > 0):
            share = d0 / (d0 - d1)
            x = x0 * (x1 / x0) ** share if logarithmic else x0 + share * (x1 - x0)
            yield x, height_at(first, x, logarithmic=logarithmic)
