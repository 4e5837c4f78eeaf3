"""Lines in pixels: cut at a rectangle, and thinned to the points that the eye needs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

Point = tuple[float, float]
Run = list[Point]
"""Points joined by straight lines."""

Box = tuple[float, float, float, float]
"""Left, top, right, foot."""

TOLERANCE = 0.25
"""How far, in pixels, a thinned line may be from the whole one; rounding adds less than a tenth."""

_FAR = 1e7
"""Pixels: beyond this a point only says in which direction a line leaves."""


def runs_of(points: Iterable[Point]) -> list[Run]:
    """Return points as runs, broken where a coordinate is no number."""
    runs: list[Run] = []
    current: Run = []
    for x, y in points:
        if x != x or y != y:  # nan is the only number that differs from itself
            if current:
                runs.append(current)
                current = []
        else:
            current.append((min(max(x, -_FAR), _FAR), min(max(y, -_FAR), _FAR)))
    if current:
        runs.append(current)
    return runs


def clipped(run: Run, box: Box) -> list[Run]:
    """Return what of a run lies within a box, the edges included."""
    left, top, right, foot = box
    if all(left <= x <= right and top <= y <= foot for x, y in run):
        return [run]
    if len(run) == 1:
        return []
    pieces: list[Run] = []
    for start, end in itertools.pairwise(run):
        cut = _cut(start, end, box)
        if cut is None:
            continue
        if pieces and pieces[-1][-1] == cut[0]:
            if cut[1] != cut[0]:
                pieces[-1].append(cut[1])
        else:
            pieces.append([cut[0], cut[1]] if cut[1] != cut[0] else [cut[0]])
    # A corner that a line only touches from outside is no part of it worth a dot.
    return [piece for piece in pieces if len(piece) > 1]


def _cut(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """Return the part of a straight line within a box, by the parameters at which it crosses the edges."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    first, last = 0.0, 1.0
    for slope, room in (
        (-dx, start[0] - box[0]),
        (dx, box[2] - start[0]),
        (-dy, start[1] - box[1]),
        (dy, box[3] - start[1]),
    ):
        if slope == 0:
            if room < 0:
                return None
        elif slope < 0:
            first = max(first, room / slope)
        else:
            last = min(last, room / slope)
    if first > last:
        return None
    # The ends themselves are kept as they are, so that neighbouring pieces join.
    p = start if first == 0.0 else (start[0] + first * dx, start[1] + first * dy)
    q = end if last == 1.0 else (start[0] + last * dx, start[1] + last * dy)
    return p, q


def thinned(run: Run, tolerance: float = TOLERANCE) -> Run:
    """Return a run with as few of its points as keep every other one within a tolerance of the line.

    Source:
        D. H. Douglas and T. K. Peucker, Algorithms for the reduction of the number of points required to represent a
        digitized line or its caricature, Cartographica 10 (1973) 112 (from memory); distances are measured to the
        piece of line, not to its extension, so that a line that turns back keeps its turning point.
    """
    if len(run) < 3:
        return run
    keep = [False] * len(run)
    keep[0] = keep[-1] = True
    waiting = [(0, len(run) - 1)]
    while waiting:
        first, last = waiting.pop()
        if last - first < 2:
            continue
        distance, index = _from_line(run, first, last)
        if distance <= tolerance:
            distance, index = _from_piece(run, first, last, distance, index)
        if distance > tolerance:
            keep[index] = True
            waiting += ((first, index), (index, last))
    return [point for point, kept in zip(run, keep, strict=True) if kept]


def _from_line(run: Run, first: int, last: int) -> tuple[float, int]:
    """Return the largest distance of the points between two from the line through them, and whose it is."""
    (x0, y0), (x1, y1) = run[first], run[last]
    dx, dy = x1 - x0, y1 - y0
    distances = [abs(dx * (y - y0) - dy * (x - x0)) for x, y in run[first + 1 : last]]
    largest = max(distances)
    return largest / (math.hypot(dx, dy) or math.inf), first + 1 + distances.index(largest)


def _from_piece(run: Run, first: int, last: int, distance: float, index: int) -> tuple[float, int]:
    """Return the same for the piece of line between the two, given what it is for the whole line."""
    (x0, y0), (x1, y1) = run[first], run[last]
    between = run[first + 1 : last]
    xs, ys = [x for x, _ in between], [y for _, y in between]
    if min(x0, x1) <= min(xs) and max(xs) <= max(x0, x1) and min(y0, y1) <= min(ys) and max(ys) <= max(y0, y1):
        return distance, index  # every point stands beside the piece, none beyond its ends
    dx, dy = x1 - x0, y1 - y0
    square = dx * dx + dy * dy
    distances = []
    for x, y in between:
        along = min(max(((x - x0) * dx + (y - y0) * dy) / square, 0.0), 1.0) if square else 0.0
        distances.append(math.hypot(x - x0 - along * dx, y - y0 - along * dy))
    largest = max(distances)
    return largest, first + 1 + distances.index(largest)


def outline_of(box: Box) -> Run:
    """Return the corners of a box, the first one again at the end."""
    left, top, right, foot = box
    return [(left, top), (right, top), (right, foot), (left, foot), (left, top)]


def clipped_area(outline: Sequence[Point], box: Box) -> list[Point]:
    """Return a closed outline cut at a box.

    Source:
        I. E. Sutherland and G. W. Hodgman, Reentrant polygon clipping, Communications of the ACM 17 (1974) 32 (from
        memory): the outline is cut at one edge after the other.
    """
    found = list(outline)
    for axis, bound, sign in ((0, box[0], 1), (0, box[2], -1), (1, box[1], 1), (1, box[3], -1)):
        entering, found = found, []
        for before, point in zip([*entering[-1:], *entering[:-1]], entering, strict=True):
            was_in = sign * (before[axis] - bound) >= 0
            is_in = sign * (point[axis] - bound) >= 0
            if was_in != is_in:
                share = (bound - before[axis]) / (point[axis] - before[axis])
                found.append((before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1])))
            if is_in:
                found.append(point)
    return found
