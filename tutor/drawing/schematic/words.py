"""A circuit in words: one sentence for each part, in reading order, enough to build it from.

Dc sources come first, then the signal's way from its source on, node by node.
"""

from collections.abc import Mapping, Sequence

from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import EARTH, DrawnPart

_KNOWN_NODES = {"in": "input", "out": "output"}
_POLED = {
    "voltage source": ("positive", "negative"),
    "electrolytic capacitor": ("positive", "negative"),
    "diode": ("anode", "cathode"),
}


def describe(netlist: Netlist, node_labels: Mapping[str, str]) -> str:
    """Return the circuit in words.

    Args:
        netlist: The circuit.
        node_labels: Node → its name; other nodes are called by the name they have in the circuit.
    """
    parts = [*_in_reading_order(netlist), *netlist.couplings]
    if not parts:
        return "No parts."
    names = {node: _node_name(node, node_labels) for node in netlist.pins}
    return " ".join([_summary(netlist, parts), *(_sentence(part, names) for part in parts)])


def _node_name(node: str, node_labels: Mapping[str, str]) -> str:
    if node == EARTH:
        return "earth"
    label = node_labels.get(node, "")
    return f"the {_KNOWN_NODES.get(label, label)}" if label else f"node {node}"


def _kind(part: DrawnPart) -> str:
    return "electrolytic capacitor" if part.is_polarised else part.kind


def _summary(netlist: Netlist, parts: Sequence[DrawnPart]) -> str:
    counts: dict[str, int] = {}
    for part in parts:
        counts[_kind(part)] = counts.get(_kind(part), 0) + 1
    kinds = [f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in counts.items()]
    listed = kinds[0] if len(kinds) == 1 else f"{', '.join(kinds[:-1])} and {kinds[-1]}"
    junctions = len(netlist.pins)
    return (
        f"{len(parts)} part{'s' if len(parts) > 1 else ''} between "
        f"{junctions} junction{'s' if junctions != 1 else ''}: {listed}."
    )


def _in_reading_order(netlist: Netlist) -> list[DrawnPart]:
    """Return dc supplies first, then the parts as the signal meets them, then what is left."""
    sources = [part for part in netlist.parts.values() if part.kind == "voltage source"]
    supplies = [part for part in sources if part.reference in netlist.supplies.values()]
    supplies += [part for part in sources if part.flavour == "dc" and part not in supplies]
    signal = [part for part in sources if part not in supplies]
    ordered = list(supplies)
    seen: list[str] = []
    queue = [node for part in signal[:1] or supplies for node in part.nodes.values()]
    queue += [node for part in netlist.parts.values() for node in part.nodes.values()]
    while queue:
        node = queue.pop(0)
        if node in seen or netlist.is_rail(node):
            continue
        seen.append(node)
        met = [netlist.parts[reference] for reference in dict.fromkeys(ref for ref, _ in netlist.pins[node])]
        new = [part for part in met if part not in ordered]
        ordered += new
        queue = [*(far for part in new for far in part.nodes.values()), *queue]
    return [*ordered, *(part for part in netlist.parts.values() if part not in ordered)]


def _sentence(part: DrawnPart, names: Mapping[str, str]) -> str:
    head = f"{_kind(part).capitalize()} {part.reference}"
    if part.value:
        head += f", {part.value}"
    if part.pins and part.is_valve:
        told = (f"{electrode} {part.pins[electrode]}" for electrode in part.nodes if electrode in part.pins)
        head += f", on the base {', '.join(told)}"
    if part.kind == "coupling":
        return f"{head}, of the coils {' and '.join(part.of)}." if part.of else f"{head}."
    if not part.nodes:
        return f"{head}."
    return f"{head}, {_connections(part, names)}."


def _connections(part: DrawnPart, names: Mapping[str, str]) -> str:
    """Say where each pin of a part goes."""
    to = {pin: names[node] for pin, node in part.nodes.items()}
    kind = _kind(part)
    if kind in _POLED and set(to) == {"a", "b"}:
        first, second = _POLED[kind]
        return f"{first} to {to['a']}, {second} to {to['b']}"
    if kind == "current source" and set(to) == {"a", "b"}:
        return f"its current flowing through it from {to['a']} to {to['b']}"
    if part.windings:
        return "; ".join(
            f"winding {name} from {to[f'{name} start']} (start) to {to[f'{name} end']} (end)" for name in part.windings
        )
    if "controlled" in kind and {"a", "b"} <= set(to):
        return _controlled(part, to)
    if set(to) == {"a", "b"}:
        return f"from {to['a']} to {to['b']}"
    return ", ".join(f"{pin} to {node}" for pin, node in to.items())


def _controlled(part: DrawnPart, to: Mapping[str, str]) -> str:
    if part.kind.endswith("current source"):
        said = f"its current flowing through it from {to['a']} to {to['b']}"
    else:
        said = f"positive to {to['a']}, negative to {to['b']}"
    if "control a" in to and "control b" in to:
        return f"{said}, controlled by the voltage of {to['control a']} against {to['control b']}"
    return f"{said}, controlled by the current of {part.of[0]}" if part.of else said
