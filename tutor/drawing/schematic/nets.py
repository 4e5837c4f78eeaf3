"""The nets read back from a drawing's geometry alone, to be compared with the netlist."""

from collections.abc import Iterable, Mapping, Sequence

from tutor.drawing.schematic.netlist import Netlist, Pin
from tutor.drawing.schematic.parts import EARTH
from tutor.drawing.schematic.plan import Mark, Plan, Wire
from tutor.drawing.schematic.shapes import Point, on_sheet, shape_of

Token = Point | tuple[str, str] | tuple[str, int]
"""What stands for a net: one of its points, the name of a mark, or the number of a wire."""


class _Joints:
    """Tokens that belong together."""

    def __init__(self) -> None:
        self._parent: dict[Token, Token] = {}

    def find(self, item: Token) -> Token:
        self._parent.setdefault(item, item)
        while self._parent[item] != item:
            self._parent[item] = self._parent[self._parent[item]]
            item = self._parent[item]
        return item

    def join(self, a: Token, b: Token) -> None:
        self._parent[self.find(a)] = self.find(b)


def pin_points(netlist: Netlist, plan: Plan) -> dict[Pin, Point]:
    """Return where each pin of the drawn symbols stands."""
    found: dict[Pin, Point] = {}
    for reference, spot in plan.spots.items():
        shape = on_sheet(shape_of(netlist.parts[reference], spot.flips), spot)
        for pin, point in shape.pins.items():
            found[reference, pin] = point
    return found


def drawn_nets(pins: Mapping[Pin, Point], wires: Sequence[Wire], marks: Iterable[Mark]) -> dict[Pin, Token]:
    """Return a token per pin; pins with the same token are joined in the drawing.

    A wire is joined with whatever ends on it; two that merely cross are not joined. Marks of the same name are
    joined, as are pins in the same place.
    """
    joints = _Joints()
    ends = {point for wire in wires for point in (wire.points[0], wire.points[-1])} | set(pins.values())
    for mark in marks:
        ends.add(mark.point)
        joints.join(mark.point, ("mark", mark.node))
    for number, wire in enumerate(wires):
        for p, q in zip(wire.points, wire.points[1:], strict=False):
            for point in ends:
                if _on(point, p, q):
                    joints.join(point, ("wire", number))
    return {pin: joints.find(point) for pin, point in pins.items()}


def _on(point: Point, p: Point, q: Point) -> bool:
    if p[0] == q[0] == point[0]:
        return min(p[1], q[1]) <= point[1] <= max(p[1], q[1])
    return p[1] == q[1] == point[1] and min(p[0], q[0]) <= point[0] <= max(p[0], q[0])


def net_faults(netlist: Netlist, plan: Plan) -> list[str]:
    """Return in words where the drawing joins other pins than the netlist does."""
    pins = pin_points(netlist, plan)
    tokens = drawn_nets(pins, plan.wires, [*plan.earths, *plan.rails, *plan.stubs])
    faults: list[str] = []
    owners: dict[Token, Pin] = {}
    firsts: dict[str, Pin] = {}
    for pin, token in tokens.items():
        owner = owners.setdefault(token, pin)
        if netlist.node(owner) != netlist.node(pin):
            faults.append(f"{_say(pin)} and {_say(owner)} are joined in the drawing, not in the circuit")
        first = firsts.setdefault(netlist.node(pin), pin)
        if tokens[first] != token:
            faults.append(f"{_say(pin)} and {_say(first)} are joined in the circuit, not in the drawing")
    return faults + _missing(netlist, plan)


def _missing(netlist: Netlist, plan: Plan) -> list[str]:
    """Return what the netlist has and the drawing lacks."""
    faults = [f"{part.reference} is missing" for part in netlist.drawn() if part.reference not in plan.spots]
    marked = {mark.node for mark in (*plan.earths, *plan.rails, *plan.stubs)}
    unmarked = [n for n in (EARTH, *netlist.supplies) if netlist.parts_at(n) and n not in marked]
    return faults + [f"node {node} has no mark" for node in unmarked]


def _say(pin: Pin) -> str:
    return f"pin {pin[1]} of {pin[0]}"
