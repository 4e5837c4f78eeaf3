"""Boxes and lines on the grid: the plain geometry of collisions."""

from collections.abc import Iterable

from tutor.drawing.schematic.shapes import Box, Point

Line = tuple[int, int, int, int, str]
"""x0, y0, x1, y1 with x0 ≤ x1 and y0 ≤ y1, and the node."""


def line(p: Point, q: Point, node: str) -> Line:
    """Return the line between two points on one row or column."""
    return min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]), node


def shifted(box: Box, dx: float, dy: float) -> Box:
    """Return the box moved by (dx, dy)."""
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy


def moved(wire: Line, dx: int, dy: int) -> Line:
    """Return the line moved by (dx, dy)."""
    return wire[0] + dx, wire[1] + dy, wire[2] + dx, wire[3] + dy, wire[4]


def overlap(a: Box, b: Box, gap: float = 0.0) -> bool:
    """Whether two boxes come closer than the gap."""
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def hits(box: Box, boxes: Iterable[Box], gap: float) -> bool:
    """Whether any of the boxes comes closer to the box than the gap."""
    x0, y0, x1, y1 = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    # A plain loop: this is the innermost question of the placement, and a generator costs twice as much.
    for b in boxes:  # noqa: SIM110
        if x0 < b[2] and b[0] < x1 and y0 < b[3] and b[1] < y1:
            return True
    return False


def crossed(box: Box, lines: Iterable[Line], gap: float) -> bool:
    """Whether any of the lines comes closer to the box than the gap."""
    x0, y0, x1, y1 = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    for w in lines:  # noqa: SIM110
        if x0 < w[2] and w[0] < x1 and y0 < w[3] and w[1] < y1:
            return True
    return False


def is_on(point: Point, wire: Line) -> bool:
    """Whether the point is on the line."""
    return wire[0] <= point[0] <= wire[2] and wire[1] <= point[1] <= wire[3]


def meet(a: Line, b: Line) -> int | None:
    """Return 1 where lines of different nodes cross, 0 where they stay apart, ``None`` where they touch."""
    if a[0] > b[2] or b[0] > a[2] or a[1] > b[3] or b[1] > a[3]:
        return 0
    a_lies, b_lies = a[1] == a[3], b[1] == b[3]
    if a_lies == b_lies:
        return None
    lying, standing = (a, b) if a_lies else (b, a)
    inside = lying[0] < standing[0] < lying[2] and standing[1] < lying[1] < standing[3]
    return 1 if inside else None
