"""Where labels may stand, best first: beside upright parts, above lying ones, at the shoulder of a valve."""

from collections.abc import Mapping, Sequence

from tutor.drawing.schematic import text
from tutor.drawing.schematic.captions import Caption
from tutor.drawing.schematic.labels import Place
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.plan import Mark, Plan
from tutor.drawing.schematic.shapes import Box, Point, Shape, Spot
from tutor.drawing.schematic.symbols import UNIT

_ASCENT, _DESCENT = 0.77, 0.23
"""Of the font size, above and below the baseline."""

_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""How much of a text stands to the left of its anchor."""

_LINE = text.LINE_HEIGHT
_GAP = 5.0
"""Pixels from a body to the text beside it, or to the baseline above it."""

_BASELINE = 11.5
"""From the top of a line to its baseline."""

_WIDE = 66.0
"""A label wider than this is better broken than set on one line over a lying part."""


def place_at(
    x: float, first: float, anchor: str, way: int, caption: Caption, cost: float, only: slice = slice(None)
) -> Place:
    """Return the place of a caption's lines, the first one's baseline at `first`."""
    lines, size, share = caption.ways[way][only], caption.size, _SHARE[anchor]
    baselines = tuple([first + _LINE * index for index in range(len(lines))])
    boxes = []
    for baseline, (_, width) in zip(baselines, lines, strict=True):
        start = x - share * width
        boxes.append((start, baseline - _ASCENT * size, start + width, baseline + _DESCENT * size))
    return Place(way, x, baselines, anchor, tuple(boxes), cost)


def electrode_places(part: DrawnPart, shape: Shape, spot: Spot, electrode: str, caption: Caption) -> list[Place]:
    """Return the places for the number of a valve's electrode: on either side of its lead, just off the envelope."""
    x, y = (coordinate * UNIT for coordinate in shape.pins[electrode])
    left, top, right, foot = (edge * UNIT for edge in shape.boxes[0])
    if part.nodes.get("suppressor") and electrode == "suppressor":
        return []
    if x == spot.x * UNIT:
        baseline = top - 4.2 if y < top else foot + 9.5
        return [
            place_at(x + 3.5, baseline, "start", 0, caption, 0.0),
            place_at(x - 3.5, baseline, "end", 0, caption, 1.0),
        ]
    edge, anchor = (left - 3.0, "end") if x < left else (right + 3.0, "start")
    return [place_at(edge, y - 4.0, anchor, 0, caption, 0.0), place_at(edge, y + 10.5, anchor, 0, caption, 1.0)]


def part_places(part: DrawnPart, shape: Shape, spot: Spot, caption: Caption) -> list[Place]:
    """Return the places for a part's label."""
    left, top = (min(box[i] for box in shape.boxes) * UNIT for i in (0, 1))
    right, foot = (max(box[i] for box in shape.boxes) * UNIT for i in (2, 3))
    body = (left, top, right, foot)
    upright = shape.lying and spot.turn in (90, 270)
    flat = shape.lying and not upright
    places: list[Place] = []
    for way, lines in enumerate(caption.ways):
        if part.is_valve:
            places += _shoulders(way, caption, body, mirror=spot.mirror)
        # A value too wide for the room that was kept is better broken into more lines.
        wide = max(0.0, max(width for _, width in lines) - _WIDE) / 20 + 1.2 * max(0, len(lines) - 2)
        wide = wide if way else 0.0
        places += _beside(way, caption, body, wide + (0.0 if upright else 6.0), shifts=1 if flat else 5)
        places += _above_and_below(way, caption, body, wide + (6.0 if upright else 0.0), shifts=1 if upright else 5)
    return sorted(places, key=lambda place: place.cost)


def _beside(way: int, caption: Caption, body: Box, cost: float, *, shifts: int) -> list[Place]:
    left, top, right, foot = body
    if way == 0 and len(caption.ways) > 1:
        cost += 3.0
    first = (top + foot) / 2 - _LINE * len(caption.ways[way]) / 2 + _BASELINE
    places = []
    for shift in (0, -10, 10, -20, 20)[:shifts]:
        row_cost = cost + abs(shift) / 20
        places.append(place_at(right + _GAP, first + shift, "start", way, caption, row_cost))
        places.append(place_at(left - _GAP, first + shift, "end", way, caption, row_cost + 1.0))
    return places


def _above_and_below(way: int, caption: Caption, body: Box, cost: float, *, shifts: int) -> list[Place]:
    left, top, right, foot = body
    lines = caption.ways[way]
    if way > 0:
        cost += 1.0
    elif lines[0][1] > _WIDE:
        cost += 1.5
    centre = (left + right) / 2
    over, under = top - _GAP - _LINE * (len(lines) - 1), foot + 14
    places = []
    for shift in (0, -8, 8, -16, 16)[:shifts]:
        shift_cost = cost + abs(shift) / 20
        places.append(place_at(centre + shift, over, "middle", way, caption, shift_cost))
        places.append(place_at(centre + shift, under, "middle", way, caption, shift_cost + 0.7))
    if way == 1:
        head = place_at(centre, top - _GAP, "middle", way, caption, 0.0, slice(1))
        rest = place_at(centre, under, "middle", way, caption, 0.0, slice(1, None))
        places.append(Place(way, centre, head.y + rest.y, "middle", head.boxes + rest.boxes, cost + 1.2))
    return places


def _shoulders(way: int, caption: Caption, body: Box, *, mirror: bool) -> list[Place]:
    """Return the places beside a valve and at its corners, first on the side away from the grid."""
    left, top, right, foot = body
    tall = _LINE * len(caption.ways[way])
    middle = (top + foot) / 2 - tall / 2 + _BASELINE - 5
    sides = (("start", right, 1), ("end", left, -1))
    places = []
    for rank, (anchor, edge, out) in enumerate(reversed(sides) if mirror else sides):
        cost = 2.0 * rank + (1.0 if way == 0 else 0.0)
        places += [
            place_at(edge + out * _GAP, middle, anchor, way, caption, cost + (2.5 if rank else 0)),
            place_at(edge - out * 3, top + 8, anchor, way, caption, cost + 0.5),
            place_at(edge - out * 3, foot - tall + 14, anchor, way, caption, cost + 0.6),
        ]
    return places


def supply_places(mark: Mark, caption: Caption) -> list[Place]:
    """Return the places for the text at a rail mark."""
    x, y = mark.point[0] * UNIT, mark.point[1] * UNIT
    spots = ((0, -14, "middle"), (-8, -14, "start"), (8, -14, "end"), (12, -3, "start"), (-12, -3, "end"))
    return [place_at(x + dx, y + dy, anchor, 0, caption, 0.5 * rank) for rank, (dx, dy, anchor) in enumerate(spots)]


def point_places(point: Point, caption: Caption, cost: float = 2.0) -> list[Place]:
    """Return the places around a point, for the name of a node."""
    x, y = point[0] * UNIT, point[1] * UNIT
    sides = ((6, "start"), (-6, "end"), (0, "middle"), (11, "start"), (-11, "end"))
    return [
        place_at(x + dx, y + dy, anchor, 0, caption, cost + abs(dx) / 20)
        for dx, anchor in sides
        for dy in (-6, 12, 4, 18)
    ]


def node_places(node: str, plan: Plan, netlist: Netlist, shapes: Mapping[str, Shape], caption: Caption) -> list[Place]:
    """Return the places for a node's name: along its level wires first, then beside its pins."""
    places: list[Place] = []
    for wire in plan.wires:
        if wire.node == node:
            for p, q in zip(wire.points, wire.points[1:], strict=False):
                places += _along(p, q, caption)
    points = [
        point
        for reference, shape in shapes.items()
        for pin, point in shape.pins.items()
        if netlist.parts[reference].nodes[pin] == node
    ]
    for point in dict.fromkeys(points):
        places += point_places(point, caption)
    return sorted(places, key=lambda place: place.cost)


def _along(p: Point, q: Point, caption: Caption) -> list[Place]:
    """Return the places along one straight stretch of wire."""
    (x0, y0), (x1, y1) = sorted((p, q))
    x0, y0, x1, y1 = x0 * UNIT, y0 * UNIT, x1 * UNIT, y1 * UNIT
    places = []
    if y0 == y1:
        cost = 0.0 if x1 - x0 >= caption.ways[0][0][1] + 4 else 1.0
        spots: Sequence[tuple[float, str, float]] = (
            ((x0 + x1) / 2, "middle", 0.0),
            (x1 - 4, "end", 0.2),
            (x0 + 4, "start", 0.3),
        )
        for x, anchor, extra in spots:
            places.append(place_at(x, y0 - 5.5, anchor, 0, caption, cost + extra))
            places.append(place_at(x, y0 + 12.5, anchor, 0, caption, cost + extra + 0.5))
        return places
    for share in (0.5, 0.25, 0.75):
        y = y0 + (y1 - y0) * share + 4
        places.append(place_at(x0 + 5, y, "start", 0, caption, 1.5))
        places.append(place_at(x0 - 5, y, "end", 0, caption, 1.6))
    return places
