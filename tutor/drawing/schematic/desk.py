"""The table on which blocks are put down one after the other, each where it costs least."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from tutor.drawing.schematic.board import Block, Board, Fit
from tutor.drawing.schematic.boxes import Line, line
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.shapes import Point, Spot

FARTHEST = 44
"""Columns over which a place is looked for."""

_CROSSING = 9.0
_CRAMPED = 20.0
_TURNED = 3.5
"""In grid units: what crossing a line, a label without room, and a label turned to another side are worth."""

_LEVELS = (0, 5, -5, 6, -6, 8, -8, 10, -10, 12, -12, 14, 16, 18, 20, 22, 24)

Option = tuple[float, int, int, tuple[Point, ...]]
"""Cost, column and row for a block's origin, and the corners of the wire that would lead to it."""


@dataclass(slots=True)
class Desk:
    """What has a place so far, and where the nodes can be carried on.

    Attributes:
        netlist: The circuit.
        board: The sheet, for collisions.
        spots: Reference → spot.
        points: Node → the points from which it can be carried on.
        queue: Nodes that have come to a place and have not put down their parts yet.
        foot: The row on which the present stretch has its earth marks.
        base: The row of the first valve's grid in the present stretch.
    """

    netlist: Netlist
    board: Board = field(default_factory=Board)
    spots: dict[str, Spot] = field(default_factory=dict)
    points: dict[str, list[Point]] = field(default_factory=dict)
    queue: list[str] = field(default_factory=list)
    foot: int = 0
    base: int | None = None

    def waiting(self, node: str) -> list[DrawnPart]:
        """Return the parts on the node that have no place yet."""
        return [part for part in self.netlist.parts_at(node) if part.reference not in self.spots]

    def along(self, node: str, origin: Point = (0, 0)) -> list[Option]:
        """Return the options for a block that the node reaches at `origin`, to the right of where it is."""
        ox, oy = origin
        options: list[Option] = []
        for x, y in self.points[node]:
            for d in range(FARTHEST):
                for dy in _LEVELS:
                    cost = d + abs(dy) * 0.8 + (3 if dy else 0)
                    wire = ((x, y), (x, y + dy), (x + d, y + dy))
                    options.append((cost, x + d - ox, y + dy - oy, wire))
        return options

    def settle(self, block: Block, options: Iterable[Option], node: str = "", *, hung: bool = False) -> bool:
        """Put the block where it costs least; return whether it found a place.

        Args:
            block: What to put down.
            options: Where it could stand.
            node: The node that leads to it.
            hung: The block hangs from the node, which is carried on from its own row.
        """
        best: tuple[float, int, int, tuple[Line, ...], Fit] | None = None
        for cost, dx, dy, corners in sorted(options, key=lambda option: option[0]):
            if best is not None and cost >= best[0]:
                break
            lines = lines_along(corners, node)
            fit = self.board.fit(block, dx, dy, lines)
            if fit is None:
                continue
            total = cost + _CROSSING * fit.crossings + _CRAMPED * fit.cramped + _TURNED * fit.turned
            if best is None or total < best[0]:
                best = (total, dx, dy, lines, fit)
        if best is None:
            return False
        _, dx, dy, lines, fit = best
        self.put(block, dx, dy, fit, lines, hung=node if hung else None)
        return True

    def put(
        self,
        block: Block,
        dx: int,
        dy: int,
        fit: Fit | None = None,
        lines: Sequence[Line] = (),
        *,
        hung: str | None = None,
    ) -> None:
        """Put the block down at (dx, dy), and note where its nodes can be carried on."""
        self.board.put(block, dx, dy, fit, lines)
        for reference, spot in block.spots.items():
            self.spots[reference] = spot.moved(dx, dy)
        # A node is carried on from where it runs level: not from an electrode, nor from the foot of a drop.
        level = {node for _, node in block.ends} | {hung}
        pins = [(point, node) for point, node in block.pins if node not in level]
        found = [((x + dx, y + dy), node) for (x, y), node in (*block.ends, *pins)]
        if hung is not None:
            lines = [wire for wire in lines if wire[1] == wire[3]]
        found += [(end, wire[4]) for wire in lines for end in ((wire[0], wire[1]), (wire[2], wire[3]))]
        for point, node in found:
            known = self.points.setdefault(node, [])
            if not known and not self.netlist.is_rail(node):
                self.queue.append(node)
            if point not in known:
                known.append(point)


def lines_along(corners: Sequence[Point], node: str) -> tuple[Line, ...]:
    """Return the lines along the corners of a wire."""
    return tuple(line(p, q, node) for p, q in pairwise(corners) if p != q)
