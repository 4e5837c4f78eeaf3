"""Wires between the pins of each node: short, with few bends and crossings, never through a body.

A wire may cross another one only straight on, and never at a pin, a bend or a junction, so that what is joined
can be read back from the drawing.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from tutor.drawing.schematic.grid import SOLID, Grid
from tutor.drawing.schematic.shapes import Point

_STEP = 2
_BEND = 7
_CROSS = 14
_BESIDE = 2

Group = list[int]
"""Points (by number) that are already joined."""


@dataclass(slots=True)
class Router:
    """Joins the pins of nodes on a grid.

    Attributes:
        grid: The sheet.
        groups: Node number → its groups of points not yet joined with each other.
    """

    grid: Grid
    groups: dict[int, list[Group]] = field(default_factory=dict)

    def join_all(self, nodes: Sequence[int]) -> None:
        """Join every node's groups, the straight and short joins first."""
        waiting = sorted(edge for node in nodes for edge in self._edges(node))
        for *_, node, p, q in waiting:
            self._join_points(node, p, q)
        for node in nodes:
            self.join(node)

    def join(self, node: int) -> None:
        """Join what is still apart of one node; what cannot be reached stays a group of its own."""
        shut: list[Group] = []
        while len(self.groups[node]) > 1:
            first, *rest = self.groups[node]
            path = self.path(node, first, [number for group in rest for number in group])
            if path is not None:
                self.lay(node, path)
            else:
                shut.append(first)
                self.groups[node] = rest
        self.groups[node] += shut

    def _edges(self, node: int) -> list[tuple[int, int, int, int, int]]:
        """Return a shortest tree over the node's pins as (bent, length, node, p, q)."""
        points = [(number, self.grid.point(number)) for group in self.groups[node] for number in group]
        edges: list[tuple[int, int, int, int, int]] = []
        if not points:
            return edges
        apart = {number: (*_stretch(points[0][1], point), points[0][0]) for number, point in points[1:]}
        places = dict(points)
        while apart:
            nearest = min(apart, key=lambda number: (apart[number], number))
            bent, length, source = apart.pop(nearest)
            edges.append((bent, length, node, source, nearest))
            for number in apart:
                option = (*_stretch(places[nearest], places[number]), nearest)
                if option[:2] < apart[number][:2]:
                    apart[number] = option
        return edges

    def _join_points(self, node: int, p: int, q: int) -> None:
        groups = self.groups[node]
        first = next(group for group in groups if p in group)
        if q in first:
            return
        other = next(group for group in groups if q in group)
        path = self.path(node, first, other)
        if path is not None:
            self.lay(node, path)

    def lay(self, node: int, path: Sequence[int]) -> None:
        """Lay a wire along neighbouring points and merge the groups it joins."""
        for a, b in pairwise(path):
            self.grid.link(a, b, node)
        ends = (path[0], path[-1])
        joined: Group = list(path)
        rest: list[Group] = []
        for group in self.groups[node]:
            if any(end in group for end in ends):
                joined += group
            else:
                rest.append(group)
        self.groups[node] = [list(dict.fromkeys(joined)), *rest]

    def path(self, node: int, starts: Sequence[int], goals: Sequence[int]) -> list[int] | None:
        """Return the cheapest path of neighbouring points from a start to a goal."""
        grid = self.grid
        width, solid, extra, pin_node = grid.width, grid.solid, grid.extra, grid.pin_node
        right, down, wire, crossed = grid.right, grid.down, grid.wire, grid.crossed
        targets = set(goals)
        bounds = self._bounds(goals)
        steps = (1, width, -1, -width)
        best: dict[int, int] = {}
        before: dict[int, int] = {}
        heap: list[tuple[int, int, int]] = []
        for start in starts:
            far = _far(start, width, bounds)
            for way in range(4):
                best[start * 4 + way] = 0
                heap.append((far, start * 4 + way, 0))
        heapq.heapify(heap)
        while heap:
            _, state, cost = heapq.heappop(heap)
            if best[state] < cost:
                continue
            here, way = divmod(state, 4)
            if here in targets:
                return _back(state, before)
            foreign = crossed[here] or wire[here] not in (0, node)
            for turn in (0, 1, 3):
                if turn and foreign:
                    continue
                heading = (way + turn) % 4
                there = here + steps[heading]
                if solid[there] == SOLID:
                    continue
                low = here if here < there else there
                used = down[low] if heading & 1 else right[low]
                if used and used != node:
                    continue
                pin = pin_node[there]
                if pin and pin != node:
                    continue
                price = cost + _STEP + extra[there] + (_BEND if turn and cost else 0)
                if (crossed[there] or wire[there] not in (0, node)) and there not in targets:
                    if not self.may_cross(there, heading):
                        continue
                    price += _CROSS
                following = there * 4 + heading
                if price < best.get(following, 1 << 30):
                    best[following] = price
                    before[following] = state
                    heapq.heappush(heap, (price + _far(there, width, bounds), following, price))
        return None

    def bends(self, path: Sequence[int]) -> int:
        """Return the cost of a path's bends."""
        steps = [b - a for a, b in pairwise(path)]
        return _BEND * sum(1 for a, b in pairwise(steps) if a != b)

    def _bounds(self, goals: Sequence[int]) -> tuple[int, int, int, int]:
        columns = [number % self.grid.width for number in goals]
        rows = [number // self.grid.width for number in goals]
        return min(columns), min(rows), max(columns), max(rows)

    def may_cross(self, number: int, heading: int) -> bool:
        """Whether the wire at the point runs straight across the heading and nothing else is there."""
        right, below, left, above = self.grid.links(number)
        across, along = ((below, above), (right, left)) if heading in (0, 2) else ((right, left), (below, above))
        return bool(across[0]) and across[0] == across[1] and not along[0] and not along[1]


def _stretch(p: Point, q: Point) -> tuple[int, int]:
    dx, dy = abs(p[0] - q[0]), abs(p[1] - q[1])
    return int(bool(dx and dy)), dx + dy


def _far(number: int, width: int, bounds: tuple[int, int, int, int]) -> int:
    """Return a lower bound of the cost to the goals."""
    y, x = divmod(number, width)
    dx = bounds[0] - x if x < bounds[0] else max(0, x - bounds[2])
    dy = bounds[1] - y if y < bounds[1] else max(0, y - bounds[3])
    return (dx + dy) * _STEP + (_BEND if dx and dy else 0)


def _back(state: int, before: dict[int, int]) -> list[int]:
    path = [state // 4]
    while state in before:
        state = before[state]
        path.append(state // 4)
    return path[::-1]
