"""The connections of the drawn parts: which pins share a node, which node is a supply rail."""

from collections.abc import Sequence
from dataclasses import dataclass

from tutor.drawing.schematic.parts import EARTH, DrawnPart

Pin = tuple[str, str]
"""(reference, pin name)."""

_PASSES_DC = ("resistor", "inductor", "meter")


@dataclass(frozen=True, slots=True)
class Netlist:
    """Parts by reference, pins by node, and the dc sources drawn as supply rails.

    Attributes:
        parts: The parts that have a place in the drawing (a coupling has none), in order.
        couplings: The couplings.
        pins: Node → its pins in the order of the parts.
        supplies: Node → reference of the dc source that feeds it, for those drawn as a rail mark.
    """

    parts: dict[str, DrawnPart]
    couplings: tuple[DrawnPart, ...]
    pins: dict[str, tuple[Pin, ...]]
    supplies: dict[str, str]

    def is_rail(self, node: str) -> bool:
        """Whether the node is earth or a supply, which are marked rather than wired."""
        return node == EARTH or node in self.supplies

    def node(self, pin: Pin) -> str:
        """Return the node of a pin."""
        return self.parts[pin[0]].nodes[pin[1]]

    def drawn(self) -> list[DrawnPart]:
        """Return the parts drawn with a symbol: all but the sources shown as a rail mark."""
        rails = set(self.supplies.values())
        return [part for part in self.parts.values() if part.reference not in rails]

    def parts_at(self, node: str) -> list[DrawnPart]:
        """Return the parts with a symbol that have a pin on the node, each once."""
        rails = set(self.supplies.values())
        found = dict.fromkeys(reference for reference, _ in self.pins.get(node, ()))
        return [self.parts[reference] for reference in found if reference not in rails]


def read_netlist(parts: Sequence[DrawnPart]) -> Netlist:
    """Return the netlist of the parts; of two parts with the same reference the last one counts."""
    couplings = tuple(part for part in parts if part.kind == "coupling" or not part.nodes)
    placed = {part.reference: part for part in parts if part not in couplings}
    pins: dict[str, list[Pin]] = {}
    for part in placed.values():
        for pin, node in part.nodes.items():
            pins.setdefault(node, []).append((part.reference, pin))
    joined = {node: tuple(found) for node, found in pins.items()}
    netlist = Netlist(placed, couplings, joined, {})
    return Netlist(placed, couplings, joined, _supplies(netlist))


def _supplies(netlist: Netlist) -> dict[str, str]:
    """Return the nodes fed by a dc source to earth that feed an anode or a screen.

    A source is a supply when an anode or screen is reached from it through resistors, chokes and windings
    without passing a grid; one placed by hand keeps its symbol, and so does a second source on the same node.
    """
    found: dict[str, str] = {}
    for part in netlist.parts.values():
        if part.kind != "voltage source" or part.flavour == "ac" or part.at is not None:
            continue
        ends = set(part.nodes.values())
        if EARTH not in ends or len(ends) != 2:
            continue
        (node,) = ends - {EARTH}
        if node not in found and _feeds_a_valve(netlist, node):
            found[node] = part.reference
    return found


def _feeds_a_valve(netlist: Netlist, node: str) -> bool:
    seen, queue = [node], [node]
    while queue:
        here = queue.pop(0)
        if any(_is_valve_pin(netlist, pin, "grid") for pin in netlist.pins[here]):
            continue
        for reference, pin in netlist.pins[here]:
            if _is_valve_pin(netlist, (reference, pin), "anode", "screen"):
                return True
            for other in _dc_neighbours(netlist.parts[reference], pin):
                if other != EARTH and other not in seen:
                    seen.append(other)
                    queue.append(other)
    return False


def _is_valve_pin(netlist: Netlist, pin: Pin, *names: str) -> bool:
    return netlist.parts[pin[0]].is_valve and pin[1] in names


def _dc_neighbours(part: DrawnPart, pin: str) -> list[str]:
    """Return the nodes that direct current reaches through the part from the pin."""
    if part.kind in _PASSES_DC:
        return [node for other, node in part.nodes.items() if other != pin]
    if part.kind == "transformer":
        name = pin.rsplit(" ", 1)[0]
        return [part.nodes[end] for end in (f"{name} start", f"{name} end") if end in part.nodes]
    return []
