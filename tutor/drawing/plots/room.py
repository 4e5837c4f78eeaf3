"""Which room is taken: the pixels of a drawing, row by row as bits of one whole number each.

A box is free if none of its rows has one of its bits set: some ten operations, however many curves there are.
"""

from __future__ import annotations

from collections.abc import Sequence

from tutor.drawing.plots.geometry import Box, Point

_ROW = 2
"""Pixels to a row; across, a bit is one pixel."""

_HALF_WIDTH = 1.6
"""Kept free on either side of a line, in pixels."""


class Room:
    """What is drawn, as far as a text must keep clear of it."""

    def __init__(self, width: int, height: int) -> None:
        self._width, self._height = width, height
        self._rows = [0] * (height // _ROW + 2)
        self._lines: list[tuple[str, Sequence[Point]]] = []
        self._boxes: list[tuple[str, Box]] = []

    def take_line(self, name: str, points: Sequence[Point]) -> None:
        """Take the room of a line; the name is told when a text has to overlap it."""
        self._lines.append((name, points))
        _draw(self._rows, points)

    def take_box(self, name: str, box: Box) -> None:
        """Take the room of a box."""
        self._boxes.append((name, box))
        _fill(self._rows, box)

    def holds(self, box: Box) -> bool:
        """Whether a box lies within the drawing."""
        return box[0] >= 1 and box[1] >= 1 and box[2] <= self._width - 1 and box[3] <= self._height - 1

    def is_free(self, box: Box) -> bool:
        """Whether nothing is drawn in a box, and it lies within the drawing."""
        if not self.holds(box):
            return False
        return _is_free(self._rows, box)

    def overlapped(self, box: Box) -> list[str]:
        """Return the names of what a box overlaps."""
        found = [] if self.holds(box) else ["edge of the drawing"]
        for name, points in self._lines:
            rows = [0] * len(self._rows)
            _draw(rows, points)
            if not _is_free(rows, box):
                found.append(name)
        found += [name for name, other in self._boxes if _overlap(box, other)]
        return list(dict.fromkeys(found))


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _is_free(rows: Sequence[int], box: Box) -> bool:
    left, right = max(int(box[0]), 0), int(box[2])
    mask = ((1 << (right - left + 1)) - 1) << left
    for row in range(max(int(box[1]) // _ROW, 0), min(int(box[3]) // _ROW + 1, len(rows))):
        if rows[row] & mask:
            return False
    return True


def _fill(rows: list[int], box: Box) -> None:
    left, right = max(int(box[0]), 0), int(box[2])
    if right < left:
        return
    mask = ((1 << (right - left + 1)) - 1) << left
    for row in range(max(int(box[1]) // _ROW, 0), min(int(box[3]) // _ROW + 1, len(rows))):
        rows[row] |= mask


def _draw(rows: list[int], points: Sequence[Point]) -> None:
    """Take every row's part of a line, so much wider as is kept free."""
    for (x0, y0), (x1, y1) in zip(points, points[1:] or points, strict=False):
        if y0 > y1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        slope = (x1 - x0) / (y1 - y0) if y1 - y0 > 1e-9 else 0.0
        first, last = max(int(y0 - _HALF_WIDTH) // _ROW, 0), min(int(y1 + _HALF_WIDTH) // _ROW, len(rows) - 1)
        for row in range(first, last + 1):
            a, b = x0, x1
            if slope:
                a = x0 + slope * (min(max(row * _ROW - _HALF_WIDTH, y0), y1) - y0)
                b = x0 + slope * (min(max(row * _ROW + _ROW + _HALF_WIDTH, y0), y1) - y0)
            if a > b:
                a, b = b, a
            left = max(int(a - _HALF_WIDTH), 0)
            rows[row] |= ((1 << (max(int(b + _HALF_WIDTH), left) - left + 1)) - 1) << left
