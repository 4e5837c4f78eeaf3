"""Schematics from a netlist alone: the layout, which can be kept, and the SVG drawn from it.

Laying out takes some milliseconds (a few hundred for an amplifier) and depends on references, kinds, nodes and
hand placement only; drawing a layout with its values takes a few. Whoever draws the same circuit with other values
keeps the layout.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

from tutor.drawing.schematic.bodies import body_faults
from tutor.drawing.schematic.netlist import read_netlist
from tutor.drawing.schematic.nets import net_faults
from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.placement import place
from tutor.drawing.schematic.plan import Plan
from tutor.drawing.schematic.svg import draw
from tutor.drawing.schematic.symbols import ResistorStyle
from tutor.drawing.schematic.wiring import wire
from tutor.drawing.schematic.words import describe

__all__ = ["Drawing", "DrawnPart", "Layout", "draw_schematic", "lay_out"]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A schematic.

    Attributes:
        svg: One ``svg`` element, ready to stand in a page.
        words: The circuit in words: what to say to who cannot see the drawing.
        faults: What is not as it should be in the drawing; it is right electrically all the same.
        width: Pixels.
        height: Pixels.
    """

    svg: str
    words: str
    faults: tuple[str, ...]
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout(Plan):
    """Where everything stands; it can be kept as plain data and drawn with any values."""

    def render(
        self,
        parts: Sequence[DrawnPart],
        *,
        title: str,
        uid: str,
        node_labels: Mapping[str, str] | None = None,
        resistor: ResistorStyle = "box",
    ) -> Drawing:
        """Return the drawing of the parts, which are those that were laid out, their values apart.

        Args:
            parts: The parts.
            title: The drawing's accessible name.
            uid: Begins every id in the drawing; different for each drawing of a page.
            node_labels: Node → the name to show beside it and to use in words.
            resistor: How resistors look.
        """
        netlist, labels = read_netlist(parts), node_labels or {}
        words = describe(netlist, labels)
        picture = draw(self, netlist, title=title, words=words, uid=uid, node_labels=labels, style=resistor)
        return Drawing(picture.svg, words, (*self.faults, *picture.faults), picture.width, picture.height)


def lay_out(parts: Sequence[DrawnPart]) -> Layout:
    """Return where everything stands, with what the drawing joins checked against the netlist."""
    netlist = read_netlist(parts)
    plan = wire(place(netlist))
    found = {field.name: getattr(plan, field.name) for field in fields(plan)}
    found["faults"] = (*plan.faults, *net_faults(netlist, plan), *body_faults(netlist, plan))
    return Layout(**found)


def draw_schematic(
    parts: Sequence[DrawnPart],
    *,
    title: str,
    uid: str,
    node_labels: Mapping[str, str] | None = None,
    resistor: ResistorStyle = "box",
) -> Drawing:
    """Return the schematic of a circuit; arguments as for `Layout.render`.

    >>> single = [DrawnPart(reference="R1", kind="resistor", nodes={"a": "tap", "b": "0"}, value="1 kΩ")]
    >>> drawing = draw_schematic(single, title="One resistor", uid="one", node_labels={"tap": "tap"})
    >>> drawing.words, drawing.faults
    ('1 part between 2 junctions: 1 resistor. Resistor R1, 1 kΩ, from the tap to earth.', ())
    """
    return lay_out(parts).render(parts, title=title, uid=uid, node_labels=node_labels, resistor=resistor)
