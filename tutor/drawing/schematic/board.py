"""The sheet while parts are being placed: what is taken, what a block of parts would collide with.

Nothing is wired yet; the lines here are stretches that a node is certain to need, so that no later part is put
in their way.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from tutor.drawing.schematic.boxes import Line, crossed, hits, is_on, meet, moved, shifted
from tutor.drawing.schematic.rooms import Obstacles, Rooms
from tutor.drawing.schematic.shapes import Box, Point, Spot

_BODY_GAP = 0.6
_LINE_GAP = 0.5
MARK_BOX: Box = (-1.0, 0.0, 1.0, 1.9)
"""An earth mark below its point."""


@dataclass(slots=True)
class Block:
    """Parts that are put down together, relative to an origin.

    Attributes:
        spots: Reference → spot.
        boxes: Bodies and marks.
        lines: Stretches of wire that come with them.
        pins: Point → node.
        rooms: Reference → places for its label.
        ends: Points where the block's nodes can be carried on, instead of at its pins.
        earths: Points meant for an earth mark.
        elbows: Room around upright parts that no other upright part enters.
        doors: Room before the pins of parts with many, and the pin: no other body closes it.
        feelers: Lines that a node is likely to need: others keep their bodies off and may cross them.
    """

    spots: dict[str, Spot] = field(default_factory=dict)
    boxes: list[Box] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    pins: list[tuple[Point, str]] = field(default_factory=list)
    rooms: dict[str, tuple[Box, ...]] = field(default_factory=dict)
    ends: list[tuple[Point, str]] = field(default_factory=list)
    earths: list[Point] = field(default_factory=list)
    elbows: list[Box] = field(default_factory=list)
    feelers: list[Line] = field(default_factory=list)
    doors: list[tuple[Box, Point]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Fit:
    """What putting a block down would mean.

    Attributes:
        crossings: Lines it would cross.
        labels: Where labels would stand.
        cramped: How many labels would find no free place.
        turned: How many labels would not stand where they are liked best, or would have to move.
    """

    crossings: int
    labels: dict[str, int]
    cramped: int
    turned: int


@dataclass(slots=True)
class Board:
    """What is taken on the sheet so far."""

    boxes: list[Box] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    pins: dict[Point, str] = field(default_factory=dict)
    rooms: Rooms = field(default_factory=Rooms)
    earths: list[Point] = field(default_factory=list)
    elbows: list[Box] = field(default_factory=list)
    feelers: list[Line] = field(default_factory=list)
    doors: list[tuple[Box, Point]] = field(default_factory=list)

    def fit(self, block: Block, dx: int, dy: int, extra: Sequence[Line] = ()) -> Fit | None:
        """Return what the block means at (dx, dy), or ``None`` where it cannot stand.

        `extra` are the lines, on the sheet, that would lead to it.
        """
        boxes = [shifted(box, dx, dy) for box in block.boxes]
        for box in boxes:
            if hits(box, self.boxes, _BODY_GAP) or crossed(box, self.lines, _LINE_GAP):
                return None
            if extra and crossed(box, extra, _LINE_GAP):
                return None
        if self._shuts_a_door(block, boxes, dx, dy):
            return None
        own = {node for _, node in block.pins}
        feelers = [feeler for feeler in self.feelers if feeler[4] not in own]
        if feelers and any(crossed(box, feelers, 0.0) for box in boxes):
            return None
        if any(hits(shifted(elbow, dx, dy), self.elbows, 0.0) for elbow in block.elbows):
            return None
        lines = [*(moved(wire, dx, dy) for wire in block.lines), *extra]
        if lines and any(crossed(box, lines, _LINE_GAP) for box in self.boxes):
            return None
        crossings = self._crossings(lines, [((x + dx, y + dy), node) for (x, y), node in block.pins])
        if crossings is None:
            return None
        crossings += sum(1 for wire in lines for feeler in feelers if meet(wire, feeler))
        crossings += sum(1 for (x, y), _ in block.pins for feeler in feelers if is_on((x + dx, y + dy), feeler))
        ahead = [moved(feeler, dx, dy) for feeler in block.feelers]
        crossings += sum(1 for box in self.boxes if crossed(box, ahead, 0.0))
        new = {ref: tuple(shifted(room, dx, dy) for room in rooms) for ref, rooms in block.rooms.items()}
        labels, cramped = self.rooms.try_with(new, Obstacles(boxes, lines), Obstacles(self.boxes, self.lines))
        turned = sum(1 for reference, side in labels.items() if side != self.rooms.chosen.get(reference, 0))
        return Fit(crossings, labels, cramped, turned)

    def put(self, block: Block, dx: int, dy: int, fit: Fit | None, extra: Sequence[Line] = ()) -> None:
        """Put the block down at (dx, dy) with the lines that lead to it."""
        boxes = [shifted(box, dx, dy) for box in block.boxes]
        lines = [*(moved(wire, dx, dy) for wire in block.lines), *extra]
        self.boxes += boxes
        self.lines += lines
        self.doors += [(shifted(box, dx, dy), (x + dx, y + dy)) for box, (x, y) in block.doors]
        self.feelers += [moved(feeler, dx, dy) for feeler in block.feelers]
        self.elbows += [shifted(elbow, dx, dy) for elbow in block.elbows]
        self.earths += [(x + dx, y + dy) for x, y in block.earths]
        for (x, y), node in block.pins:
            self.pins[(x + dx, y + dy)] = node
        new = {ref: tuple(shifted(room, dx, dy) for room in rooms) for ref, rooms in block.rooms.items()}
        there = Obstacles(self.boxes, self.lines)
        self.rooms.add(new, fit.labels if fit else {}, Obstacles(boxes, lines), there)

    def _shuts_a_door(self, block: Block, boxes: Sequence[Box], dx: int, dy: int) -> bool:
        pins = [(x + dx, y + dy) for (x, y), _ in block.pins]
        if any(point not in pins and hits(door, boxes, 0.0) for door, point in self.doors):
            return True
        return any(
            hits(shifted(door, dx, dy), self.boxes, 0.0) and (x + dx, y + dy) not in self.pins
            for door, (x, y) in block.doors
        )

    def _crossings(self, lines: Sequence[Line], pins: Sequence[tuple[Point, str]]) -> int | None:
        """Return how many lines would be crossed, or ``None`` where nodes would touch."""
        count = 0
        for new in lines:
            for old in self.lines:
                if new[4] != old[4]:
                    met = meet(new, old)
                    if met is None:
                        return None
                    count += met
            for point, node in self.pins.items():
                if node != new[4] and is_on(point, new):
                    return None
        for point, node in pins:
            if self.pins.get(point, node) != node:
                return None
            if any(old[4] != node and is_on(point, old) for old in self.lines):
                return None
        return count

    def bounds(self) -> Box:
        """Return the box around everything but the labels; an empty sheet gives a point."""
        xs = [edge for box in self.boxes for edge in (box[0], box[2])] + [float(x) for x, _ in self.pins]
        ys = [edge for box in self.boxes for edge in (box[1], box[3])] + [float(y) for _, y in self.pins]
        return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)
