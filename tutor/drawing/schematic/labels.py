"""Places for the texts of a drawing: beside their part, clear of wires, bodies and each other."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from tutor.drawing.schematic.shapes import Box

GAP = 1.5
"""Pixels kept free around a text."""

_ENOUGH = 12


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a label: its text, its width, how it is written."""

    text: str
    width: float


@dataclass(frozen=True, slots=True)
class Place:
    """One way to put a label: its lines, where they start, how they are anchored, the box they fill.

    Attributes:
        lines: Index of the way the text is broken: 0 on one line, 1 reference over value, and so on.
        x: Pixels from the left.
        y: Baseline of each line.
        anchor: ``start``, ``middle`` or ``end``.
        boxes: The boxes the text fills.
        cost: How much this place is liked less than the first.
    """

    lines: int
    x: float
    y: tuple[float, ...]
    anchor: str
    boxes: tuple[Box, ...]
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Choice:
    """The place a label got, and what it overlaps there."""

    place: Place
    overlaps: tuple[str, ...]


def choose(wanted: Mapping[str, Sequence[Place]], taken: Sequence[tuple[Box, str]]) -> dict[str, Choice]:
    """Return a place for every label.

    Labels with the fewest free places choose first; what is chosen is taken for the rest.

    Args:
        wanted: Label name → places, cheapest first.
        taken: Boxes of bodies, wires and marks, each with what it is.
    """
    near = {name: _near(places, taken) for name, places in wanted.items()}
    free = {name: _free(places, near[name]) for name, places in wanted.items()}
    # One that cannot stand free anyhow comes last, so that it does not take the place of one that can.
    order = sorted(wanted, key=lambda name: (not free[name], len(free[name])))
    chosen: dict[str, Choice] = {}
    for name in order:
        clear = _clear(free[name], chosen)
        if clear is not None:
            chosen[name] = Choice(clear, ())
        elif not _make_way(name, free, chosen):
            texts = [(box, f"label of {other}") for other, choice in chosen.items() for box in choice.place.boxes]
            options = [(_hits(place.boxes, [*near[name], *texts]), place) for place in wanted[name]]
            overlaps, best = min(options, key=lambda option: (len(option[0]), option[1].cost))
            chosen[name] = Choice(best, tuple(overlaps))
    return chosen


def _free(places: Sequence[Place], taken: Sequence[tuple[Box, str]]) -> list[Place]:
    """Return the first few places that nothing covers: enough to choose from."""
    return list(islice((place for place in places if not _hits(place.boxes, taken)), _ENOUGH))


def _near(places: Sequence[Place], taken: Sequence[tuple[Box, str]]) -> list[tuple[Box, str]]:
    """Return what is taken near enough to any of the places to matter."""
    boxes = [box for place in places for box in place.boxes]
    left = min((box[0] for box in boxes), default=0.0) - GAP
    top = min((box[1] for box in boxes), default=0.0) - GAP
    right = max((box[2] for box in boxes), default=0.0) + GAP
    foot = max((box[3] for box in boxes), default=0.0) + GAP
    return [
        item for item in taken if left < item[0][2] and item[0][0] < right and top < item[0][3] and item[0][1] < foot
    ]


def _clear(places: Iterable[Place], chosen: Mapping[str, Choice], but: str = "") -> Place | None:
    """Return the first of the places, best first, that no chosen label fills."""
    texts = [(box, name) for name, choice in chosen.items() if name != but for box in choice.place.boxes]
    return next((place for place in places if not _hits(place.boxes, texts)), None)


def _make_way(name: str, free: Mapping[str, Sequence[Place]], chosen: dict[str, Choice]) -> bool:
    """Move one label that stands in the way of another, if that frees a place for both."""
    for place in free[name]:
        texts = [(box, other) for other, choice in chosen.items() for box in choice.place.boxes]
        blockers = list(dict.fromkeys(_hits(place.boxes, texts)))
        if len(blockers) != 1:
            continue
        trial = {**chosen, name: Choice(place, ())}
        moved = _clear(free[blockers[0]], trial, but=blockers[0])
        if moved is not None:
            chosen[name], chosen[blockers[0]] = trial[name], Choice(moved, ())
            return True
    return False


def _hits(boxes: Iterable[Box], taken: Sequence[tuple[Box, str]]) -> list[str]:
    found: list[str] = []
    for left, top, right, foot in boxes:
        left, top, right, foot = left - GAP, top - GAP, right + GAP, foot + GAP
        for (x0, y0, x1, y1), name in taken:
            if left < x1 and x0 < right and top < y1 and y0 < foot:
                found.append(name)
    return found
