"""Places for the parts: the signal from left to right, supplies above, earth below.

The circuit is walked from its sources. Each node, once it has a place, puts down what hangs on it: parts to earth
below it, parts to a supply above it, valves, and parts that carry the signal on to the right. A block is tried at
the places where it could stand and takes the one that costs least in room, bends and crossings. Parts left over
(between two nodes that both have their place by then) are put in by `insertion` once the wires are drawn.
"""

from tutor.drawing.schematic import blocks
from tutor.drawing.schematic.board import Block
from tutor.drawing.schematic.boxes import line
from tutor.drawing.schematic.desk import Desk
from tutor.drawing.schematic.fittings import put_coupled_coils, put_diode_bridge, put_fitting, put_ladder
from tutor.drawing.schematic.hanging import carry_on, hang_to_rails, put_rungs
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.paths import grows_first
from tutor.drawing.schematic.shapes import SPAN, Spot
from tutor.drawing.schematic.stages import (
    awaits_lower_valve,
    depth_below,
    height_above,
    put_second_of_pair,
    put_valve,
    spines,
)

_BETWEEN = 6
"""Rows between two stretches of the circuit that stand one below the other."""


def place(netlist: Netlist) -> Desk:
    """Return the desk with every part put down that the walk reaches; parts placed by hand come first."""
    desk = Desk(netlist)
    for part in netlist.drawn():
        if part.at is not None:
            block = Block()
            blocks.add_part(block, part, Spot(*part.at, turn=part.turn // 90 % 4 * 90))
            blocks.mark_ends(block, netlist)
            desk.put(block, 0, 0)
    _walk(desk)
    while (start := _next_start(desk)) is not None:
        _begin(desk, start)
        _walk(desk)
    return desk


def _walk(desk: Desk) -> None:
    while desk.queue or put_coupled_coils(desk):
        _grow(desk, desk.queue.pop(0))


def _grow(desk: Desk, node: str) -> None:
    """Put down what hangs on a node that has its place."""
    if awaits_lower_valve(desk, node):
        # The cathode parts of a pair belong below its lower valve.
        return
    put_diode_bridge(desk, node)
    put_second_of_pair(desk, node)
    hang_to_rails(desk, node)
    put_ladder(desk, node)
    for part in desk.waiting(node):
        if part.reference in desk.spots:
            continue
        if part.is_valve:
            put_valve(desk, node, part)
        elif set(part.nodes) != {"a", "b"}:
            put_fitting(desk, node, part)
    put_rungs(desk, node)
    carry_on(desk, node)


def _next_start(desk: Desk) -> DrawnPart | None:
    """Return the part to go on from: a source, or the part that most likely feeds the rest."""
    waiting = [part for part in desk.netlist.drawn() if part.reference not in desk.spots]
    loose = [part for part in waiting if not any(node in desk.points for node in part.nodes.values())]
    free = [part for part in waiting if any(node not in desk.points for node in part.nodes.values())]
    sources = [part for part in free if "source" in part.kind and "control a" not in part.nodes]
    valves = [part for part in loose if part.is_valve]
    candidates = sources or valves or [p for p in loose if _open_end(desk.netlist, p)] or loose or free
    return min(candidates, key=lambda part: grows_first(desk.netlist, part), default=None)


def _open_end(netlist: Netlist, part: DrawnPart) -> str | None:
    """Return the pin of a two-pin part, neither on earth nor on a supply, that nothing else is joined to."""
    nodes = part.nodes
    if set(nodes) != {"a", "b"} or any(netlist.is_rail(node) for node in nodes.values()):
        return None
    return next((pin for pin in ("a", "b") if len(netlist.pins[nodes[pin]]) == 1), None)


def _begin(desk: Desk, part: DrawnPart) -> None:
    """Put down a first part at the left, below everything there is."""
    foot = int(desk.board.bounds()[3])
    y = foot + _BETWEEN + height_above(desk, part) if desk.board.boxes else 0
    depth = depth_below(desk)
    desk.base, desk.foot = None, y + depth
    options = [(float(dx + dy), dx, y + dy, ()) for dy in range(0, 12, 2) for dx in range(30)]
    desk.settle(_first_block(desk, part, depth), options)


def _first_block(desk: Desk, part: DrawnPart, depth: int) -> Block:
    """Return the block of a first part, its upper node's row at the origin, its earth mark `depth` below."""
    if part.is_valve:
        return blocks.valve(desk.netlist, part, *spines(desk, part))
    block = Block()
    open_end = _open_end(desk.netlist, part)
    if open_end is not None and "source" not in part.kind:
        return blocks.series(part, part.nodes[open_end])
    if set(part.nodes) == {"a", "b"}:
        upside = part.nodes["a"] == EARTH or part.nodes["b"] in desk.netlist.supplies
        drop = depth - SPAN if EARTH in part.nodes.values() else 0
        pins = blocks.add_part(block, part, Spot(0, drop + SPAN, 270) if upside else Spot(0, drop, 90))
        top = "b" if upside else "a"
        if drop:
            block.lines.append(line((0, 0), pins[top], part.nodes[top]))
            block.ends.append(((0, 0), part.nodes[top]))
    elif part.is_potentiometer:
        blocks.add_part(block, part, Spot(0, 0, 90))
    else:
        blocks.add_part(block, part, Spot(0, 0, flips=blocks.standing_flips(part)))
    blocks.mark_ends(block, desk.netlist)
    return block
