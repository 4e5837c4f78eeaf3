"""Where a panel stands on the drawing: from values to pixels."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from tutor.drawing.plots.axes import LARGEST, Axis
from tutor.drawing.plots.geometry import Box, Point, Run, clipped, runs_of, thinned


@dataclass(frozen=True, slots=True)
class Frame:
    """The rectangle of a panel, and its axes.

    Attributes:
        left: Of the rectangle, in pixels.
        top: Of the rectangle.
        width: Of the rectangle.
        height: Of the rectangle.
        x: The axis across.
        y: The axis upwards.
    """

    left: float
    top: float
    width: float
    height: float
    x: Axis
    y: Axis

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def foot(self) -> float:
        """The lower edge."""
        return self.top + self.height

    @property
    def box(self) -> Box:
        """The rectangle."""
        return self.left, self.top, self.right, self.foot

    def across(self, value: float) -> float:
        """Return where a value of the axis across stands; nan for none."""
        return self.left + self.x.share(value) * self.width

    def down(self, value: float) -> float:
        """Return where a value of the upright axis stands; nan for none."""
        return self.foot - self.y.share(value) * self.height

    def point(self, x: float, y: float) -> Point | None:
        """Return where a point stands, or None if it is outside or is none."""
        found = self.across(x), self.down(y)
        left, top, right, foot = self.box
        # A point on the very edge must not be lost to rounding.
        return found if left - 0.01 <= found[0] <= right + 0.01 and top - 0.01 <= found[1] <= foot + 0.01 else None

    def pixels(self, points: Iterable[tuple[float, float]]) -> list[Point]:
        """Return where points stand; nan where there is none."""
        xs, ys = _scaler(self.x, self.left, self.width), _scaler(self.y, self.foot, -self.height)
        return [(xs(float(x)), ys(float(y))) for x, y in points]

    def runs(self, points: Iterable[tuple[float, float]]) -> list[Run]:
        """Return a curve as it is drawn: broken at gaps, cut at the frame, thinned."""
        whole = runs_of(self.pixels(points))
        return [thinned(piece) for run in whole for piece in clipped(run, self.box)]


class _Linear:
    """Places values of a linear axis; apart from `Axis.share` because curves ask it thousands of times."""

    def __init__(self, axis: Axis, start: float, length: float) -> None:
        self._scale = length / (axis.high - axis.low)
        self._low, self._start = axis.low, start

    def __call__(self, value: float) -> float:
        if -LARGEST <= value <= LARGEST:
            return self._start + (value - self._low) * self._scale
        return math.nan


class _Logarithmic:
    """Places values of a logarithmic axis."""

    def __init__(self, axis: Axis, start: float, length: float) -> None:
        self._scale = length / math.log(axis.high / axis.low)
        self._low, self._start = axis.low, start

    def __call__(self, value: float) -> float:
        if 0 < value <= LARGEST:
            return self._start + math.log(value / self._low) * self._scale
        return math.nan


def _scaler(axis: Axis, start: float, length: float) -> _Linear | _Logarithmic:
    return (_Logarithmic if axis.scale == "log" else _Linear)(axis, start, length)
