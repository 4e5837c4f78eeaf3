"""Groups of parts that are put down together: a stack to earth, a valve with its loads, a transformer."""

from collections.abc import Mapping, Sequence

from tutor.drawing.schematic.board import MARK_BOX, Block
from tutor.drawing.schematic.boxes import line, moved, shifted
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.rooms import label_rooms
from tutor.drawing.schematic.shapes import SPAN, Box, Point, Shape, Spot, lead_boxes, on_sheet, shape_of

REACH = SPAN
"""Rows from a valve's grid to its anode's row and to its cathode's: a part between the two just fits."""

_ELBOW = 2.0
"""Half the least distance between two upright parts side by side."""

_FEELER = 16
"""Columns to the right of an anode that are kept open for the way to the next stage."""

_RAIL_BOX: Box = (-1.0, -1.0, 1.0, 0.0)


def add_part(block: Block, part: DrawnPart, spot: Spot) -> dict[str, Point]:
    """Add a part to the block; return where its pins are."""
    shape = on_sheet(shape_of(part, spot.flips), spot)
    block.spots[part.reference] = spot
    block.boxes += [*shape.boxes, *lead_boxes(shape)]
    if shape.lying and spot.turn in (90, 270):
        top = min(y for _, y in shape.pins.values())
        block.elbows.append((spot.x - _ELBOW, top + 1.0, spot.x + _ELBOW, top + SPAN - 1.0))
    block.pins += [(point, part.nodes[pin]) for pin, point in shape.pins.items()]
    if len(shape.pins) > 2:
        block.doors += [(_door(point, shape), point) for point in shape.pins.values()]
    block.rooms[part.reference] = label_rooms(shape, spot, valve=part.is_valve)
    return shape.pins


def _door(point: Point, shape: Shape) -> Box:
    """Return the room before a pin, on the side away from the body."""
    x, y = point
    left = min(box[0] for box in shape.boxes)
    right = max(box[2] for box in shape.boxes)
    if left <= x <= right:
        above = y <= min(box[1] for box in shape.boxes)
        return (x - 0.4, y - 1.6, x + 0.4, y - 0.1) if above else (x - 0.4, y + 0.1, x + 0.4, y + 1.6)
    return (x - 1.6, y - 0.4, x - 0.1, y + 0.4) if x < left else (x + 0.1, y - 0.4, x + 1.6, y + 0.4)


def mark_earth(block: Block, point: Point) -> None:
    """Keep the room below the point for an earth mark."""
    if point not in block.earths:
        block.boxes.append(shifted(MARK_BOX, *point))
        block.earths.append(point)


def mark_rail(block: Block, point: Point) -> None:
    """Keep the room above the point for a rail mark."""
    block.boxes.append(shifted(_RAIL_BOX, *point))


def mark_ends(block: Block, netlist: Netlist) -> None:
    """Keep room for the marks of every pin of the block that is on earth or on a supply."""
    for point, node in block.pins:
        if node == EARTH:
            mark_earth(block, point)
        elif node in netlist.supplies:
            mark_rail(block, point)


def stack(netlist: Netlist, parts: Sequence[DrawnPart], node: str, *, upward: bool = False) -> Block:
    """Return parts in series standing in one column, from the node at the origin down (or up).

    Every part takes `SPAN` rows; the last one's far pin is marked when it is on a rail.
    """
    block = Block()
    step = -SPAN if upward else SPAN
    here, y = node, 0
    for part in parts:
        near, far = part.main_pins(here)
        top = min(y, y + step)
        if (near in ("a", "top")) is not upward:
            spot = Spot(0, top, 90)
        else:
            spot = Spot(0, top + SPAN, 270, mirror=part.is_potentiometer)
        add_part(block, part, spot)
        here, y = part.nodes[far], y + step
    if here == EARTH and not upward:
        mark_earth(block, (0, y))
    elif here in netlist.supplies and upward:
        mark_rail(block, (0, y))
    return block


def series(part: DrawnPart, node: str) -> Block:
    """Return a two-pin part lying with its pin on the node at the origin and its far pin to the right."""
    block = Block()
    add_part(block, part, Spot(0, 0) if part.main_pins(node)[0] == "a" else Spot(SPAN, 0, 180))
    return block


def electrode_rows(part: DrawnPart) -> tuple[int, int]:
    """Return the rows of the anode's and the cathode's connections, from the valve's centre."""
    grid = shape_of(part).pins["grid"][1]
    return grid - REACH, grid + REACH


def valve(
    netlist: Netlist,
    part: DrawnPart,
    loads: Sequence[DrawnPart],
    tails: Sequence[DrawnPart],
    *,
    mirror: bool = False,
    rise: int = 0,
) -> Block:
    """Return a valve with the parts above its anode and below its cathode, its centre at the origin.

    The anode's row is `rise` rows higher than usual, to let another line cross below it.
    """
    block = Block()
    pins = add_part(block, part, Spot(0, 0, mirror=mirror))
    upper, lower = electrode_rows(part)
    _carry(block, netlist, part.nodes["anode"], pins["anode"], upper - rise, loads)
    _carry(block, netlist, part.nodes["cathode"], pins["cathode"], lower, tails)
    leads_on = len(netlist.parts_at(part.nodes["anode"])) > 1 + len(loads[:1])
    if "screen" in pins and not mirror and leads_on:
        # What feeds the screen is to leave the way from the anode to the next stage open.
        _feel(block, (pins["anode"][0], upper - rise), part.nodes["anode"])
    for pin in ("grid", "screen", "suppressor"):
        if part.nodes.get(pin) == EARTH:
            mark_earth(block, pins[pin])
        elif part.nodes.get(pin) in netlist.supplies:
            mark_rail(block, pins[pin])
    return block


def bridge_electrodes(block: Block, part: DrawnPart, bridges: Mapping[str, DrawnPart]) -> Point:
    """Add the parts from the grid to the anode or the cathode, at the left; return where the grid is reached.

    Args:
        block: The valve's block.
        part: The valve.
        bridges: Electrode → the part between it and the grid.
    """
    grid = part.nodes["grid"]
    gx, gy = shape_of(part).pins["grid"]
    if not bridges:
        return gx, gy
    column = gx - 3
    for electrode, bridge in bridges.items():
        row = electrode_rows(part)[0 if electrode == "anode" else 1]
        top = min(row, gy)
        upper = grid if top == gy else part.nodes[electrode]
        heads_down = bridge.nodes["a"] == upper
        add_part(block, bridge, Spot(column, top, 90) if heads_down else Spot(column, top + REACH, 270))
        # The label is better at the left, away from the valve.
        block.rooms[bridge.reference] = block.rooms[bridge.reference][::-1]
        block.lines.append(line((column, row), (0, row), part.nodes[electrode]))
    block.lines.append(line((column, gy), (gx, gy), grid))
    block.ends.append(((column, gy), grid))
    return column, gy


def _carry(block: Block, netlist: Netlist, node: str, pin: Point, row: int, parts: Sequence[DrawnPart]) -> None:
    """Add an electrode's row and the parts beyond it: above the anode, below the cathode."""
    upward = row < 0
    if node == EARTH and not upward:
        mark_earth(block, pin)
        return
    if node in netlist.supplies and upward:
        mark_rail(block, pin)
        return
    column = pin[0]
    block.lines.append(line(pin, (column, row), node))
    block.ends.append(((column, row), node))
    here, y = node, row
    for part in parts:
        if part.kind == "transformer":
            y, here = _wind(block, part, here, (column, y))
        elif part.is_valve:
            # A grid led back to the same column points left, towards it; any other one points right.
            led_back = any(part.nodes["grid"] in other.nodes.values() for other in parts if other is not part)
            y, here = _upon(block, part, (column, y), mirror=not led_back)
        else:
            _merge(block, stack(netlist, [part], here, upward=upward), column, y)
            y += -SPAN if upward else SPAN
            here = part.through(here)
    if here in netlist.supplies and upward and parts and parts[-1].kind == "transformer":
        mark_rail(block, (column, y))


def _wind(block: Block, part: DrawnPart, node: str, foot: Point) -> tuple[int, str]:
    """Add a transformer of which one winding stands above the point; return its far row and node."""
    name = next(w for w in part.windings if node in (part.nodes[f"{w} start"], part.nodes[f"{w} end"]))
    index = part.windings.index(name)
    starts = part.nodes[f"{name} start"] == node
    flips = tuple(i for i in standing_flips(part) if i != index) + ((index,) if starts else ())
    near, far = (f"{name} start", f"{name} end") if starts else (f"{name} end", f"{name} start")
    x, y = shape_of(part, flips).pins[near]
    mirror = x > 0
    spot = Spot(foot[0] + x if mirror else foot[0] - x, foot[1] - y, mirror=mirror, flips=flips)
    placed = add_part(block, part, spot)
    for pin, point in placed.items():
        if part.nodes[pin] == EARTH and pin != near:
            mark_earth(block, point)
    return placed[far][1], part.nodes[far]


def standing_flips(part: DrawnPart) -> tuple[int, ...]:
    """Return the windings to draw upside down so that their earthed end is at the foot."""
    return tuple(i for i, name in enumerate(part.windings) if part.nodes[f"{name} start"] == EARTH)


def _upon(block: Block, part: DrawnPart, foot: Point, *, mirror: bool) -> tuple[int, str]:
    """Add a valve with its cathode on the point; return its anode's row and node."""
    column, row = foot
    centre = row - shape_of(part).pins["cathode"][1]
    pins = add_part(block, part, Spot(column, centre, mirror=mirror))
    top, node = centre + electrode_rows(part)[0], part.nodes["anode"]
    block.lines.append(line(pins["anode"], (column, top), node))
    block.ends.append(((column, top), node))
    _feel(block, (column, top), node)
    return top, node


def _feel(block: Block, point: Point, node: str) -> None:
    block.feelers.append(line(point, (point[0] + _FEELER, point[1]), node))


def _merge(block: Block, piece: Block, dx: int, dy: int) -> None:
    block.boxes += [shifted(box, dx, dy) for box in piece.boxes]
    block.lines += [moved(wire, dx, dy) for wire in piece.lines]
    block.pins += [((x + dx, y + dy), node) for (x, y), node in piece.pins]
    block.earths += [(x + dx, y + dy) for x, y in piece.earths]
    block.elbows += [shifted(elbow, dx, dy) for elbow in piece.elbows]
    block.doors += [(shifted(box, dx, dy), (x + dx, y + dy)) for box, (x, y) in piece.doors]
    for reference, spot in piece.spots.items():
        block.spots[reference] = spot.moved(dx, dy)
    for reference, rooms in piece.rooms.items():
        block.rooms[reference] = tuple(shifted(room, dx, dy) for room in rooms)
