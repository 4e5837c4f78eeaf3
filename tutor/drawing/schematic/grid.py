"""The sheet as a grid of points for the router: what is solid, where pins and wires are.

Points are numbered row by row; a wire is kept as the links between neighbouring points.
"""

from collections.abc import Iterable, Sequence

from tutor.drawing.schematic.shapes import Box, Point, Shape

FREE, SOLID = 0, 1

_CLEARANCE = 0.55
_ROOM_COST = 6
_NEAR_COST = 1


class Grid:
    """Points, links and costs of one sheet.

    Attributes:
        width: Points in a row.
        solid: Per point, whether a body covers it.
        extra: Per point, the added cost of a wire there.
        pin_node: Per point, the number of the node whose pin stands there, or 0.
        right: Per point, the node of the wire from it to its right-hand neighbour, or 0.
        down: Per point, the node of the wire from it to the neighbour below, or 0.
        wire: Per point, the node of a wire that touches it, or 0.
        crossed: Per point, whether wires of two nodes cross there.
    """

    def __init__(self, bounds: Box) -> None:
        self.left, self.top = int(bounds[0]), int(bounds[1])
        self.width = int(bounds[2]) - self.left + 1
        self.height = int(bounds[3]) - self.top + 1
        size = self.width * self.height
        self.solid = bytearray(size)
        self.extra = [0] * size
        self.pin_node = [0] * size
        self.right = [0] * size
        self.down = [0] * size
        self.wire = [0] * size
        self.crossed = bytearray(size)
        for x in range(self.width):
            self.solid[x] = self.solid[size - 1 - x] = SOLID
        for y in range(self.height):
            self.solid[y * self.width] = self.solid[y * self.width + self.width - 1] = SOLID

    def number(self, point: Point) -> int:
        """Return the number of a point."""
        return (point[1] - self.top) * self.width + point[0] - self.left

    def point(self, number: int) -> Point:
        """Return the point of a number."""
        y, x = divmod(number, self.width)
        return x + self.left, y + self.top

    def inside(self, box: Box, gap: float) -> Iterable[int]:
        """Return the points strictly inside the box widened by the gap."""
        x0, x1 = _whole(box[0] - gap, box[2] + gap)
        y0, y1 = _whole(box[1] - gap, box[3] + gap)
        x0, y0 = max(x0, self.left), max(y0, self.top)
        x1, y1 = min(x1, self.left + self.width - 1), min(y1, self.top + self.height - 1)
        for y in range(y0, y1 + 1):
            base = (y - self.top) * self.width - self.left
            yield from range(base + x0, base + x1 + 1)

    def cover(self, boxes: Sequence[Box]) -> None:
        """Make bodies solid, and the points beside them a little dearer."""
        for box in boxes:
            for number in self.inside(box, _CLEARANCE + 1):
                self.extra[number] += _NEAR_COST
            for number in self.inside(box, _CLEARANCE):
                self.solid[number] = SOLID

    def add_shape(self, shape: Shape, nodes: Sequence[int]) -> None:
        """Add a part: its body, its leads, its pins with the numbers of their nodes."""
        self.cover(shape.boxes)
        for p, q in shape.leads:
            for number in self._between(p, q):
                self.solid[number] = SOLID
        for point, node in zip(shape.pins.values(), nodes, strict=True):
            self.pin_node[self.number(point)] = node

    def open_pins(self, shapes: Iterable[Shape]) -> None:
        """Make sure that no body covers a pin."""
        for shape in shapes:
            for point in shape.pins.values():
                self.solid[self.number(point)] = FREE

    def keep_clear(self, room: Box) -> None:
        """Make a wire through a label's room dear."""
        for number in self.inside(room, 0.3):
            self.extra[number] += _ROOM_COST

    def _between(self, p: Point, q: Point) -> Iterable[int]:
        a, b = self.number(p), self.number(q)
        step = (1 if p[1] == q[1] else self.width) * (1 if b > a else -1)
        return range(a + step, b, step)

    def links(self, number: int) -> tuple[int, int, int, int]:
        """Return the nodes of the wires that leave a point to the right, down, left and up."""
        return self.right[number], self.down[number], self.right[number - 1], self.down[number - self.width]

    def link(self, a: int, b: int, node: int) -> None:
        """Set (or with node 0, take away) the wire between two neighbouring points."""
        low, high = (a, b) if a < b else (b, a)
        if high - low == 1:
            self.right[low] = node
        else:
            self.down[low] = node
        for number in (low, high):
            found = [other for other in self.links(number) if other]
            self.wire[number] = found[0] if found else 0
            self.crossed[number] = any(other != found[0] for other in found)

    def is_foreign(self, number: int, node: int) -> bool:
        """Whether a wire of another node touches the point."""
        return bool(self.crossed[number]) or self.wire[number] not in (0, node)


def _whole(low: float, high: float) -> tuple[int, int]:
    """Return the first and last whole number strictly between two bounds."""
    first = int(low // 1) + 1
    last = -int(-high // 1) - 1
    return first, last
