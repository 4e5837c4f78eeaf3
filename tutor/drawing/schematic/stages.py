"""Places for valves: with their loads above, their cathode parts below, pairs one over the other."""

from collections.abc import Sequence

from tutor.drawing.schematic import blocks
from tutor.drawing.schematic.desk import FARTHEST, Desk, Option
from tutor.drawing.schematic.hanging import hang_to_rails
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.paths import pair_of, path_to
from tutor.drawing.schematic.shapes import SPAN, Spot

_CROSSABLE = 3
"""Rows by which the second anode of a long-tailed pair is raised, so that the first one's line passes below."""


def spines(desk: Desk, part: DrawnPart) -> tuple[list[DrawnPart], list[DrawnPart]]:
    """Return the parts above a valve's anode and below its cathode that are put down with it."""
    netlist = desk.netlist
    anode, cathode = part.nodes["anode"], part.nodes["cathode"]
    loads: list[DrawnPart] = []
    if anode not in desk.points:
        for supply in netlist.supplies:
            loads = loads or path_to(netlist, anode, supply, desk.spots, but=part)
    lower = shares_cathode(desk, part, waiting=False)
    if shares_cathode(desk, part, waiting=True) or (cathode in desk.points and not lower):
        return loads, []
    taken = {**desk.spots, **{load.reference: Spot(0, 0) for load in loads}}
    return loads, path_to(netlist, cathode, EARTH, taken, but=part)


def shares_cathode(desk: Desk, part: DrawnPart, *, waiting: bool) -> bool:
    """Whether the valve has its cathode in common with its pair, which waits for its place (or has it)."""
    pair = pair_of(desk.netlist, part)
    if pair is None or desk.netlist.parts[pair].nodes["cathode"] != part.nodes["cathode"]:
        return False
    return (pair not in desk.spots) is waiting


def awaits_lower_valve(desk: Desk, node: str) -> bool:
    """Whether the node is the common cathode of a pair whose lower valve is still to come."""
    return any(
        part.is_valve and part.nodes["cathode"] == node and shares_cathode(desk, part, waiting=False)
        for part in desk.waiting(node)
    )


def put_valve(desk: Desk, node: str, part: DrawnPart) -> None:
    """Put down a valve by the electrode it has on the node; some wait for a better one."""
    grid = part.nodes["grid"]
    if grid == node:
        _put_by_grid(desk, node, part)
    elif desk.netlist.is_rail(grid) or grid not in desk.points:
        if part.nodes["cathode"] == node and pair_of(desk.netlist, part) is None:
            # The second valve of a long-tailed pair stands mirrored, its grid to the right.
            loads, _ = spines(desk, part)
            block = blocks.valve(desk.netlist, part, loads, [], mirror=True, rise=_CROSSABLE)
            row = blocks.electrode_rows(part)[1]
            desk.settle(block, [option for option in desk.along(node, (0, row)) if option[0] < 30], node)
        elif part.nodes["anode"] == node and desk.netlist.is_rail(grid):
            _, tails = spines(desk, part)
            block = blocks.valve(desk.netlist, part, [], tails)
            desk.settle(block, desk.along(node, (0, blocks.electrode_rows(part)[0])), node)


def put_second_of_pair(desk: Desk, node: str) -> None:
    """Put down a valve whose pair has its place, before anything else hangs in its way."""
    for part in desk.waiting(node):
        if part.is_valve and part.nodes["grid"] == node and pair_of(desk.netlist, part) in desk.spots:
            _put_by_grid(desk, node, part)


def _put_by_grid(desk: Desk, node: str, part: DrawnPart) -> None:
    loads, tails = spines(desk, part)
    block = blocks.valve(desk.netlist, part, loads, tails)
    gx, gy = blocks.bridge_electrodes(block, part, _electrode_bridges(desk, part, (*loads, *tails)))
    options = _grid_options(desk, node, part, gx, gy)
    lower = shares_cathode(desk, part, waiting=False) and part.nodes["cathode"] != node
    upper_points = list(desk.points.get(part.nodes["cathode"], ()))
    if not desk.settle(block, options, node):
        return
    if lower:
        # From here on the common cathode is carried on from the lower valve only.
        found = desk.points[part.nodes["cathode"]]
        desk.points[part.nodes["cathode"]] = [point for point in found if point not in upper_points] or found
    if desk.base is None:
        desk.base = desk.spots[part.reference].y + gy
    if not shares_cathode(desk, part, waiting=True):
        # What stands below the cathode belongs close to it, before anything is led past there.
        hang_to_rails(desk, part.nodes["cathode"])
        desk.queue.append(part.nodes["cathode"])


def _grid_options(desk: Desk, node: str, part: DrawnPart, gx: int, gy: int) -> list[Option]:
    """Return where a valve could stand that is reached at its grid: in the row of the others, or lower down."""
    direct = any(
        other.is_valve and other.nodes["anode"] == node and other.reference in desk.spots
        for other in desk.netlist.parts_at(node)
    )
    pair = pair_of(desk.netlist, part)
    asides = (0, 2, 4, 6, 8) if pair in desk.spots else (0,)
    options: list[Option] = []
    for x, y in desk.points[node]:
        home = y if desk.base is None or direct or pair else desk.base
        for row in dict.fromkeys((home, y)):
            for d in range(FARTHEST):
                cost = d + 0.4 * abs(row - home) + (3 if row != home else 0)
                options.append((cost, x + d - gx, row - gy, ((x, y), (x, row), (x + d, row))))
        for row in range(y + 4, y + 48):
            for aside in asides:
                for d in range(12):
                    cost = aside + d + 0.4 * (row - home) + 3
                    wire = ((x, y), (x + aside, y), (x + aside, row), (x + aside + d, row))
                    options.append((cost, x + aside + d - gx, row - gy, wire))
    return options


def _electrode_bridges(desk: Desk, part: DrawnPart, taken: Sequence[DrawnPart]) -> dict[str, DrawnPart]:
    """Return the parts from the valve's grid to its anode or cathode, where those have no place yet."""
    found: dict[str, DrawnPart] = {}
    grid = part.nodes["grid"]
    for electrode in ("anode", "cathode"):
        node = part.nodes[electrode]
        if node in desk.points or desk.netlist.is_rail(node) or node == grid:
            continue
        for other in desk.waiting(grid):
            between = set(other.nodes) == {"a", "b"} and set(other.nodes.values()) == {grid, node}
            if between and other not in taken and other not in found.values():
                found[electrode] = other
                break
    return found


def height_above(desk: Desk, part: DrawnPart) -> int:
    """Return how far above its first row a valve fed straight from the part would reach."""
    nodes = [node for node in part.nodes.values() if not desk.netlist.is_rail(node)]
    fed = [v for node in nodes for v in desk.waiting(node) if v.is_valve and v.nodes["grid"] == node]
    return max((2 + blocks.REACH + SPAN * len(spines(desk, valve)[0]) for valve in fed), default=0)


def depth_below(desk: Desk) -> int:
    """Return how far below its first row the next stretch will have its earth marks."""
    depth = SPAN
    for part in desk.netlist.drawn():
        if part.is_valve and part.reference not in desk.spots and part.nodes["cathode"] != EARTH:
            tails = path_to(desk.netlist, part.nodes["cathode"], EARTH, desk.spots)
            depth = max(depth, blocks.REACH + SPAN * max(1, len(tails)))
    return depth
