"""A finished plan: where everything stands, without any text. It can be kept and drawn again."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from tutor.drawing.schematic.shapes import Point, Spot


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire of one node through its corners."""

    node: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """An earth mark, a rail mark or a named stub at a point.

    Attributes:
        node: The node it stands for.
        point: Where it is joined to.
    """

    node: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Where parts, wires and marks are, in grid units.

    Attributes:
        spots: Reference → spot, for the parts with a symbol.
        wires: Every stretch of wire.
        dots: Where three or more conductors meet.
        earths: Earth marks.
        rails: Supply marks.
        stubs: Named ends of nodes that could not be wired.
        faults: What is not as it should be.
    """

    spots: Mapping[str, Spot]
    wires: tuple[Wire, ...] = ()
    dots: tuple[Point, ...] = ()
    earths: tuple[Mark, ...] = ()
    rails: tuple[Mark, ...] = ()
    stubs: tuple[Mark, ...] = ()
    faults: tuple[str, ...] = ()

    def to_data(self) -> dict[str, Any]:
        """Return the plan as plain data that JSON can hold."""
        return {
            "spots": {
                reference: [spot.x, spot.y, spot.turn, spot.mirror, list(spot.flips)]
                for reference, spot in self.spots.items()
            },
            "wires": [[wire.node, [list(point) for point in wire.points]] for wire in self.wires],
            "dots": [list(point) for point in self.dots],
            **{
                name: [[mark.node, list(mark.point)] for mark in marks]
                for name, marks in (("earths", self.earths), ("rails", self.rails), ("stubs", self.stubs))
            },
            "faults": list(self.faults),
        }

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Self:
        """Return the plan that `to_data` gave."""
        marks = {
            name: tuple(Mark(node, _point(point)) for node, point in data[name])
            for name in ("earths", "rails", "stubs")
        }
        return cls(
            spots={
                reference: Spot(x, y, turn, mirror, tuple(flips))
                for reference, (x, y, turn, mirror, flips) in data["spots"].items()
            },
            wires=tuple(Wire(node, tuple(_point(p) for p in points)) for node, points in data["wires"]),
            dots=tuple(_point(point) for point in data["dots"]),
            faults=tuple(data["faults"]),
            **marks,
        )


def _point(pair: Any) -> Point:
    return int(pair[0]), int(pair[1])
