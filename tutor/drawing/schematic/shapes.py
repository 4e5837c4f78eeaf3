"""Where a symbol's pins stand and how much room its body takes, in grid units.

A shape is given unturned; `Spot` says where it goes and how it is turned. The strokes themselves are in
`symbols`, which keeps to the same measures.
"""

from dataclasses import dataclass, replace

from tutor.drawing.schematic.parts import EARTH, TWO_TERMINAL, DrawnPart

Point = tuple[int, int]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""

SPAN = 6
"""Grid units between the pins of every two-terminal part: one measure keeps rows and columns aligned."""

WINDING = 6
WINDING_GAP = 4
"""Room between two windings that share no pin: enough for an earth mark."""

_HALF_HEIGHT = {
    "resistor": 0.7,
    "capacitor": 1.4,
    "electrolytic capacitor": 1.5,
    "inductor": 0.7,
    "diode": 0.9,
    "voltage source": 2.0,
    "current source": 2.0,
    "meter": 2.0,
}
_BODY = {"capacitor": (2.5, 3.5), "electrolytic capacitor": (2.2, 3.8), "diode": (2.0, 4.0)}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a part goes: its origin on the grid, quarter turns in degrees, mirrored or not.

    Attributes:
        x: Column of the origin.
        y: Row of the origin.
        turn: 0, 90, 180 or 270 degrees clockwise.
        mirror: Turned over: a lying part about its own line, a standing one left for right.
        flips: Indices of the windings drawn with their start at the foot; of a controlled source, not empty
            when its control ends are exchanged.
    """

    x: int
    y: int
    turn: int = 0
    mirror: bool = False
    flips: tuple[int, ...] = ()

    def moved(self, dx: int, dy: int) -> "Spot":
        """Return the spot moved by (dx, dy)."""
        return replace(self, x=self.x + dx, y=self.y + dy)


@dataclass(frozen=True, slots=True)
class Shape:
    """Pins, solid boxes and leads of a symbol.

    Attributes:
        pins: Pin name → point.
        boxes: Solid parts of the body.
        leads: Stretches of lead from a pin to the body that no wire may touch.
        lying: Whether the unturned symbol lies along x.
    """

    pins: dict[str, Point]
    boxes: tuple[Box, ...]
    leads: tuple[tuple[Point, Point], ...] = ()
    lying: bool = True


@dataclass(frozen=True, slots=True)
class Winding:
    """One winding of a transformer symbol: its side, its top and its bottom pin rows."""

    name: str
    index: int
    left: bool
    top: int
    flipped: bool = False


def turned(point: tuple[float, float], spot: Spot, *, lying: bool) -> tuple[float, float]:
    """Return a symbol's point on the sheet.

    >>> turned((6, 0), Spot(1, 2, turn=90), lying=True)
    (1, 8)
    """
    x, y = point
    if spot.mirror:
        x, y = (x, -y) if lying else (-x, y)
    if spot.turn == 90:
        x, y = -y, x
    elif spot.turn == 180:
        x, y = -x, -y
    elif spot.turn == 270:
        x, y = y, -x
    return x + spot.x, y + spot.y


def lead_boxes(shape: Shape) -> list[Box]:
    """Return a line-thin box along each lead, half a unit short of its ends."""
    found: list[Box] = []
    for (ax, ay), (bx, by) in shape.leads:
        inset_x, inset_y = (0.5, 0.0) if ay == by else (0.0, 0.5)
        found.append((min(ax, bx) + inset_x, min(ay, by) + inset_y, max(ax, bx) - inset_x, max(ay, by) - inset_y))
    return found


def on_sheet(shape: Shape, spot: Spot) -> Shape:
    """Return the shape at its spot on the sheet."""

    def pin(point: Point) -> Point:
        x, y = turned(point, spot, lying=shape.lying)
        return int(x), int(y)

    def box(corners: Box) -> Box:
        ax, ay = turned((corners[0], corners[1]), spot, lying=shape.lying)
        bx, by = turned((corners[2], corners[3]), spot, lying=shape.lying)
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)

    return Shape(
        {name: pin(point) for name, point in shape.pins.items()},
        tuple(box(corners) for corners in shape.boxes),
        tuple((pin(p), pin(q)) for p, q in shape.leads),
        shape.lying,
    )


def shape_of(part: DrawnPart, flips: tuple[int, ...] = ()) -> Shape:
    """Return the unturned shape of a part; `flips` names the windings drawn upside down."""
    kind = "electrolytic capacitor" if part.is_polarised else part.kind
    if kind in TWO_TERMINAL and set(part.nodes) == {"a", "b"}:
        return _two_terminal(kind)
    if part.is_potentiometer:
        body = _two_terminal("resistor")
        pins = {"top": (0, 0), "wiper": (3, -3), "foot": (SPAN, 0)}
        return Shape(pins, (*body.boxes, (2.5, -1.8, 3.5, -0.7)), ((((3, -3)), (3, 0)),))
    if part.is_valve:
        return _valve(part)
    if kind == "transformer" and part.windings:
        return _transformer(part, flips)
    if set(part.nodes) == {"a", "b"}:
        return _two_terminal("current source" if "source" in kind else "resistor")
    if set(part.nodes) == {"a", "b", "control a", "control b"}:
        return _controlled(part, flips)
    return _plain_box(part)


def _two_terminal(kind: str) -> Shape:
    left, right = _BODY.get(kind, (1.0, 5.0))
    half = _HALF_HEIGHT[kind]
    return Shape({"a": (0, 0), "b": (SPAN, 0)}, ((left, -half, right, half),), (((0, 0), (SPAN, 0)),))


def _controlled(part: DrawnPart, flips: tuple[int, ...]) -> Shape:
    """A control end on the same node as an output pin beside it is tied to it inside the symbol."""
    first, second = (SPAN, 0) if flips else (0, SPAN)
    pins: dict[str, Point] = {"a": (0, 0), "b": (SPAN, 0), "control a": (first, 4), "control b": (second, 4)}
    for control in ("control a", "control b"):
        output = "a" if pins[control][0] == 0 else "b"
        if part.nodes[control] == part.nodes[output]:
            pins[control] = pins[output]
    return Shape({pin: pins[pin] for pin in part.nodes}, ((1, -2, 5, 2), (-0.4, 2.5, 6.4, 3.4)), (((0, 0), (SPAN, 0)),))


def _valve(part: DrawnPart) -> Shape:
    pins: dict[str, Point] = {"anode": (0, -4), "grid": (-4, 0), "cathode": (0, 4)}
    reach = 2.6
    if part.kind == "pentode":
        reach = 3.0
        pins["grid"] = (-4, 1)
    if "screen" in part.nodes:
        pins["screen"] = (4, 0)
    if "suppressor" in part.nodes:
        tied = part.nodes["suppressor"] == part.nodes["cathode"]
        pins["suppressor"] = pins["cathode"] if tied else (4, -1)
    pins.update({pin: (4, 2 + row) for row, pin in enumerate(p for p in part.nodes if p not in pins)})
    ordered = {pin: pins[pin] for pin in part.nodes}
    return Shape(ordered, ((-reach, -reach, reach, reach),), lying=False)


def windings_of(part: DrawnPart, flips: tuple[int, ...] = ()) -> tuple[Winding, ...]:
    """Return where each winding of a transformer stands.

    The first winding stands at the left, together with those in series with it (a centre-tapped primary); the
    others are stacked at the right. Windings in series meet in one pin, the tap.
    """
    left = _left_windings(part)
    stacks = {
        side: _stack(part, tuple(i for i in range(len(part.windings)) if (i in left) is side), flips)
        for side in (True, False)
    }
    depth = {side: (stack[-1][1] + WINDING if stack else 0) for side, stack in stacks.items()}
    found = []
    for side, stack in stacks.items():
        shift = max(0, depth[not side] - depth[side]) // 2
        found += [Winding(part.windings[i], i, side, top + shift, flip) for i, top, flip in stack]
    return tuple(sorted(found, key=lambda winding: winding.index))


def _ends(part: DrawnPart, index: int) -> tuple[str, str]:
    name = part.windings[index]
    return part.nodes[f"{name} start"], part.nodes[f"{name} end"]


def _left_windings(part: DrawnPart) -> tuple[int, ...]:
    chosen = [0]
    joints = {node for node in _ends(part, 0) if node != EARTH}
    for index in range(1, len(part.windings)):
        ends = _ends(part, index)
        if joints & set(ends):
            chosen.append(index)
            joints |= {node for node in ends if node != EARTH}
    return tuple(chosen)


def _stack(part: DrawnPart, indices: tuple[int, ...], flips: tuple[int, ...]) -> list[tuple[int, int, bool]]:
    """Return (winding, row of its top pin, flipped) from the top down."""
    placed: list[tuple[int, int, bool]] = []
    row, above = 0, ""
    for place, index in enumerate(indices):
        start, end = _ends(part, index)
        following = _ends(part, indices[place + 1]) if place + 1 < len(indices) else ()
        if placed and start != end and above in (start, end):
            flip = above == end
        elif not placed and start in following and end not in following:
            flip = True
        elif end in following and start not in following:
            flip = False
        else:
            flip = index in flips
        if placed and above != (end if flip else start):
            row += WINDING_GAP
        placed.append((index, row, flip))
        above = start if flip else end
        row += WINDING
    return placed


def _transformer(part: DrawnPart, flips: tuple[int, ...]) -> Shape:
    pins: dict[str, Point] = {}
    leads: list[tuple[Point, Point]] = []
    foot = 0
    for winding in windings_of(part, flips):
        x, inner = (0, 2) if winding.left else (7, 5)
        rows = (winding.top, winding.top + WINDING)
        start, end = reversed(rows) if winding.flipped else rows
        pins[f"{winding.name} start"], pins[f"{winding.name} end"] = (x, start), (x, end)
        leads += [((x, row), (inner, row)) for row in rows]
        foot = max(foot, rows[1])
    ordered = {pin: pins[pin] for pin in part.nodes if pin in pins}
    return Shape(ordered, ((1.8, -0.2, 5.2, foot + 0.2),), tuple(leads), lying=False)


def _plain_box(part: DrawnPart) -> Shape:
    """Pins down the left and then the right side of a box, for kinds without a symbol."""
    names = list(part.nodes)
    half = (len(names) + 1) // 2
    pins: dict[str, Point] = {}
    for place, name in enumerate(names):
        pins[name] = (0, 2 * place) if place < half else (8, 2 * (place - half))
    leads = tuple(((x, y), (1 if x == 0 else 7, y)) for x, y in pins.values())
    return Shape(pins, ((1, -1, 7, 2 * max(half, 1) - 1),), leads, lying=False)
