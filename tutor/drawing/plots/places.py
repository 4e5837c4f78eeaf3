"""Where the labels of a plot may stand, best first: beside their curve or point, or outside the frame at its end."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tutor.drawing.plots import texts
from tutor.drawing.plots.frame import Frame
from tutor.drawing.plots.geometry import Point, Run
from tutor.drawing.schematic.labels import Place

_SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}
_RISE = texts.ASCENT * texts.SIZE
_GAP = 3.0
"""Pixels from a line to the text beside it."""

_ON_EDGE = 0.6
_STEPS_ALONG = 26


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label that wants a place.

    Attributes:
        name: What it belongs to, for the list of faults.
        text: The label.
        css: Class of its element.
        places: Where it may stand, best first.
        sample: Attributes of a line as it is drawn, for a key below the paper where the label finds no place; or "".
    """

    name: str
    text: str
    css: str
    places: Iterator[Place]
    sample: str = ""


def place(text: str, x: float, baseline: float, anchor: str = "start", cost: float = 0.0) -> Place:
    """Return the place of a text with its anchor at a point."""
    width = texts.width(text)
    start = x - _SHARES[anchor] * width
    box = (start, baseline - _RISE, start + width, baseline + texts.below_baseline(text))
    return Place(0, x, (baseline,), anchor, (box,), cost)


def centred(text: str, x: float, y: float, cost: float = 0.0) -> Place:
    """Return the place of a text with its middle at a point."""
    return place(text, x, y + (_RISE - texts.below_baseline(text)) / 2, "middle", cost)


def around(text: str, point: Point, reach: float = 4.0) -> Iterator[Place]:
    """Yield the places around a point."""
    x, y = point
    for cost, out in enumerate((0.0, 4.0, 9.0, 15.0, 22.0)):
        off = reach + out
        diagonal = off * 0.7
        yield place(text, x + diagonal, y - diagonal, "start", cost)
        yield place(text, x + diagonal, y + diagonal + _RISE, "start", cost + 0.2)
        yield place(text, x - diagonal, y - diagonal, "end", cost + 0.3)
        yield place(text, x - diagonal, y + diagonal + _RISE, "end", cost + 0.4)
        yield place(text, x + off, y + _RISE / 2, "start", cost + 0.5)
        yield place(text, x - off, y + _RISE / 2, "end", cost + 0.6)
        yield place(text, x, y - off - 2, "middle", cost + 0.7)
        yield place(text, x, y + off + _RISE, "middle", cost + 0.8)


def at_end(text: str, runs: Sequence[Run], frame: Frame) -> Iterator[Place]:
    """Yield the places outside the frame where a curve leaves it."""
    ends = [point for run in runs[::-1] for point in (run[-1], run[0])]
    for x, y in ends:
        if abs(x - frame.right) < _ON_EDGE:
            for cost, shift in enumerate((0, -3, 3, -6, 6)):
                yield place(text, frame.right + 4, y + _RISE / 2 - 0.5 + shift, "start", cost / 4)
        elif abs(y - frame.top) < _ON_EDGE:
            for cost, shift in enumerate((0, 5, -5, 10, -10)):
                yield place(text, x + shift, frame.top - 4 - texts.below_baseline(text), "middle", cost / 4)


def along(text: str, runs: Sequence[Run]) -> Iterator[Place]:
    """Yield the places beside a curve, from its end backwards, on either side, then those about its ends."""
    width, height = texts.width(text), _RISE + texts.below_baseline(text)
    for run in sorted(runs, key=length_of, reverse=True):
        for cost, (point, (dx, dy)) in enumerate(_stations(run)):
            for side in (1, -1):
                across, up = side * dy, -side * dx
                off = abs(across) * width / 2 + abs(up) * height / 2 + _GAP
                # Above is where a label is looked for first.
                yield centred(text, point[0] + across * off, point[1] + up * off, 2 + cost / 8 + (side < 0) / 4)
    for run in runs:
        for end in (run[0], run[-1]):
            yield from around(text, end, 2 * _GAP)


def beside_upright(text: str, x: float, frame: Frame, *, outside: bool) -> Iterator[Place]:
    """Yield the places for an upright line: above the frame if there is room, else beside the line."""
    if outside:
        for cost, shift in enumerate((0, 8, -8, 16, -16)):
            yield place(text, x + shift, frame.top - 4 - texts.below_baseline(text), "middle", cost / 4)
    for cost, share in enumerate((0.04, 0.12, 0.2, 0.28, 0.36, 0.44, 0.52, 0.6, 0.68, 0.76, 0.84)):
        baseline = frame.top + share * frame.height + _RISE
        yield place(text, x + _GAP, baseline, "start", 2 + cost / 4)
        yield place(text, x - _GAP, baseline, "end", 2.1 + cost / 4)


def beside_level(text: str, y: float, frame: Frame) -> Iterator[Place]:
    """Yield the places for a level line: above or below it, from the right end to the left, then right of the frame."""
    for cost, share in enumerate((1.0, 0.85, 0.7, 0.55, 0.4, 0.25, 0.12, 0.0)):
        anchor = "end" if share == 1 else "start" if share == 0 else "middle"
        x = frame.left + share * frame.width + {"end": -4, "start": 4}.get(anchor, 0)
        yield place(text, x, y - _GAP - texts.below_baseline(text) + 1, anchor, cost / 4)
        yield place(text, x, y + _GAP + _RISE, anchor, cost / 4 + 0.1)
    yield place(text, frame.right + 4, y + _RISE / 2, "start", 4.0)


def beside_span(text: str, start: Point, end: Point) -> Iterator[Place]:
    """Yield the places for a measured stretch: beside its middle, then beside its ends."""
    for cost, share in enumerate((0.5, 0.35, 0.65, 0.2, 0.8, 0.0, 1.0)):
        x, y = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
        if start[0] == end[0]:
            yield place(text, x + _GAP + 2, y + _RISE / 2, "start", cost / 4)
            yield place(text, x - _GAP - 2, y + _RISE / 2, "end", cost / 4 + 0.1)
        else:
            yield place(text, x, y - _GAP - texts.below_baseline(text), "middle", cost / 4)
            yield place(text, x, y + _GAP + _RISE, "middle", cost / 4 + 0.1)
    yield from around(text, start)
    yield from around(text, end)


def length_of(run: Run) -> float:
    """Return the length of a run in pixels."""
    return sum(math.dist(p, q) for p, q in itertools.pairwise(run))


def _stations(run: Run) -> Iterator[tuple[Point, Point]]:
    """Yield points along a run from its end backwards, each with the direction there, to the right where it has one."""
    if len(run) < 2:
        return
    whole = length_of(run)
    for step in range(_STEPS_ALONG):
        wanted = whole * (1 - (step + 0.7) / (_STEPS_ALONG + 0.4))
        passed = 0.0
        for (x0, y0), (x1, y1) in itertools.pairwise(run):
            piece = math.hypot(x1 - x0, y1 - y0)
            if piece and passed + piece >= wanted:
                share = (wanted - passed) / piece
                dx, dy = (x1 - x0) / piece, (y1 - y0) / piece
                sign = -1 if dx < 0 else 1
                yield (x0 + share * (x1 - x0), y0 + share * (y1 - y0)), (sign * dx, sign * dy)
                break
            passed += piece
