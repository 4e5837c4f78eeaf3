"""The usual plots: anode characteristics, gain and phase against frequency, traces against time, progress, counts.

Each takes its points ready made and returns a picture; see `draw_plot` for `title` and `uid`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tutor.drawing.plots.axes import Axis, linear_axis, log_axis
from tutor.drawing.plots.dates import date_axis
from tutor.drawing.plots.days import day_number
from tutor.drawing.plots.errors import PlotError
from tutor.drawing.plots.marks import DASHES, Bars, Curve, Dot, Level, Mark, Upright, hyperbola
from tutor.drawing.plots.picture import HEIGHT, Panel, Picture, draw_plot
from tutor.drawing.plots.scales import steps_from
from tutor.quantities import AMPERE, DECIBEL, DEGREE, HERTZ, RATIO, SECOND, VOLT, Unit, WrittenUnit

Points = Sequence[tuple[float, float]]

_TALL = 250.0
_LOW = 150.0
_BARS = 14
PER_CENT = WrittenUnit("%", 0.01, RATIO)


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner of a response.

    Attributes:
        frequency: Where [Hz].
        bend: By how much the slope of the straight lines changes there, upwards in frequency [dB per decade].
    """

    frequency: float
    bend: float


def characteristics(
    curves: Sequence[tuple[str, Points]],
    *,
    title: str,
    uid: str,
    load: Points = (),
    points: Sequence[tuple[str, tuple[float, float]]] = (),
    dissipation: float = 0.0,
    highest: float = math.inf,
) -> Picture:
    """Return anode characteristics: anode current [A] against anode voltage [V], a curve for each grid voltage.

    Args:
        curves: Label and points of each.
        title: The plot's accessible name.
        uid: Begins every id.
        load: Points of a load line.
        points: Label and place of points to mark, such as the rest.
        dissipation: Of the anode at most [W]; 0 for none.
        highest: Current at which the paper ends [A].
    """
    every = [point for _, one in curves for point in one] + list(load) + [place for _, place in points]
    x = linear_axis([0.0, *(v for v, _ in every)], name="Anode voltage", symbol="V_a", unit=VOLT)
    currents = [min(i, highest) for _, i in every]
    y = linear_axis([0.0, *currents], name="Anode current", symbol="I_a", unit=AMPERE, length=_TALL, upright=True)
    marks: list[Mark] = []
    if dissipation:
        marks.append(
            Curve(points=hyperbola(dissipation, x), label=f"{dissipation:g} W", dash=DASHES[1], colour=2, weight="thin")
        )
    marks += [Curve(points=one, label=label, at_end=True, in_key=False) for label, one in curves]
    if load:
        marks.append(Curve(points=load, label="load line", colour=2, weight="thick"))
    marks += [Dot(x=place[0], y=place[1], label=label) for label, place in points]
    return draw_plot([Panel(x=x, y=y, marks=tuple(marks), height=_TALL)], title=title, uid=uid)


def response(
    gains: Sequence[tuple[str, Points]],
    *,
    title: str,
    uid: str,
    phases: Sequence[tuple[str, Points]] = (),
    corners: Sequence[Corner] = (),
    middle: tuple[float, float] | None = None,
) -> Picture:
    """Return gain [dB] against frequency [Hz], with its phase [°] below if there is one.

    Args:
        gains: Label and points of each curve.
        title: The plot's accessible name.
        uid: Begins every id.
        phases: Label and points of the phases.
        corners: Marked, and joined by the straight lines that the response keeps to.
        middle: Frequency and gain of a point on one of those lines, away from any corner.
    """
    x = log_axis([f for _, one in (*gains, *phases) for f, _ in one], name="Frequency", unit=HERTZ)
    levels = [level for _, one in gains for _, level in one]
    marks: list[Mark] = [Upright(x=corner.frequency, label=x.told(corner.frequency)) for corner in corners]
    if middle is not None:
        lines = straight_lines(corners, middle, x.low, x.high)
        marks.append(Curve(points=lines, name="straight lines", colour=2, dash=DASHES[1], weight="thin"))
    marks += _told_apart(gains)
    # A line on the very edge of the paper cannot be seen.
    y = linear_axis([*levels, max(levels, default=0.0) + 1], name="Gain", unit=DECIBEL, length=HEIGHT, upright=True)
    panels = [Panel(x=x, y=y, marks=tuple(marks))]
    if phases:
        angles = [angle for _, one in phases for _, angle in one]
        upright = linear_axis(angles, name="Phase", unit=DEGREE, length=_LOW, upright=True)
        lines_down = tuple(Upright(x=corner.frequency) for corner in corners)
        panels.append(Panel(x=x, y=upright, marks=(*lines_down, *_told_apart(phases)), height=_LOW))
    return draw_plot(panels, title=title, uid=uid)


def straight_lines(
    corners: Sequence[Corner], middle: tuple[float, float], low: float, high: float
) -> list[tuple[float, float]]:
    """Return the straight lines of a response between two frequencies, through a point at which they are level.

    Args:
        corners: Where they bend.
        middle: Frequency [Hz] and gain [dB] of a point on the level part.
        low: The first frequency.
        high: The last one.

    >>> straight_lines([Corner(frequency=100.0, bend=-20.0)], (1000.0, 6.0), 10.0, 10000.0)
    [(10.0, -14.0), (100.0, 6.0), (10000.0, 6.0)]

    Source:
        H. W. Bode, Network Analysis and Feedback Amplifier Design (1945), ch. 15 (from memory): each corner bends the
        line by 20 dB per decade.
    """
    frequency, gain = middle
    below = sorted((one for one in corners if one.frequency < frequency), key=lambda one: -one.frequency)
    above = sorted((one for one in corners if one.frequency >= frequency), key=lambda one: one.frequency)
    left = _bent([(one.frequency, one.bend) for one in below], frequency, gain, low)
    right = _bent([(one.frequency, one.bend) for one in above], frequency, gain, high)
    return [*reversed(left), *right]


def _bent(corners: Sequence[tuple[float, float]], start: float, gain: float, end: float) -> list[tuple[float, float]]:
    """Return the corners and the end of a level line that is followed away from its start."""
    found, slope, place = [], 0.0, start
    for frequency, bend in corners:
        if (frequency - end) * (start - end) <= 0:
            break
        gain += slope * math.log10(frequency / place)
        found.append((frequency, gain))
        slope += bend if end > start else -bend
        place = frequency
    return [*found, (end, gain + slope * math.log10(end / place))]


def trace(
    curves: Sequence[tuple[str, Points]],
    *,
    title: str,
    uid: str,
    name: str = "Voltage",
    unit: Unit = VOLT,
    levels: Sequence[tuple[str, float]] = (),
    marks: Sequence[Mark] = (),
) -> Picture:
    """Return what stands somewhere against time [s]: a waveform, a charge, a step.

    Args:
        curves: Label and points of each.
        title: The plot's accessible name.
        uid: Begins every id.
        name: Of the upright axis.
        unit: Of the upright axis.
        levels: Label and height of level lines, such as the peak.
        marks: Further ones, such as the ripple as a measured stretch.
    """
    every = [point for _, one in curves for point in one]
    x = linear_axis([t for t, _ in every], name="Time", unit=SECOND)
    heights = [v for _, v in every] + [height for _, height in levels]
    y = linear_axis(heights, name=name, unit=unit, length=HEIGHT, upright=True)
    drawn: list[Mark] = [Level(y=height, label=label) for label, height in levels]
    drawn += [*_told_apart(curves), *marks]
    return draw_plot([Panel(x=x, y=y, marks=tuple(drawn))], title=title, uid=uid)


def progress(
    days: Sequence[date],
    shares: Sequence[float],
    *,
    title: str,
    uid: str,
    band: Sequence[tuple[float, float]] = (),
    goal: float | None = None,
) -> Picture:
    """Return shares from 0 to 1 over dates.

    Args:
        days: In order.
        shares: One for each day.
        title: The plot's accessible name.
        uid: Begins every id.
        band: How sure each is: a lower and an upper share.
        goal: A share to reach.

    Raises:
        PlotError: If there are not as many shares, or edges of the band, as days.
    """
    for what, found in (("shares", shares), ("band", band or days)):
        if len(found) != len(days):
            raise PlotError(what, str(len(found)), str(len(days)))
    points = [(day_number(day), share) for day, share in zip(days, shares, strict=True)]
    x = date_axis(days, name="Date")
    y = linear_axis([0.0, 1.0], name="Right", written=PER_CENT, length=HEIGHT, upright=True)
    marks: list[Mark] = [] if goal is None else [Level(y=goal, label="goal")]
    marks.append(Curve(points=points, name="right", band=band))
    marks += [Dot(x=x_, y=y_, colour=1) for x_, y_ in points] if len(points) == 1 else []
    return draw_plot([Panel(x=x, y=y, marks=tuple(marks))], title=title, uid=uid)


def histogram(values: Sequence[float], *, title: str, uid: str, name: str, unit: Unit = RATIO) -> Picture:
    """Return how many of the values lie between tidy limits.

    Args:
        values: In the coherent unit; what is no number is left out.
        title: The plot's accessible name.
        uid: Begins every id.
        name: What was counted.
        unit: Of the values.
    """
    found = [float(value) for value in values if math.isfinite(value)]
    edges, counts = binned(found)
    x = linear_axis(edges, name=name, unit=unit)
    y: Axis = linear_axis([0.0, *counts], name="Count", length=_LOW, upright=True, whole=True)
    panel = Panel(x=x, y=y, marks=(Bars(edges=edges, heights=counts),), height=_LOW)
    return draw_plot([panel], title=title, uid=uid)


def binned(values: Sequence[float]) -> tuple[list[float], list[float]]:
    """Return tidy limits, and how many values lie from each to below the next.

    >>> binned([1.0, 1.5, 2.0])
    ([1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.1], [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1])
    """
    low, high = min(values, default=0.0), max(values, default=1.0)
    spread = high - low if high - low > 1e-9 * max(abs(low), abs(high)) else max(abs(high), 1.0)
    step = next(steps_from(spread / _BARS))
    first, last = step.below(low), step.below(high) + 1
    counts = [0] * (last - first)
    for value in values:
        counts[min(step.below(value), last - 1) - first] += 1
    return [step.times(index) for index in range(first, last + 1)], list(counts)


def _told_apart(curves: Sequence[tuple[str, Points]]) -> list[Curve]:
    """Return curves with colours and dashes of their own, named at their ends if there is more than one."""
    if len(curves) == 1:
        return [Curve(points=curves[0][1], name=curves[0][0])]
    return [
        Curve(points=one, label=label, colour=index + 1, dash=DASHES[index % len(DASHES)])
        for index, (label, one) in enumerate(curves)
    ]
