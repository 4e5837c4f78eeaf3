"""Parts that hang from a node: down to earth, up to a supply, or off to the right."""

from collections.abc import Sequence

from tutor.drawing.schematic import blocks
from tutor.drawing.schematic.board import Block
from tutor.drawing.schematic.boxes import line
from tutor.drawing.schematic.desk import FARTHEST, Desk, Option
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.paths import (
    chain_to_earth,
    drives_a_row,
    grows_first,
    is_driven,
    leads_back,
)
from tutor.drawing.schematic.shapes import SPAN, Point, Spot

_LEFTWARD = 10
_LONG_DROP = 7


def hang(desk: Desk, node: str, parts: Sequence[DrawnPart], *, upward: bool = False) -> bool:
    """Put down parts in series between the node and earth (or a supply), one below the other."""
    block = blocks.stack(desk.netlist, parts, node, upward=upward)
    depth = SPAN * len(parts)
    options: list[Option] = []
    for x, y in desk.points[node]:
        rows = _rows_up(desk, y, depth, parts) if upward else _rows_down(desk, node, (x, y), depth)
        for row, row_cost in rows.items():
            for d in range(FARTHEST):
                for column in (x + d, x - d) if d else (x,):
                    cost = d + row_cost + (_LEFTWARD if column < x else 0)
                    options.append((cost, column, row, ((x, y), (column, y), (column, row))))
        if not upward:
            options += _down_and_along(x, y)
    return desk.settle(block, options, node, hung=True)


def _rows_down(desk: Desk, node: str, point: Point, depth: int) -> dict[int, float]:
    """Return the rows for the head of a stack to earth, with their costs: best with its foot on the earth row."""
    x, y = point
    rows = {y + drop: 1.0 + 1.5 * drop for drop in range(5)}
    row = desk.foot - depth
    if row >= y:
        long = row - y > _LONG_DROP and not drives_a_row(desk.netlist, node)
        rows[row] = 0.25 * (row - y) if long else 0.0
    if (x, y + depth) in desk.points.get(EARTH, ()):
        # The earthed end of a winding is just as far down: load and winding side by side.
        rows = {y: 0.0, **{row: cost + 2.0 for row, cost in rows.items() if row != y}}
    return rows


def _rows_up(desk: Desk, y: int, depth: int, parts: Sequence[DrawnPart]) -> dict[int, float]:
    """Return the rows for the foot of a stack to a supply: best level with what the supply feeds already."""
    rows = {y - rise: 1.0 + 0.2 * rise for rise in range(12)}
    supply = next((node for node in parts[-1].nodes.values() if node in desk.netlist.supplies), "")
    tops = [row for _, row in desk.points.get(supply, ())]
    if tops and min(tops) + depth <= y:
        rows[min(tops) + depth] = 0.0
        rows[min(tops) + depth - 1] = 0.2
    return rows


def _down_and_along(x: int, y: int) -> list[Option]:
    """Return the options first down, then along: past what stands beside the node."""
    return [
        (d + 0.5 * drop + 4.0, x + d, y + drop, ((x, y), (x, y + drop), (x + d, y + drop)))
        for drop in range(2, 8)
        for d in range(3, FARTHEST)
    ]


def hang_to_rails(desk: Desk, node: str) -> None:
    """Hang the parts to earth below the node and those to a supply above it."""
    for part in desk.waiting(node):
        if set(part.nodes) == {"a", "b"}:
            far = part.through(node)
            if far == EARTH:
                hang(desk, node, [part])
            elif far in desk.netlist.supplies:
                hang(desk, node, [part], upward=True)


def put_rungs(desk: Desk, node: str) -> None:
    """Put down parts across two nodes whose rows are just their length apart, such as a winding's load."""
    for part in desk.waiting(node):
        far = part.through(node) if set(part.nodes) == {"a", "b"} else node
        if far != node and far in desk.points and not desk.netlist.is_rail(far):
            _put_rung(desk, part, node, far)


def _put_rung(desk: Desk, part: DrawnPart, node: str, far: str) -> None:
    for x, y in desk.points[node]:
        for other_x, other_y in desk.points[far]:
            if abs(other_y - y) != SPAN:
                continue
            for column in range(max(x, other_x) + 3, max(x, other_x) + 15):
                top = min(y, other_y)
                upper = node if top == y else far
                spot = Spot(column, top, 90) if part.nodes["a"] == upper else Spot(column, top + SPAN, 270)
                block = Block()
                blocks.add_part(block, part, spot)
                block.lines += [line((x, y), (column, y), node), line((other_x, other_y), (column, other_y), far)]
                fit = desk.board.fit(block, 0, 0)
                if fit is not None and not (fit.crossings or fit.cramped):
                    desk.put(block, 0, 0, fit)
                    return


def carry_on(desk: Desk, node: str) -> None:
    """Put down the parts that lead from the node to nodes without a place."""
    netlist = desk.netlist
    onward = [part for part in desk.waiting(node) if _leads_on(desk, part, node)]
    onward.sort(key=lambda part: grows_first(netlist, part, part.through(node)))
    for part in onward:
        if part.reference in desk.spots or part.through(node) in desk.points:
            continue
        chain = chain_to_earth(netlist, node, part, desk.spots)
        beside = len(onward) + len(desk.waiting(node)) > 2
        if chain and (beside or drives_a_row(netlist, node)):
            hang(desk, node, chain)
        else:
            desk.settle(blocks.series(part, node), desk.along(node), node)


def _leads_on(desk: Desk, part: DrawnPart, node: str) -> bool:
    """Whether the part leads to a node that is to get its place from this one."""
    if set(part.nodes) != {"a", "b"}:
        return False
    far = part.through(node)
    return not (
        far in desk.points
        or desk.netlist.is_rail(far)
        or is_driven(desk.netlist, far, desk.spots)
        or leads_back(desk.netlist, part, node, far)
    )
