"""Groups with a drawing of their own: bridged divider columns, tone controls, the diode bridge."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from tutor.drawing.schematic.blocks import add_part, mark_earth, mark_ends
from tutor.drawing.schematic.board import Block
from tutor.drawing.schematic.boxes import Line, line
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.shapes import SPAN, Point, Spot

_SIDE = 8
"""Columns from a potentiometer to the part across half of it: a label fits between."""
_PAD = 3
"""Rows added above or below a potentiometer, so that a part across half of it just fits."""
_PITCH = 12


@dataclass(slots=True)
class Ladder:
    """Columns of parts between two nodes, and the parts that bridge them.

    Attributes:
        start: The node at the head of every column.
        goal: The node at their foot.
        columns: Each column's parts from the head down.
        rungs: The parts between two columns.
        sides: Potentiometer → the parts across its upper and lower half.
    """

    start: str
    goal: str
    columns: list[list[DrawnPart]]
    rungs: list[DrawnPart] = field(default_factory=list)
    sides: dict[str, dict[str, DrawnPart]] = field(default_factory=dict)


def find_ladder(netlist: Netlist, node: str, placed: Mapping[str, object]) -> Ladder | None:
    """Return the bridged columns that begin at the node, to earth or to another common node."""
    firsts = [part for part in netlist.parts_at(node) if part.reference not in placed and _is_track(part, node)]
    if len(firsts) < 2:
        return None
    goals = [EARTH, *(goal for goal in netlist.pins if not netlist.is_rail(goal) and goal != node)]
    found = [ladder for goal in goals if (ladder := _columns(netlist, node, goal, firsts, placed)) is not None]
    return max(found, key=_worth, default=None)


def _worth(ladder: Ladder) -> tuple[bool, int, int]:
    """Return a sort key: columns to earth are best, then many rungs and side parts, then equal columns."""
    lengths = [len(run) for run in ladder.columns]
    bridges = len(ladder.rungs) + sum(len(sides) for sides in ladder.sides.values())
    return ladder.goal == EARTH, bridges, min(lengths) - max(lengths)


def _is_track(part: DrawnPart, node: str) -> bool:
    if set(part.nodes) == {"a", "b"}:
        return part.kind not in ("voltage source", "current source") and part.nodes["a"] != part.nodes["b"]
    return part.is_potentiometer and node in (part.nodes["top"], part.nodes["foot"])


def _columns(
    netlist: Netlist, start: str, goal: str, firsts: Sequence[DrawnPart], placed: Mapping[str, object]
) -> Ladder | None:
    columns: list[list[DrawnPart]] = []
    used = [start]
    for first in firsts:
        run = _run(netlist, first, start, goal, used, placed)
        if len(run) > 1:
            columns.append(run)
            here = start
            for part in run:
                here = part.through(here)
                used.append(here)
    if len(columns) < 2:
        return None
    return _bridged(netlist, Ladder(start, goal, columns), placed)


def _run(
    netlist: Netlist,
    first: DrawnPart,
    start: str,
    goal: str,
    used: Sequence[str],
    placed: Mapping[str, object],
) -> list[DrawnPart]:
    """Return the shortest run of parts from the start through `first` to the goal; may be empty."""
    queue: list[tuple[str, list[DrawnPart]]] = [(first.through(start), [first])]
    seen = [start, queue[0][0]]
    while queue:
        here, run = queue.pop(0)
        if here == goal:
            return run
        if here in used or netlist.is_rail(here) or len(run) > 3:
            continue
        for part in netlist.parts_at(here):
            if part.reference in placed or not _is_track(part, here) or part.kind == "meter":
                continue
            far = part.through(here)
            if far not in seen:
                seen.append(far)
                queue.append((far, [*run, part]))
    return []


def _bridged(netlist: Netlist, ladder: Ladder, placed: Mapping[str, object]) -> Ladder | None:
    """Find the rungs and side parts; ``None`` when nothing bridges the columns."""
    column_of: dict[str, int] = {}
    wipers: dict[str, DrawnPart] = {}
    for index, run in enumerate(ladder.columns):
        here = ladder.start
        for part in run:
            here = part.through(here)
            if here != ladder.goal:
                column_of[here] = index
            if part.is_potentiometer:
                column_of.setdefault(part.nodes["wiper"], index)
                wipers[part.nodes["wiper"]] = part
    inside = [part for run in ladder.columns for part in run]
    for part in netlist.drawn():
        if part in inside or part.reference in placed or set(part.nodes) != {"a", "b"}:
            continue
        a, b = part.nodes["a"], part.nodes["b"]
        if a not in column_of or b not in column_of:
            continue
        if column_of[a] != column_of[b]:
            ladder.rungs.append(part)
            continue
        pot = wipers.get(a) or wipers.get(b)
        if pot is not None:
            other = b if pot.nodes["wiper"] == a else a
            half = next((half for half in ("top", "foot") if pot.nodes[half] == other), "")
            if half and half not in ladder.sides.setdefault(pot.reference, {}):
                ladder.sides[pot.reference][half] = part
    return ladder if ladder.rungs else None


@dataclass(slots=True)
class _Draft:
    """Parts and lines of a ladder, standing."""

    parts: list[tuple[DrawnPart, Spot]] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    reach: dict[str, Point] = field(default_factory=dict)
    """Node → the point from which a rung starts."""
    owner: dict[str, str] = field(default_factory=dict)
    """Node → the part that would have to move for that point to move."""


def ladder_block(netlist: Netlist, ladder: Ladder, *, lying: bool) -> Block:
    """Return the block of a ladder, its head at the origin."""
    pads: dict[str, int] = {}
    gaps = _gaps(netlist, ladder)
    for _ in range(4):
        draft, deepest = _draft(ladder, gaps, pads)
        if not _level(ladder, draft, pads):
            break
    for (x0, _), (x1, _) in pairwise(deepest):
        draft.lines.append(line((x0, 0), (x1, 0), ladder.start))
    if ladder.goal != EARTH and not netlist.is_rail(ladder.goal):
        depth = max(y for _, y in deepest)
        for column, y in deepest:
            if y < depth:
                draft.lines.append(line((column, y), (column, depth), ladder.goal))
        draft.lines.append(line((deepest[0][0], depth), (deepest[-1][0], depth), ladder.goal))
    for rung in ladder.rungs:
        _draft_rung(draft, rung)
    return _assemble(netlist, draft, lying=lying)


def _draft(ladder: Ladder, gaps: Sequence[int], pads: Mapping[str, int]) -> tuple[_Draft, list[tuple[int, int]]]:
    """Return the columns, and the column and row of each one's foot."""
    draft = _Draft()
    x, deepest = 0, []
    for index, run in enumerate(ladder.columns):
        if index:
            x += gaps[index - 1]
        inward = 1 if index < len(ladder.columns) - 1 else -1
        deepest.append((x, _draft_column(draft, ladder, run, x, inward, pads)))
    return draft, deepest


def _level(ladder: Ladder, draft: _Draft, pads: dict[str, int]) -> bool:
    """Lower the parts whose rung slants, so that it lies level; return whether any was moved."""
    moved = False
    for rung in ladder.rungs:
        a, b = rung.nodes["a"], rung.nodes["b"]
        high, low = sorted((a, b), key=lambda node: draft.reach[node][1])
        slant = draft.reach[low][1] - draft.reach[high][1]
        if slant:
            owner = draft.owner[high]
            pads[owner] = pads.get(owner, 0) + slant
            moved = True
    return moved


def _gaps(netlist: Netlist, ladder: Ladder) -> list[int]:
    """Return the distance between each column and the next."""
    gaps = []
    for left, right in zip(ladder.columns, ladder.columns[1:], strict=False):
        gap = _PITCH
        for rung in ladder.rungs:
            need = SPAN
            for run in (left, right):
                for part in run:
                    if part.is_potentiometer and part.nodes["wiper"] in rung.nodes.values():
                        need += (_SIDE + 1) if ladder.sides.get(part.reference) else 3
                        others = [p for p in netlist.parts_at(part.nodes["wiper"]) if p is not part and p is not rung]
                        sides = ladder.sides.get(part.reference, {}).values()
                        need += 7 if any(p not in sides for p in others) else 0
            gap = max(gap, need)
        gaps.append(gap)
    return gaps


def _draft_column(
    draft: _Draft, ladder: Ladder, run: Sequence[DrawnPart], x: int, inward: int, pads: Mapping[str, int]
) -> int:
    """Add a column; return the row of its foot."""
    here, y = ladder.start, 0
    for part in run:
        near, far = part.main_pins(here)
        first = near in ("a", "top")
        sides = ladder.sides.get(part.reference, {})
        above, below = (sides.get("top"), sides.get("foot")) if first else (sides.get("foot"), sides.get("top"))
        head = y + pads.get(part.reference, 0) + (_PAD if above else 0)
        # Turned over, the wiper of a potentiometer points to the other side.
        mirror = part.is_potentiometer and ((inward < 0) is first)
        draft.parts.append((part, Spot(x, head, 90, mirror) if first else Spot(x, head + SPAN, 270, mirror)))
        if head > y:
            draft.lines.append(line((x, y), (x, head), here))
        far_node, foot = part.nodes[far], head + SPAN + (_PAD if below else 0)
        if foot > head + SPAN:
            draft.lines.append(line((x, head + SPAN), (x, foot), far_node))
        if part.is_potentiometer:
            row, wiper = head + SPAN // 2, part.nodes["wiper"]
            edge = x + inward * (_SIDE if sides else 3)
            draft.reach[wiper] = (edge, row)
            draft.owner[wiper] = part.reference
            if sides:
                draft.lines.append(line((x + inward * 3, row), (edge, row), wiper))
            for side, top, upper in ((above, row - SPAN, here), (below, row, wiper)):
                if side is not None:
                    spot = Spot(edge, top, 90) if side.nodes["a"] == upper else Spot(edge, top + SPAN, 270)
                    draft.parts.append((side, spot))
                    outer, level = (here, top) if side is above else (far_node, top + SPAN)
                    draft.lines.append(line((x, level), (edge, level), outer))
        draft.reach.setdefault(far_node, (x, foot))
        draft.owner.setdefault(far_node, part.reference)
        here, y = far_node, foot
    return y


def _draft_rung(draft: _Draft, rung: DrawnPart) -> None:
    """Lay a rung between two columns when its ends are on one row; others are left for later."""
    (ax, ay), (bx, by) = (draft.reach[rung.nodes[pin]] for pin in ("a", "b"))
    if ay != by or abs(ax - bx) < SPAN:
        return
    left, right = min(ax, bx), max(ax, bx)
    start = (left + right - SPAN) // 2 if right - left < 12 else left + 1
    forward = ax < bx
    draft.parts.append((rung, Spot(start, ay) if forward else Spot(start + SPAN, ay, 180)))
    ends = ("a", "b") if forward else ("b", "a")
    for (p, q), pin in zip((((left, ay), (start, ay)), ((start + SPAN, ay), (right, ay))), ends, strict=True):
        if p != q:
            draft.lines.append(line(p, q, rung.nodes[pin]))


def _assemble(netlist: Netlist, draft: _Draft, *, lying: bool) -> Block:
    block = Block()
    for part, spot in draft.parts:
        add_part(block, part, _laid(part, spot) if lying else spot)
    for x0, y0, x1, y1, node in draft.lines:
        block.lines.append((y0, x0, y1, x1, node) if lying else (x0, y0, x1, y1, node))
    block.ends += [(end, wire[4]) for wire in block.lines for end in ((wire[0], wire[1]), (wire[2], wire[3]))]
    mark_ends(block, netlist)
    return block


def _laid(part: DrawnPart, spot: Spot) -> Spot:
    """Return the spot with columns and rows exchanged."""
    turn = {90: 0, 270: 180, 0: 90, 180: 270}[spot.turn]
    return Spot(spot.y, spot.x, turn, not spot.mirror if part.is_potentiometer else spot.mirror)


@dataclass(frozen=True, slots=True)
class DiodeBridge:
    """Four diodes in a ring: the two ac nodes, the positive and the negative one."""

    first: str
    second: str
    positive: str
    negative: str
    diodes: tuple[DrawnPart, ...]
    """From first and second to positive, from negative to first and second."""


def find_diode_bridge(netlist: Netlist, node: str, placed: Mapping[str, object]) -> DiodeBridge | None:
    """Return the bridge that has the node as one of its ac ends."""
    diodes = [part for part in netlist.drawn() if part.kind == "diode" and part.reference not in placed]
    between = {(part.nodes["a"], part.nodes["b"]): part for part in reversed(diodes)}
    for (a, positive), first_up in between.items():
        if a != node:
            continue
        for (negative, b), first_down in between.items():
            if b != node or negative == positive:
                continue
            for (second, top), second_up in between.items():
                second_down = between.get((negative, second))
                if top == positive and second not in (node, negative) and second_down is not None:
                    four = (first_up, second_up, first_down, second_down)
                    return DiodeBridge(node, second, positive, negative, four)
    return None


def diode_bridge_block(bridge: DiodeBridge) -> Block:
    """Return the bridge as a square: ac along top and foot, the negative node left, the positive right.

    The first ac node is at the origin; the second `2 * SPAN` rows below.
    """
    block = Block()
    first_up, second_up, first_down, second_down = bridge.diodes
    wide, deep = 9, 2 * SPAN
    add_part(block, first_down, Spot(0, SPAN, 270))
    add_part(block, second_down, Spot(0, SPAN, 90))
    add_part(block, first_up, Spot(wide, 0, 90))
    add_part(block, second_up, Spot(wide, deep, 270))
    block.lines.append(line((0, 0), (wide, 0), bridge.first))
    block.lines.append(line((0, deep), (wide, deep), bridge.second))
    if bridge.negative == EARTH:
        block.lines.append(line((0, SPAN), (3, SPAN), EARTH))
        mark_earth(block, (3, SPAN))
    block.ends += [((wide, SPAN), bridge.positive)]
    return block
