"""Wires read off the grid as lines with corners, and the junctions between them."""

from collections.abc import Sequence

from tutor.drawing.schematic.canvas import Canvas
from tutor.drawing.schematic.plan import Wire
from tutor.drawing.schematic.shapes import Point


def trace_wires(canvas: Canvas) -> list[Wire]:
    """Return every wire from end to end; it ends at pins, marks and junctions."""
    grid = canvas.grid
    ends = canvas.pin_places() | set(canvas.mark_places())
    used: set[tuple[int, int]] = set()
    wires: list[Wire] = []
    for place in range(grid.width, grid.width * (grid.height - 1)):
        for step, node in ((1, grid.right[place]), (grid.width, grid.down[place])):
            if node and (place, place + step) not in used:
                back = _follow(canvas, place + step, -step, node, used, ends)
                forth = _follow(canvas, place, step, node, used, ends)
                corners = [*back[:0:-1], *forth[1:]]
                wires.append(Wire(canvas.names[node], tuple(grid.point(corner) for corner in corners)))
    return wires


def _follow(canvas: Canvas, place: int, step: int, node: int, used: set[tuple[int, int]], ends: set[int]) -> list[int]:
    """Return the corners from a point on, until the wire ends, branches or meets a pin or mark."""
    corners = [place]
    while True:
        following = place + step
        used.add((min(place, following), max(place, following)))
        place = following
        ways = canvas.ways(place, node)
        if place in ends or len(ways) != 2:
            return [*corners, place]
        onward = next(way for way in ways if way != -step)
        if (min(place, place + onward), max(place, place + onward)) in used:
            return [*corners, place]
        if onward != step:
            corners.append(place)
        step = onward


def junctions(canvas: Canvas, wires: Sequence[Wire]) -> list[Point]:
    """Return where three or more conductors meet: ends of wires, pins and marks."""
    meeting: dict[Point, int] = {}
    ends = [point for wire in wires for point in (wire.points[0], wire.points[-1])]
    for reference in canvas.spots:
        ends += dict.fromkeys(canvas.shape(reference).pins.values())
    ends += [mark.point for mark in (*canvas.earths, *canvas.rails, *canvas.stubs)]
    for point in ends:
        meeting[point] = meeting.get(point, 0) + 1
    return sorted(point for point, count in meeting.items() if count > 2)
