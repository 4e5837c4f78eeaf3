"""Room for labels while parts are placed: each label may still move to another side of its part."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tutor.drawing.schematic.boxes import Line, crossed, hits, overlap, shifted
from tutor.drawing.schematic.shapes import Box, Shape, Spot

LABEL_WIDTH = 5.0
LABEL_HEIGHT = 2.7
"""Room kept for a reference over a value; the real texts are fitted when the drawing is written."""

_GAP = 0.2


def label_rooms(shape: Shape, spot: Spot, *, valve: bool = False) -> tuple[Box, ...]:
    """Return the places for a part's label, best first; the shape stands on the sheet."""
    left = min(box[0] for box in shape.boxes)
    top = min(box[1] for box in shape.boxes)
    right = max(box[2] for box in shape.boxes)
    foot = max(box[3] for box in shape.boxes)
    x, y = (left + right) / 2, (top + foot) / 2
    half, high = LABEL_WIDTH / 2, LABEL_HEIGHT / 2
    beside = (right + 0.5, y - high, right + 0.5 + LABEL_WIDTH, y + high)
    before = (left - 0.5 - LABEL_WIDTH, y - high, left - 0.5, y + high)
    if "wiper" in shape.pins and spot.turn in (90, 270):
        wiper_right = shape.pins["wiper"][0] > shape.pins["top"][0]
        return (before, beside) if wiper_right else (beside, before)
    if valve:
        beside, before = (shifted(room, 0, -0.5) for room in (beside, before))
    else:
        above = (x - half, top - 0.3 - LABEL_HEIGHT, x + half, top - 0.3)
        below = (x - half, foot + 0.3, x + half, foot + 0.3 + LABEL_HEIGHT)
        if not shape.lying:
            # A little to the right of the middle, where no supply mark on the first winding is in the way.
            return (shifted(above, 0.6, 0), shifted(below, 0.6, 0), beside, before)
        return (above, below) if spot.turn in (0, 180) else (beside, before)
    rise = ((top - 1.3, top + 1.7), (foot - 1.7, foot + 1.3))
    right_corners = tuple((right - 0.4, y0, right - 0.4 + LABEL_WIDTH, y1) for y0, y1 in rise)
    left_corners = tuple((left + 0.4 - LABEL_WIDTH, y0, left + 0.4, y1) for y0, y1 in rise)
    if spot.mirror:
        return (before, *left_corners, *right_corners, beside)
    return (beside, *right_corners, *left_corners, before)


@dataclass(frozen=True, slots=True)
class Obstacles:
    """Bodies and lines that labels keep clear of."""

    boxes: Sequence[Box]
    lines: Sequence[Line]

    def leave(self, room: Box) -> bool:
        """Whether the room is clear of them."""
        return not (hits(room, self.boxes, _GAP) or crossed(room, self.lines, _GAP))


@dataclass(slots=True)
class Rooms:
    """The labels on the sheet.

    Attributes:
        options: Reference → places for its label, best first.
        open: Reference → the options that no body and no line covers.
        chosen: Reference → the option taken.
    """

    options: dict[str, tuple[Box, ...]] = field(default_factory=dict)
    open: dict[str, list[int]] = field(default_factory=dict)
    chosen: dict[str, int] = field(default_factory=dict)

    def taken(self) -> list[Box]:
        """Return the boxes of all labels."""
        return [options[self.chosen[reference]] for reference, options in self.options.items()]

    def try_with(
        self, new: Mapping[str, tuple[Box, ...]], coming: Obstacles, there: Obstacles
    ) -> tuple[dict[str, int], int]:
        """Return the choices that new parts ask for, and how many labels find no free place.

        Args:
            new: Places for the labels of the new parts.
            coming: The bodies and lines of the new parts.
            there: What is on the sheet already.
        """
        where = {ref: options[self.chosen[ref]] for ref, options in self.options.items()}
        dirty = [reference for reference, room in where.items() if not coming.leave(room)]
        for reference in dirty:
            del where[reference]
        known = dict(self.open)
        for reference, rooms in new.items():
            known[reference] = [index for index, room in enumerate(rooms) if there.leave(room)]
        trial = _Trial({**self.options, **new}, known, coming, where)
        cramped = sum(not trial.place(reference) for reference in (*dirty, *new))
        return trial.choices, cramped

    def add(
        self,
        new: Mapping[str, tuple[Box, ...]],
        choices: Mapping[str, int],
        coming: Obstacles,
        there: Obstacles,
    ) -> None:
        """Take in the labels of new parts; `there` already holds the parts themselves."""
        for reference, known in self.open.items():
            rooms = self.options[reference]
            self.open[reference] = [index for index in known if coming.leave(rooms[index])]
        for reference, rooms in new.items():
            self.options[reference] = rooms
            self.chosen[reference] = 0
            self.open[reference] = [index for index, room in enumerate(rooms) if there.leave(room)]
        self.chosen.update(choices)


@dataclass(slots=True)
class _Trial:
    """Labels being fitted round new parts.

    Attributes:
        options: Reference → places for its label.
        known: Reference → the options clear of what is on the sheet already.
        coming: The new bodies and lines.
        where: Reference → the box of its label so far.
        choices: Reference → the option chosen, for the labels that had to choose.
    """

    options: Mapping[str, tuple[Box, ...]]
    known: Mapping[str, list[int]]
    coming: Obstacles
    where: dict[str, Box]
    choices: dict[str, int] = field(default_factory=dict)

    def place(self, reference: str) -> bool:
        """Choose a place for a label; return whether a free one was found."""
        rooms, candidates = self.options[reference], self._free(reference)
        choice = next((i for i in candidates if not hits(rooms[i], self.where.values(), _GAP)), None)
        if choice is None:
            choice = next((i for i in candidates if self._make_way(rooms[i])), None)
        found = choice is not None
        if choice is None:
            choice = candidates[0] if candidates else 0
        self.choices[reference] = choice
        self.where[reference] = rooms[choice]
        return found

    def _free(self, reference: str) -> list[int]:
        rooms = self.options[reference]
        return [index for index in self.known[reference] if self.coming.leave(rooms[index])]

    def _make_way(self, room: Box) -> bool:
        """Move the one label that stands in the way of a place, if it has another one."""
        blockers = [other for other, box in self.where.items() if overlap(room, box, _GAP)]
        if len(blockers) != 1:
            return False
        (other,) = blockers
        rest = [box for name, box in self.where.items() if name != other] + [room]
        for option in self._free(other):
            if not hits(self.options[other][option], rest, _GAP):
                self.choices[other] = option
                self.where[other] = self.options[other][option]
                return True
        return False
