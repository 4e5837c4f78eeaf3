"""A plan and its labels as SVG.

Everything is drawn in the colour of the surrounding text, and no style attribute is written: a strict content
policy would drop it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.drawing.schematic import text
from tutor.drawing.schematic.captions import (
    Caption,
    coupling_caption,
    electrode_caption,
    node_caption,
    part_caption,
    supply_caption,
)
from tutor.drawing.schematic.label_places import (
    electrode_places,
    node_places,
    part_places,
    place_at,
    point_places,
    supply_places,
)
from tutor.drawing.schematic.labels import Place, choose
from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.plan import Plan
from tutor.drawing.schematic.shapes import Box, Shape, on_sheet, shape_of
from tutor.drawing.schematic.symbols import UNIT, ResistorStyle, number, signs, symbol
from tutor.drawing.schematic.taken import taken_boxes

_MARGIN = 8
_ALTERNATING = ("Hz", "c/s", "rms", "°", "∠")
"""Signs in a value that tell an alternating source from a direct one."""


@dataclass(frozen=True, slots=True)
class Picture:
    """The finished SVG, its size in pixels, and the labels that found no free place."""

    svg: str
    width: int
    height: int
    faults: tuple[str, ...]


def draw(
    plan: Plan,
    netlist: Netlist,
    *,
    title: str,
    words: str,
    uid: str,
    node_labels: Mapping[str, str],
    style: ResistorStyle,
) -> Picture:
    """Return the drawing of a plan.

    Args:
        plan: Where everything stands.
        netlist: What stands there.
        title: The drawing's accessible name.
        words: Its description.
        uid: Begins every id.
        node_labels: Node → the name shown beside it.
        style: How resistors look.
    """
    shapes = {
        reference: on_sheet(shape_of(netlist.parts[reference], spot.flips), spot)
        for reference, spot in plan.spots.items()
    }
    taken = taken_boxes(plan, shapes)
    for reference, spot in plan.spots.items():
        for x, y in signs(netlist.parts[reference], spot):
            taken.append(((x - 4, y - 4, x + 4, y + 4), f"sign of {reference}"))
    captions, places = _labels(plan, netlist, shapes, node_labels, taken)
    chosen = choose(places, taken)
    faults = tuple(
        f"label of {name} overlaps {', '.join(dict.fromkeys(choice.overlaps))}"
        for name, choice in chosen.items()
        if choice.overlaps
    )
    boxes = [box for box, _ in taken] + [box for choice in chosen.values() for box in choice.place.boxes]
    written = {name: _write(captions[name], choice.place) for name, choice in chosen.items()}
    texts = [(box, name) for name, choice in chosen.items() for box in choice.place.boxes]
    written |= _electrode_numbers(plan, netlist, shapes, [*taken, *texts])
    _write_couplings(netlist, written, boxes)
    body = _Body(plan, netlist, _Ids(uid), style, written)
    return _frame(body, title, words, boxes, faults)


def _electrode_numbers(
    plan: Plan, netlist: Netlist, shapes: Mapping[str, Shape], taken: Sequence[tuple[Box, str]]
) -> dict[str, str]:
    """Return the numbers of electrodes on the base; one without room is left out, being a help and not a must."""
    captions, places = {}, {}
    for reference, shape in shapes.items():
        part = netlist.parts[reference]
        for electrode, pin in part.pins.items() if part.is_valve else ():
            if electrode in shape.pins:
                name, caption = _electrode(reference, electrode), electrode_caption(pin)
                captions[name] = caption
                places[name] = electrode_places(part, shape, plan.spots[reference], electrode, caption)
    chosen = choose({name: spots for name, spots in places.items() if spots}, taken)
    return {name: _write(captions[name], found.place) for name, found in chosen.items() if not found.overlaps}


def _electrode(reference: str, electrode: str) -> str:
    return f"{electrode} of {reference}"


def _labels(
    plan: Plan,
    netlist: Netlist,
    shapes: Mapping[str, Shape],
    node_labels: Mapping[str, str],
    taken: Sequence[tuple[Box, str]],
) -> tuple[dict[str, Caption], dict[str, list[Place]]]:
    """Return every label's text and where it may stand."""
    captions = {reference: part_caption(netlist.parts[reference]) for reference in shapes}
    places = {
        reference: part_places(netlist.parts[reference], shape, plan.spots[reference], captions[reference])
        for reference, shape in shapes.items()
    }
    full = _full_marks(plan, netlist, taken)
    for index, mark in enumerate(plan.rails):
        source = netlist.parts[netlist.supplies[mark.node]]
        name = source.reference if index in full else f"{source.reference} again {index}"
        captions[name] = supply_caption(source, mark.node, full=index in full)
        places[name] = supply_places(mark, captions[name])
    for node, label in node_labels.items():
        if label:
            caption = node_caption(label)
            if spots := node_places(node, plan, netlist, shapes, caption):
                captions[f"node {node}"], places[f"node {node}"] = caption, spots
    for index, stub in enumerate(plan.stubs):
        name = f"end {index} of node {stub.node}"
        captions[name] = node_caption(node_labels.get(stub.node) or stub.node)
        places[name] = point_places(stub.point, captions[name])
    return captions, places


def _full_marks(plan: Plan, netlist: Netlist, taken: Sequence[tuple[Box, str]]) -> list[int]:
    """Return, for each supply, the mark that carries its value: the first one with room for it."""
    chosen: list[int] = []
    for node, reference in netlist.supplies.items():
        marks = [index for index, mark in enumerate(plan.rails) if mark.node == node]
        caption = supply_caption(netlist.parts[reference], node, full=True)
        roomy = [
            index for index in marks if not choose({"": supply_places(plan.rails[index], caption)}, taken)[""].overlaps
        ]
        chosen += (roomy or marks)[:1]
    return chosen


def _write_couplings(netlist: Netlist, written: dict[str, str], boxes: list[Box]) -> None:
    """Write each coupling below the drawing: it has no symbol of its own."""
    left = min((box[0] for box in boxes), default=0.0)
    foot = max((box[3] for box in boxes), default=0.0)
    for row, coupling in enumerate(netlist.couplings, start=1):
        caption = coupling_caption(coupling)
        place = place_at(left, foot + row * (text.LINE_HEIGHT + 2), "start", 0, caption, 0.0)
        written[coupling.reference] = _write(caption, place)
        boxes += place.boxes


def _write(caption: Caption, place: Place) -> str:
    style = f' font-size="{caption.size}"' if caption.small else ""
    anchor = "" if place.anchor == "start" else f' text-anchor="{place.anchor}"'
    return "".join(
        f'<text{anchor}{style} fill="currentColor" stroke="none" x="{number(place.x)}" y="{number(y)}">{markup}</text>'
        for (markup, _), y in zip(caption.ways[place.lines], place.y, strict=True)
    )


class _Ids:
    """Identifiers that are safe in a page and different from each other."""

    def __init__(self, uid: str) -> None:
        self.uid = _safe(uid) or "schematic"
        self._given = {f"{self.uid}-title", f"{self.uid}-desc"}

    def of(self, reference: str) -> str:
        """Return the id of a part."""
        wanted = name = f"{self.uid}-{_safe(reference)}"
        count = 2
        while name in self._given:
            name, count = f"{wanted}-{count}", count + 1
        self._given.add(name)
        return name


def _safe(name: str) -> str:
    return "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "_" for c in name)


@dataclass(frozen=True, slots=True)
class _Body:
    """What is needed to write the inside of the drawing."""

    plan: Plan
    netlist: Netlist
    ids: _Ids
    style: ResistorStyle
    written: Mapping[str, str]

    def wires(self) -> str:
        """Return the wires."""
        return "".join(
            f'<path d="M{"L".join(f"{x * UNIT} {y * UNIT}" for x, y in wire.points)}"/>' for wire in self.plan.wires
        )

    def parts(self) -> str:
        """Return a group for each part, couplings last."""
        return "".join(map(self._part, (*self.netlist.parts.values(), *self.netlist.couplings)))

    def _part(self, part: DrawnPart) -> str:
        drawn = ""
        if part.reference in self.plan.spots:
            alternating = any(sign in part.value for sign in _ALTERNATING)
            coupled = any(part.reference in coupling.of for coupling in self.netlist.couplings)
            spot = self.plan.spots[part.reference]
            drawn = symbol(part, spot, self.style, alternating=alternating, coupled=coupled)
        for index, mark in enumerate(self.plan.rails):
            if self.netlist.supplies.get(mark.node) == part.reference:
                x, y = mark.point
                drawn += f'<path d="M{x * UNIT} {y * UNIT}v-7m-8 0h16"/>'
                drawn += self.written.get(f"{part.reference} again {index}", "")
        drawn += "".join(self.written.get(_electrode(part.reference, electrode), "") for electrode in part.pins)
        kind = text.marked_up("-".join(part.kind.split()))
        name = ", ".join(word for word in (part.reference, part.kind, part.value) if word)
        return (
            f'<g id="{self.ids.of(part.reference)}" class="part {kind}"><title>{text.marked_up(name)}</title>'
            f"{drawn}{self.written.get(part.reference, '')}</g>"
        )

    def earths(self) -> str:
        """Return the earth marks."""
        return "".join(
            f'<path d="M{x * UNIT} {y * UNIT}v8m-10 0h20m-16 4h12m-8 4h4"/>'
            for x, y in (mark.point for mark in self.plan.earths)
        )

    def dots(self) -> str:
        """Return the junctions."""
        return "".join(f'<circle cx="{x * UNIT}" cy="{y * UNIT}" r="3.2"/>' for x, y in self.plan.dots)

    def nodes(self) -> str:
        """Return the names of nodes, and the ends that are joined by name."""
        ends = "".join(
            f'<circle cx="{mark.point[0] * UNIT}" cy="{mark.point[1] * UNIT}" r="2.5"/>' for mark in self.plan.stubs
        )
        names = (markup for name, markup in self.written.items() if name.startswith(("node ", "end ")))
        return ends + "".join(names)


def _frame(body: _Body, title: str, words: str, boxes: Sequence[Box], faults: tuple[str, ...]) -> Picture:
    left = min((box[0] for box in boxes), default=0.0) - _MARGIN
    top = min((box[1] for box in boxes), default=0.0) - _MARGIN
    width = round(max((box[2] for box in boxes), default=0.0) + _MARGIN - left + 0.5)
    height = round(max((box[3] for box in boxes), default=0.0) + _MARGIN - top + 0.5)
    uid = body.ids.uid
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" class="schematic" role="img" '
        f'aria-labelledby="{uid}-title" aria-describedby="{uid}-desc" '
        f'viewBox="{number(left)} {number(top)} {width} {height}" width="{width}" height="{height}" '
        'fill="none" stroke="currentColor" stroke-width="1.6" stroke-linecap="round" '
        f'stroke-linejoin="round" font-size="{text.FONT_SIZE}">'
        f'<title id="{uid}-title">{text.marked_up(title)}</title>'
        f'<desc id="{uid}-desc">{text.marked_up(words)}</desc>'
        f'<g class="wires">{body.wires()}</g>{body.parts()}<g class="earth">{body.earths()}</g>'
        f'<g class="junctions" fill="currentColor" stroke="none">{body.dots()}</g>'
        f'<g class="nodes">{body.nodes()}</g></svg>'
    )
    return Picture(svg, width, height, faults)
