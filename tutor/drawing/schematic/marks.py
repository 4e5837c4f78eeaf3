"""Earth marks below their pins and supply rails along the top."""

from itertools import pairwise

from tutor.drawing.schematic.board import MARK_BOX, Board
from tutor.drawing.schematic.boxes import hits, shifted
from tutor.drawing.schematic.canvas import Canvas
from tutor.drawing.schematic.parts import EARTH
from tutor.drawing.schematic.plan import Mark
from tutor.drawing.schematic.shapes import Box, Point

_STROKES = 0.6
"""Rows from an earth mark's point to its first stroke: its stem is a wire like any other."""


def mark_earths(canvas: Canvas, board: Board) -> None:
    """Give every earthed pin a mark, where the placement meant it to be if that is known."""
    number = canvas.nodes.get(EARTH)
    if number is None:
        return
    meant = [canvas.grid.number(point) for point in board.earths]
    for group in list(canvas.router.groups[number]):
        mark_earth(canvas, next((place for place in meant if place in group), group[0]))


def mark_earth(canvas: Canvas, place: int) -> None:
    """Put an earth mark below a point, or lead the point to the nearest place that has room for one."""
    number, grid = canvas.nodes[EARTH], canvas.grid
    point = grid.point(place)
    if not _fits(canvas, point):
        path = canvas.router.path(number, [place], _places_near(canvas, point))
        if path is None:
            canvas.stubs.append(Mark(EARTH, point))
            canvas.faults.append(f"node {EARTH} is joined by name")
            return
        canvas.router.lay(number, path)
        point = grid.point(path[-1])
    canvas.earths.append(Mark(EARTH, point))
    canvas.boxes.append(shifted(MARK_BOX, *point))
    grid.cover([_strokes(point)])


def _strokes(point: Point) -> Box:
    left, top, right, foot = shifted(MARK_BOX, *point)
    return left, top + _STROKES, right, foot


def _fits(canvas: Canvas, point: Point) -> bool:
    if hits(shifted(MARK_BOX, *point), canvas.boxes, 0.1):
        return False
    grid = canvas.grid
    return not any(grid.wire[n] or grid.pin_node[n] for n in grid.inside(_strokes(point), 0.4))


def _places_near(canvas: Canvas, point: Point) -> list[int]:
    grid = canvas.grid
    found = []
    for x in range(max(point[0] - 9, grid.left + 3), min(point[0] + 10, grid.left + grid.width - 3)):
        for y in range(max(point[1] - 4, grid.top + 3), min(point[1] + 14, grid.top + grid.height - 4)):
            place = grid.number((x, y))
            if not (grid.solid[place] or grid.pin_node[place] or grid.wire[place]) and _fits(canvas, (x, y)):
                found.append(place)
    return found


def draw_rails(canvas: Canvas) -> None:
    """Draw each supply as a rail level with its highest pin; pins that cannot reach it get their own mark."""
    for node in canvas.netlist.supplies:
        number = canvas.nodes[node]
        points = [canvas.grid.point(group[0]) for group in canvas.router.groups[number]]
        if not points:
            continue
        row = min(y for _, y in points)
        for x, y in points:
            canvas.lay_straight(number, (x, y), (x, row))
        tops = sorted({x for x, y in points if _joined(canvas, number, (x, y), (x, row))})
        for a, b in pairwise(tops):
            canvas.lay_straight(number, (a, row), (b, row))
        for group in canvas.router.groups[number]:
            mark_rail(canvas, node, min((canvas.grid.point(n) for n in group), key=lambda p: (p[1], p[0])))


def mark_rail(canvas: Canvas, node: str, point: Point) -> None:
    """Put a supply mark on a point and keep the room above it for its text."""
    x, y = point
    canvas.rails.append(Mark(node, point))
    strokes = (x - 1, y - 1, x + 1, y - 0.6)
    canvas.boxes.append(strokes)
    canvas.grid.cover([strokes])
    canvas.grid.keep_clear((x - 4, y - 2.6, x + 4, y - 1))


def _joined(canvas: Canvas, node: int, p: Point, q: Point) -> bool:
    a, b = canvas.grid.number(p), canvas.grid.number(q)
    return a == b or any(a in group and b in group for group in canvas.router.groups[node])
