"""Places for the parts left over when the wires are drawn: feedback paths, bridges, parts in parallel.

For each node of the part the cost of reaching every point of the sheet is worked out once; the part then goes
where its pins are reached most cheaply and its body and label are in nobody's way.
"""

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.drawing.schematic.boxes import overlap
from tutor.drawing.schematic.grid import SOLID, Grid
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.rooms import label_rooms
from tutor.drawing.schematic.shapes import Box, Shape, Spot, on_sheet, shape_of

_STEP = 2
_CROSS = 14
_NO_ROOM = 40
_UPSIDE_DOWN = 30
_FAR = 2000
"""What a point costs that no wire can reach: dear, but better than no place at all."""
_KEPT = 60
_TRIED = 8
_GAP = 0.6
_EDGE = 2
"""Points kept free along the edge of the sheet."""


def reach(grid: Grid, node: int, starts: Sequence[int]) -> list[int]:
    """Return for every point what a wire from the node's points to it would cost, bends left out."""
    cost = [_FAR] * (grid.width * grid.height)
    heap = []
    for start in starts:
        cost[start] = 0
        heap.append((0, start))
    heapq.heapify(heap)
    width, solid, extra, pin_node = grid.width, grid.solid, grid.extra, grid.pin_node
    wire, crossed = grid.wire, grid.crossed
    while heap:
        spent, here = heapq.heappop(heap)
        if spent > cost[here]:
            continue
        for there in (here + 1, here + width, here - 1, here - width):
            if solid[there] == SOLID or pin_node[there] not in (0, node):
                continue
            price = spent + _STEP + extra[there]
            if crossed[there] or wire[there] not in (0, node):
                price += _CROSS
            if price < cost[there]:
                cost[there] = price
                heapq.heappush(heap, (price, there))
    return cost


def best_spots(
    grid: Grid, part: DrawnPart, costs: Mapping[str, list[int]], rooms: Sequence[Box]
) -> list[tuple[int, Spot]]:
    """Return the few spots where the part's pins are reached most cheaply, with their costs.

    Args:
        grid: The sheet with all wires so far.
        part: The part to put in.
        costs: Pin → cost of reaching each point, for the pins whose node is on the sheet.
        rooms: Labels that should not be covered.
    """
    search = _Search(grid, part, costs, _occupied_rows(grid))
    attitudes = _attitudes(part)
    found = [
        (price, order, y, x) for order, attitude in enumerate(attitudes) for price, y, x in search.places(attitude)
    ]
    priced: list[tuple[int, Spot]] = []
    for price, order, y, x in sorted(found)[:_KEPT]:
        if len(priced) >= _TRIED and price >= priced[-1][0]:
            break
        spot = attitudes[order].moved(x + grid.left, y + grid.top)
        priced.append((price + _room_cost(grid, part, spot, rooms), spot))
        priced = sorted(priced, key=lambda item: item[0])[:_TRIED]
    return priced


def _attitudes(part: DrawnPart) -> list[Spot]:
    if len(part.nodes) == 2 and part.kind != "transformer":
        return [Spot(0, 0, turn) for turn in (0, 180, 90, 270)]
    if shape_of(part).lying:
        return [Spot(0, 0, turn, mirror) for turn in (90, 270, 0, 180) for mirror in (False, True)]
    return [Spot(0, 0, 0, mirror) for mirror in (False, True)]


def _occupied_rows(grid: Grid) -> list[int]:
    """Return one number per row of the sheet, with a bit for every point that is taken."""
    rows = []
    for y in range(grid.height):
        base, bits = y * grid.width, 0
        for x in range(grid.width):
            number = base + x
            if grid.solid[number] or grid.pin_node[number] or grid.wire[number]:
                bits |= 1 << x
        rows.append(bits)
    return rows


@dataclass(frozen=True, slots=True)
class _Search:
    """A part that looks for room on a grid.

    Attributes:
        grid: The sheet.
        part: The part.
        costs: Pin → cost of reaching each point.
        taken: For each row, a number with a bit for every point that is taken.
    """

    grid: Grid
    part: DrawnPart
    costs: Mapping[str, list[int]]
    taken: Sequence[int]

    def places(self, attitude: Spot) -> list[tuple[int, int, int]]:
        """Return where the part fits in an attitude, as what reaching its pins costs, row and column."""
        grid, wide = self.grid, self.grid.width
        shape = on_sheet(shape_of(self.part, attitude.flips), attitude)
        runs = _runs(shape)
        rows = [row for row, _, _ in runs] + [y for _, y in shape.pins.values()]
        columns = [x for _, a, b in runs for x in (a, b)] + [x for x, _ in shape.pins.values()]
        reached = [(shape.pins[pin][1] * wide + shape.pins[pin][0], cost) for pin, cost in self.costs.items()]
        pins = [(y * wide + x, self.costs.get(pin)) for pin, (x, y) in shape.pins.items()]
        found: list[tuple[int, int, int]] = []
        start, limit = _attitude_cost(self.part, attitude), 1 << 30
        for y in range(_EDGE - min(rows), grid.height - _EDGE - max(rows)):
            free = self._free_columns(y, runs)
            for x in range(_EDGE - min(columns), wide - _EDGE - max(columns)):
                if not free >> x & 1:
                    continue
                origin = y * wide + x
                price = start
                for offset, cost in reached:
                    price += cost[origin + offset]
                if price <= limit and _pins_free(grid, origin, pins):
                    found.append((price, y, x))
                    limit = min(limit, price + 2 * _NO_ROOM)
        return [place for place in found if place[0] <= limit]

    def _free_columns(self, y: int, runs: Sequence[tuple[int, int, int]]) -> int:
        """Return a number with a bit for every column where the body fits with its origin on row y."""
        blocked = 0
        for row, first, last in runs:
            bits = self.taken[y + row]
            for x in range(first, last + 1):
                blocked |= bits >> x if x >= 0 else bits << -x
        return ~blocked & ((1 << self.grid.width) - 1)


def _runs(shape: Shape) -> list[tuple[int, int, int]]:
    """Return the points that the body and leads need free, as (row, first column, last column)."""
    runs = []
    for box in shape.boxes:
        x0, x1 = int((box[0] - _GAP) // 1) + 1, -int(-(box[2] + _GAP) // 1) - 1
        y0, y1 = int((box[1] - _GAP) // 1) + 1, -int(-(box[3] + _GAP) // 1) - 1
        runs += [(y, x0, x1) for y in range(y0, y1 + 1)]
    pins = set(shape.pins.values())
    for (ax, ay), (bx, by) in shape.leads:
        points = [(x, y) for x in range(min(ax, bx), max(ax, bx) + 1) for y in range(min(ay, by), max(ay, by) + 1)]
        runs += [(y, x, x) for x, y in points if (x, y) not in pins]
    return runs


def _pins_free(grid: Grid, origin: int, pins: Sequence[tuple[int, list[int] | None]]) -> bool:
    """Whether every pin stands on a free point or on a wire of its own node."""
    for offset, cost in pins:
        place = origin + offset
        if grid.solid[place]:
            return False
        if (grid.pin_node[place] or grid.wire[place]) and (cost is None or cost[place] != 0):
            return False
    return True


def _attitude_cost(part: DrawnPart, spot: Spot) -> int:
    """Return what a part upside down costs: an earthed pin belongs at the foot."""
    if set(part.nodes) != {"a", "b"} or EARTH not in part.nodes.values():
        return 0
    return 0 if spot.turn == (270 if part.nodes["a"] == EARTH else 90) else _UPSIDE_DOWN


def _room_cost(grid: Grid, part: DrawnPart, spot: Spot, rooms: Sequence[Box]) -> int:
    """Return the cost of having no free place for the label, or of covering somebody else's."""
    shape = on_sheet(shape_of(part, spot.flips), spot)
    covered = sum(_NO_ROOM for box in shape.boxes for room in rooms if overlap(box, room))
    own = label_rooms(shape, spot, valve=part.is_valve)
    for index, room in enumerate(own):
        if _is_clear(grid, room) and not any(overlap(room, other) for other in rooms):
            return covered + index
    return covered + _NO_ROOM


def _is_clear(grid: Grid, room: Box) -> bool:
    return not any(
        grid.solid[number] or grid.pin_node[number] or grid.wire[number] for number in grid.inside(room, 0.2)
    )
