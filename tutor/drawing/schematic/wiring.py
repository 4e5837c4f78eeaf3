"""From placed parts to a finished plan: marks, rails, wires, and the parts left over."""

from tutor.drawing.schematic.canvas import Canvas
from tutor.drawing.schematic.desk import Desk
from tutor.drawing.schematic.insertion import best_spots, reach
from tutor.drawing.schematic.marks import draw_rails, mark_earth, mark_earths, mark_rail
from tutor.drawing.schematic.parts import EARTH, DrawnPart
from tutor.drawing.schematic.plan import Plan
from tutor.drawing.schematic.shapes import Spot, on_sheet, shape_of
from tutor.drawing.schematic.tidying import centre, name_the_rest, prune
from tutor.drawing.schematic.tracing import junctions, trace_wires


def wire(desk: Desk) -> Plan:
    """Return the plan of the parts on the desk, with those that had no place yet put in."""
    netlist = desk.netlist
    spare = 0
    while (canvas := _wired(desk, spare)) is None:
        # A sheet so full that a part found no room: once more, with a wider edge.
        spare += 20
    prune(canvas)
    centre(canvas)
    name_the_rest(canvas)
    wires = trace_wires(canvas)
    return Plan(
        spots={part.reference: canvas.spots[part.reference] for part in netlist.drawn()},
        wires=tuple(wires),
        dots=tuple(junctions(canvas, wires)),
        earths=tuple(canvas.earths),
        rails=tuple(sorted(canvas.rails, key=lambda mark: (mark.point[1], mark.point[0]))),
        stubs=tuple(canvas.stubs),
        faults=tuple(canvas.faults),
    )


def _wired(desk: Desk, spare: int) -> Canvas | None:
    """Return the wired sheet, or ``None`` when some part found no room on it."""
    canvas = Canvas(desk.netlist, desk.board, desk.spots, spare)
    _lay_planned(canvas, desk)
    mark_earths(canvas, desk.board)
    draw_rails(canvas)
    canvas.router.join_all([n for node, n in canvas.nodes.items() if not desk.netlist.is_rail(node)])
    for part in desk.netlist.drawn():
        if part.reference not in canvas.spots and not _insert(canvas, part):
            return None
    return canvas


def _lay_planned(canvas: Canvas, desk: Desk) -> None:
    """Lay the lines on which the placement counted, where nothing is in their way."""
    for x0, y0, x1, y1, node in desk.board.lines:
        number = canvas.nodes[node]
        canvas.start_group(number, (x0, y0))
        canvas.start_group(number, (x1, y1))
        canvas.lay_straight(number, (x0, y0), (x1, y1), crossing=True)


def _insert(canvas: Canvas, part: DrawnPart) -> bool:
    """Put in a part that the placement left over, and wire it; return whether there was room for it."""
    costs = {}
    for pin, node in part.nodes.items():
        places = canvas.places(canvas.nodes[node])
        if places and not canvas.netlist.is_rail(node):
            costs[pin] = reach(canvas.grid, canvas.nodes[node], places)
    options = best_spots(canvas.grid, part, costs, canvas.rooms)
    if not options:
        return False
    spot = min(options, key=lambda option: option[0] + _bends(canvas, part, option[1]))[1]
    canvas.spots[part.reference] = spot
    shape = canvas.add(part.reference)
    canvas.grid.open_pins([shape])
    for pin, point in shape.pins.items():
        if part.nodes[pin] == EARTH:
            mark_earth(canvas, canvas.grid.number(point))
        elif part.nodes[pin] in canvas.netlist.supplies:
            mark_rail(canvas, part.nodes[pin], point)
    for node in dict.fromkeys(part.nodes.values()):
        if not canvas.netlist.is_rail(node):
            canvas.router.join(canvas.nodes[node])
    return True


def _bends(canvas: Canvas, part: DrawnPart, spot: Spot) -> int:
    """Return what the bends of the wires to a part at the spot would cost."""
    total = 0
    for pin, point in on_sheet(shape_of(part, spot.flips), spot).pins.items():
        number, place = canvas.nodes[part.nodes[pin]], canvas.grid.number(point)
        goals = canvas.places(number)
        if goals and place not in goals and not canvas.netlist.is_rail(part.nodes[pin]):
            path = canvas.router.path(number, [place], goals)
            total += canvas.router.bends(path) if path else 0
    return total
