"""What the symbols, wires and marks of a plan cover, in pixels, so that labels keep clear of them."""

from collections.abc import Mapping, Sequence

from tutor.drawing.schematic.plan import Plan
from tutor.drawing.schematic.shapes import Box, Point, Shape
from tutor.drawing.schematic.symbols import UNIT

_THICKNESS = 0.1


def taken_boxes(plan: Plan, shapes: Mapping[str, Shape]) -> list[tuple[Box, str]]:
    """Return every covered box with what covers it."""
    taken: list[tuple[Box, str]] = []
    for reference, shape in shapes.items():
        taken += [(_pixels(box), reference) for box in shape.boxes]
        leads = [_between(p, q) for p, q in shape.leads]
        leads += [lead for pin in shape.pins.values() for lead in _to_body(pin, shape.boxes)]
        taken += [(_pixels(lead, _THICKNESS), f"lead of {reference}") for lead in leads]
    for wire in plan.wires:
        for p, q in zip(wire.points, wire.points[1:], strict=False):
            taken.append((_pixels(_between(p, q), _THICKNESS), "a wire"))
    taken += [(_pixels((x, y, x, y), 0.3), "a junction") for x, y in plan.dots]
    for x, y in (mark.point for mark in plan.earths):
        taken.append((_pixels((x - 1, y, x + 1, y + 1.7)), "an earth mark"))
    for x, y in (mark.point for mark in plan.rails):
        taken.append((_pixels((x - 0.8, y - 0.8, x + 0.8, y)), "a rail mark"))
    return taken


def _between(p: Point, q: Point) -> Box:
    return min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1])


def _to_body(pin: Point, boxes: Sequence[Box]) -> list[Box]:
    """Return the straight leads from a pin to the boxes that lie in line with it."""
    x, y = pin
    found: list[Box] = []
    for left, top, right, foot in boxes:
        if left <= x <= right and not top <= y <= foot:
            found.append((x, foot, x, y) if y > foot else (x, y, x, top))
        elif top <= y <= foot and not left <= x <= right:
            found.append((right, y, x, y) if x > right else (x, y, left, y))
    return found


def _pixels(box: Box, grow: float = 0.0) -> Box:
    x0, y0, x1, y1 = box
    return (x0 - grow) * UNIT, (y0 - grow) * UNIT, (x1 + grow) * UNIT, (y1 + grow) * UNIT
