"""Bodies that overlap, wires and marks that run through them: what hand placement can bring about."""

from itertools import combinations, pairwise

from tutor.drawing.schematic.boxes import Line, crossed, line, overlap
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.plan import Plan
from tutor.drawing.schematic.shapes import Box, on_sheet, shape_of


def body_faults(netlist: Netlist, plan: Plan) -> list[str]:
    """Return in words which parts overlap and which have a wire or an earth mark through them."""
    boxes: dict[str, tuple[Box, ...]] = {
        reference: on_sheet(shape_of(netlist.parts[reference], spot.flips), spot).boxes
        for reference, spot in plan.spots.items()
    }
    faults = [
        f"{first} and {second} overlap"
        for first, second in combinations(boxes, 2)
        if any(overlap(a, b) for a in boxes[first] for b in boxes[second])
    ]
    wires: list[Line] = [line(p, q, wire.node) for wire in plan.wires for p, q in pairwise(wire.points)]
    marks: list[Box] = [(x - 1, y + 0.8, x + 1, y + 1.6) for x, y in (mark.point for mark in plan.earths)]
    for reference, bodies in boxes.items():
        if any(crossed(body, wires, 0.0) for body in bodies):
            faults.append(f"a wire runs through {reference}")
        if any(overlap(body, mark) for body in bodies for mark in marks):
            faults.append(f"an earth mark overlaps {reference}")
    return faults
