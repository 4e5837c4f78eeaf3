"""The sheet while it is wired: parts on a grid, wires as links between points, marks."""

from collections.abc import Sequence

from tutor.drawing.schematic.board import Board
from tutor.drawing.schematic.grid import Grid
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.plan import Mark
from tutor.drawing.schematic.routing import Router
from tutor.drawing.schematic.shapes import Box, Point, Shape, Spot, lead_boxes, on_sheet, shape_of

_MARGIN = 9


class Canvas:
    """Parts with a spot, and what joins them.

    Attributes:
        netlist: The circuit.
        spots: Reference → spot.
        rooms: Where the placement meant labels to stand.
        nodes: Node → its number on the grid.
        names: The other way round.
        grid: Points and links.
        router: Finds ways, and keeps which points of a node are joined.
        boxes: Bodies and marks.
        earths: Earth marks.
        rails: Supply marks.
        stubs: Ends joined by name.
        faults: What could not be done.
    """

    def __init__(self, netlist: Netlist, board: Board, spots: dict[str, Spot], spare: int = 0) -> None:
        self.netlist = netlist
        self.spots = dict(spots)
        self.rooms = board.rooms.taken()
        self.nodes = {node: number for number, node in enumerate(netlist.pins, start=1)}
        self.names = {number: node for node, number in self.nodes.items()}
        self.boxes: list[Box] = []
        self.earths: list[Mark] = []
        self.rails: list[Mark] = []
        self.stubs: list[Mark] = []
        self.faults: list[str] = []
        x0, y0, x1, y1 = board.bounds()
        margin = _MARGIN + spare + self._largest_left_over()
        self.grid = Grid((x0 - margin, y0 - margin, x1 + margin, y1 + margin))
        self.router = Router(self.grid, {number: [] for number in self.names})
        self.grid.open_pins([self.add(reference) for reference in self.spots])
        for room in self.rooms:
            self.grid.keep_clear(room)

    def _largest_left_over(self) -> int:
        """Return the extent of the largest part without a place, 0 when all have one."""
        extents = [0]
        for part in self.netlist.drawn():
            if part.reference not in self.spots:
                points = shape_of(part).pins.values()
                extents += [max(axis) - min(axis) for axis in zip(*points, strict=True)]
        return max(extents)

    def shape(self, reference: str) -> Shape:
        """Return the shape of a part on the sheet."""
        spot = self.spots[reference]
        return on_sheet(shape_of(self.netlist.parts[reference], spot.flips), spot)

    def add(self, reference: str) -> Shape:
        """Put a part on the grid; each of its pins starts as a group of its own."""
        part, shape = self.netlist.parts[reference], self.shape(reference)
        numbers = [self.nodes[part.nodes[pin]] for pin in shape.pins]
        self.grid.add_shape(shape, numbers)
        self.boxes += [*shape.boxes, *lead_boxes(shape)]
        for number, point in zip(numbers, shape.pins.values(), strict=True):
            self.start_group(number, point)
        return shape

    def start_group(self, node: int, point: Point) -> None:
        """Make the point one of the node's, joined to nothing yet unless it is known already."""
        place = self.grid.number(point)
        if not any(place in group for group in self.router.groups[node]):
            self.router.groups[node].append([place])

    def places(self, node: int) -> list[int]:
        """Return all points of a node."""
        return [place for group in self.router.groups[node] for place in group]

    def pin_places(self) -> set[int]:
        """Return the points on which pins stand."""
        return {self.grid.number(point) for ref in self.spots for point in self.shape(ref).pins.values()}

    def mark_places(self) -> list[int]:
        """Return the points on which marks stand."""
        return [self.grid.number(mark.point) for mark in (*self.earths, *self.rails, *self.stubs)]

    def ways(self, place: int, node: int) -> list[int]:
        """Return the steps to the neighbouring points to which the node has a wire."""
        right, down, left, up = self.grid.links(place)
        width = self.grid.width
        steps = ((1, right), (width, down), (-1, left), (-width, up))
        return [step for step, other in steps if other == node]

    def lay_straight(self, node: int, p: Point, q: Point, *, crossing: bool = False) -> None:
        """Lay a straight wire when nothing is in its way; with `crossing`, wires may be crossed."""
        path = self._straight(p, q)
        heading = 0 if p[1] == q[1] else 1
        for place in path:
            passes = crossing and place not in (path[0], path[-1]) and self.router.may_cross(place, heading)
            own = self.grid.pin_node[place] in (0, node)
            if self.grid.solid[place] or not own or (self.grid.is_foreign(place, node) and not passes):
                return
        if len(path) > 1:
            self.start_group(node, q)
            self.router.lay(node, path)

    def _straight(self, p: Point, q: Point) -> Sequence[int]:
        a, b = self.grid.number(p), self.grid.number(q)
        step = (1 if p[1] == q[1] else self.grid.width) * (1 if b > a else -1)
        return range(a, b + step, step)
