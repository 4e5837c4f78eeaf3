"""Places for parts with more than two pins that are not valves, and for groups drawn in one piece."""

from tutor.drawing.schematic import blocks
from tutor.drawing.schematic.board import Block
from tutor.drawing.schematic.desk import FARTHEST, Desk, Option
from tutor.drawing.schematic.hanging import hang
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.paths import chain_to_earth
from tutor.drawing.schematic.patterns import (
    diode_bridge_block,
    find_diode_bridge,
    find_ladder,
    ladder_block,
)
from tutor.drawing.schematic.shapes import SPAN, Point, Spot, shape_of

_BACKWARD = 12
_PAIR_GAP = 12
"""Columns kept between the anodes of a pair and their transformer: screens and cathodes come between."""


def put_fitting(desk: Desk, node: str, part: DrawnPart) -> None:
    """Put down a part with more than two pins by the pin it has on the node."""
    pins = set(part.nodes)
    if part.is_potentiometer:
        _put_potentiometer(desk, node, part)
    elif pins == {"a", "b", "control a", "control b"}:
        _put_controlled(desk, node, part)
    elif part.kind == "transformer" and part.windings:
        _put_transformer(desk, node, part)
    else:
        _put_any(desk, node, part)


def put_ladder(desk: Desk, node: str) -> None:
    """Put down the bridged columns or rows that begin at the node, if there are any."""
    ladder = find_ladder(desk.netlist, node, desk.spots)
    if ladder is not None:
        block = ladder_block(desk.netlist, ladder, lying=ladder.goal != EARTH)
        desk.settle(block, desk.along(node), node)


def put_diode_bridge(desk: Desk, node: str) -> None:
    """Put down a diode bridge whose ac nodes both have their place."""
    bridge = find_diode_bridge(desk.netlist, node, desk.spots)
    if bridge is None or bridge.second not in desk.points:
        return
    upper, lower = desk.points[node][0], desk.points[bridge.second][0]
    if upper[1] > lower[1]:
        bridge = find_diode_bridge(desk.netlist, bridge.second, desk.spots) or bridge
        upper, lower = lower, upper
    x = max(upper[0], lower[0]) + 2
    row = (upper[1] + lower[1]) // 2 - SPAN
    options = [(float(d), x + d, row + dy, ()) for d in range(FARTHEST) for dy in (0, 2, -2, 4, -4)]
    desk.settle(diode_bridge_block(bridge), options)


def put_coupled_coils(desk: Desk) -> bool:
    """Put down coils beside the one they are coupled with; return whether nodes wait to be carried on."""
    for coupling in desk.netlist.couplings:
        coils = [desk.netlist.parts[name] for name in coupling.of if name in desk.netlist.parts]
        coils = [coil for coil in coils if set(coil.nodes) == {"a", "b"}]
        standing = [coil for coil in coils if _is_standing(desk, coil)]
        for coil in coils:
            if coil.reference in desk.spots or not standing:
                continue
            block = Block()
            upside = coil.nodes["a"] == EARTH
            blocks.add_part(block, coil, Spot(0, SPAN, 270) if upside else Spot(0, 0, 90))
            blocks.mark_ends(block, desk.netlist)
            spot = desk.spots[standing[0].reference]
            top = spot.y if spot.turn == 90 else spot.y - SPAN
            desk.settle(block, [(float(d), spot.x + d, top, ()) for d in range(4, FARTHEST)])
    return bool(desk.queue)


def _is_standing(desk: Desk, part: DrawnPart) -> bool:
    return part.reference in desk.spots and desk.spots[part.reference].turn in (90, 270)


def _put_potentiometer(desk: Desk, node: str, part: DrawnPart) -> None:
    if node not in (part.nodes["top"], part.nodes["foot"]):
        _put_any(desk, node, part)
        return
    hang(desk, node, chain_to_earth(desk.netlist, node, part, desk.spots) or [part])


def _put_controlled(desk: Desk, node: str, part: DrawnPart) -> None:
    """Put down a source controlled by a voltage, its control ends to the left, an earthed one at the foot."""
    earthed = part.nodes["control a"] == EARTH
    if part.nodes["a"] == EARTH:
        spot = Spot(0, SPAN, 270, mirror=True, flips=() if earthed else (0,))
    else:
        spot = Spot(0, 0, 90, flips=(0,) if earthed else ())
    block = Block()
    pins = blocks.add_part(block, part, spot)
    # Wires must still get at the control ends, so nothing is to stand close before them.
    edge = min(x for x, _ in pins.values())
    block.boxes.append((edge - 1.5, 1, edge, SPAN - 1))
    blocks.mark_ends(block, desk.netlist)
    pin = next(name for name in ("control a", "control b", "a", "b") if part.nodes[name] == node)
    origin = (0, pins[pin][1]) if pin in ("a", "b") else pins[pin]
    desk.settle(block, desk.along(node, origin), node)


def _put_transformer(desk: Desk, node: str, part: DrawnPart) -> None:
    if _waits_for_a_valve(desk, part):
        return
    flips = blocks.standing_flips(part)
    entry = next(pin for pin, other in part.nodes.items() if other == node)
    mirror = shape_of(part, flips).pins[entry][0] > 0
    block = Block()
    pins = blocks.add_part(block, part, Spot(0, 0, mirror=mirror, flips=flips))
    blocks.mark_ends(block, desk.netlist)
    options = [(cost + _pull(desk, part, pins, x, y), x, y, wire) for cost, x, y, wire in desk.along(node, pins[entry])]
    if not desk.settle(block, options, node):
        # Nothing can be reached straight; the router will find a way round.
        desk.settle(block, [(cost, x, y, ()) for cost, x, y, _ in options])


def _waits_for_a_valve(desk: Desk, part: DrawnPart) -> bool:
    """Whether a valve with its anode on the transformer has no place yet: a pair is placed first."""
    nodes = [node for node in part.nodes.values() if not desk.netlist.is_rail(node)]
    return any(other.is_valve and other.nodes["anode"] == node for node in nodes for other in desk.waiting(node))


def _pull(desk: Desk, part: DrawnPart, pins: dict[str, Point], dx: int, dy: int) -> float:
    """Return what reaching the part's other nodes would cost: it is to stand to the right of them."""
    netlist = desk.netlist
    anodes = sum(1 for node in part.nodes.values() for _, pin in netlist.pins[node] if pin == "anode")
    gap = _PAIR_GAP if anodes > 1 else 3
    total = 0.0
    for pin, (x, y) in pins.items():
        known = desk.points.get(part.nodes[pin])
        if known and not netlist.is_rail(part.nodes[pin]):
            total += 0.3 * min(abs(x + dx - px) + abs(y + dy - py) for px, py in known)
            total += _BACKWARD if x + dx < max(px for px, _ in known) + gap else 0
    return total


def _put_any(desk: Desk, node: str, part: DrawnPart) -> None:
    """Put down a part that no rule covers, turned so that its pin on the node is at the left."""
    options: list[Option] = []
    chosen: Block | None = None
    for mirror in (False, True):
        block = Block()
        pins = blocks.add_part(block, part, Spot(0, 0, 90 if shape_of(part).lying else 0, mirror))
        blocks.mark_ends(block, desk.netlist)
        entry = next(point for pin, point in pins.items() if part.nodes[pin] == node)
        if chosen is None or entry[0] == min(x for x, _ in pins.values()):
            chosen, options = block, desk.along(node, entry)
    if chosen is not None:
        desk.settle(chosen, options, node)
