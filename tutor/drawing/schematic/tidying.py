"""The last touch to a wired sheet: loose ends go, parts move to the middle of their wire."""

from tutor.drawing.schematic.boxes import hits, overlap
from tutor.drawing.schematic.canvas import Canvas
from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.plan import Mark
from tutor.drawing.schematic.rooms import label_rooms
from tutor.drawing.schematic.shapes import Spot, on_sheet, shape_of


def prune(canvas: Canvas) -> None:
    """Take away wires that end nowhere."""
    held = canvas.pin_places() | set(canvas.mark_places())
    for node in canvas.router.groups:
        for start in canvas.places(node):
            place, ways = start, canvas.ways(start, node)
            while place not in held and len(ways) == 1:
                canvas.grid.link(place, place + ways[0], 0)
                place += ways[0]
                ways = canvas.ways(place, node)


def centre(canvas: Canvas) -> None:
    """Move each lying part to the middle of the wire it lies in, where its label still has room."""
    for reference, spot in list(canvas.spots.items()):
        part = canvas.netlist.parts[reference]
        if part.at is not None or spot.turn not in (0, 180) or set(part.nodes) != {"a", "b"}:
            continue
        left, right = (canvas.grid.number(point) for point in sorted(canvas.shape(reference).pins.values()))
        held = _held(canvas)
        if part.nodes["a"] == part.nodes["b"] or held.count(left) > 1 or held.count(right) > 1:
            continue
        wanted = (_run(canvas, right, 1, held) - _run(canvas, left, -1, held)) // 2
        for shift in range(wanted, 0, -1 if wanted > 0 else 1):
            if _has_room(canvas, part, spot, shift):
                _shift(canvas, reference, left, right, shift)
                break


def _held(canvas: Canvas) -> list[int]:
    """Return the points of pins and marks, those that several share as often as they are shared."""
    pins = [
        canvas.grid.number(point)
        for reference in canvas.spots
        for point in dict.fromkeys(canvas.shape(reference).pins.values())
    ]
    return pins + canvas.mark_places()


def _run(canvas: Canvas, place: int, way: int, held: list[int]) -> int:
    """Return how far a wire runs straight on from a pin before anything else happens on it."""
    grid = canvas.grid
    node, length = grid.pin_node[place], 0
    if sum(map(bool, grid.links(place))) > 1:
        return 0
    while grid.right[place if way > 0 else place - 1] == node:
        place += way
        if grid.crossed[place]:
            # A pin on a crossing would join the two wires.
            return length
        length += 1
        if place in held or sorted(canvas.ways(place, node)) != [-1, 1]:
            break
    return length


def _has_room(canvas: Canvas, part: DrawnPart, spot: Spot, shift: int) -> bool:
    """Whether the part's body and one of its labels are clear when it is moved along."""
    own = on_sheet(shape_of(part), spot).boxes
    moved = on_sheet(shape_of(part), spot.moved(shift, 0))
    others = [box for box in canvas.boxes if not any(overlap(box, mine) for mine in own)]
    if any(hits(box, others, 0.6) for box in moved.boxes):
        return False
    return any(
        not hits(room, others, 0.1) and not any(canvas.grid.wire[n] for n in canvas.grid.inside(room, 0.2))
        for room in label_rooms(moved, spot)
    )


def _shift(canvas: Canvas, reference: str, left: int, right: int, shift: int) -> None:
    """Move a lying part along its wire: what was wire on one side becomes wire on the other."""
    grid, spot = canvas.grid, canvas.spots[reference]
    canvas.spots[reference] = spot.moved(shift, 0)
    pairs = ((left, grid.pin_node[left]), (right, grid.pin_node[right]))
    grid.pin_node[left] = grid.pin_node[right] = 0
    for place, node in pairs:
        grid.pin_node[place + shift] = node
        next(group for group in canvas.router.groups[node] if place in group).append(place + shift)
    # The wire is taken away before it is laid anew: the two stretches may overlap.
    shrinking, growing = (right, left) if shift > 0 else (left, right)
    for place, node in ((shrinking, 0), (growing, grid.pin_node[growing + shift])):
        for n in range(abs(shift)):
            low = place + n if shift > 0 else place - n - 1
            grid.link(low, low + 1, node)
    own = on_sheet(shape_of(canvas.netlist.parts[reference]), spot).boxes
    canvas.boxes = [box for box in canvas.boxes if box not in own]
    canvas.boxes += canvas.shape(reference).boxes


def name_the_rest(canvas: Canvas) -> None:
    """Join by name what could not be joined by a wire."""
    pins = canvas.pin_places()
    for number, groups in canvas.router.groups.items():
        node = canvas.names[number]
        apart = [group for group in groups if any(place in pins for place in group)]
        if canvas.netlist.is_rail(node) or len(apart) < 2:
            continue
        for group in apart:
            place = next(place for place in group if place in pins)
            canvas.stubs.append(Mark(node, canvas.grid.point(place)))
        canvas.faults.append(f"node {node} is joined by name")
