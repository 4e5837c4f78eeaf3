"""Paths through the netlist that decide how parts are grouped: load chains, divider columns, reading order."""

from collections.abc import Mapping

from tutor.drawing.schematic.netlist import Netlist
from tutor.drawing.schematic.parts import EARTH, DrawnPart

_LOADS = ("resistor", "inductor", "diode", "current source", "meter")
_TAILS = (*_LOADS, "voltage source")
_LONGEST = 4


def path_to(
    netlist: Netlist, node: str, goal: str, placed: Mapping[str, object], *, but: DrawnPart | None = None
) -> list[DrawnPart]:
    """Return the shortest run of load parts without a place from a valve's electrode to a rail; may be empty.

    Runs upward to a supply may pass a transformer winding or a valve from its cathode; no run passes
    another valve's grid, and none is longer than four parts.
    """
    kinds = _TAILS if goal == EARTH else _LOADS
    queue: list[tuple[str, list[DrawnPart]]] = [(node, [])]
    seen = [node]
    while queue:
        here, parts = queue.pop(0)
        if here == goal:
            return parts
        if len(parts) == _LONGEST or (parts and _is_electrode(netlist, here, but, parts)):
            continue
        for part in netlist.parts_at(here):
            far = _far_end(part, here, kinds, up=goal != EARTH)
            if part.reference in placed or part is but or far is None or far in seen or part in parts:
                continue
            if netlist.is_rail(far) and far != goal:
                continue
            if part.kind == "transformer" and _is_shared(netlist, part, here):
                continue
            seen.append(far)
            queue.append((far, [*parts, part]))
    return []


def _is_electrode(netlist: Netlist, node: str, but: DrawnPart | None, parts: list[DrawnPart]) -> bool:
    """Whether a valve outside the run has its grid, anode or cathode on the node."""
    return any(
        pin in ("grid", "anode", "cathode")
        and netlist.parts[reference].is_valve
        and netlist.parts[reference] is not but
        and netlist.parts[reference] not in parts
        and not (pin == "cathode" and netlist.parts[reference].nodes["anode"] != node)
        for reference, pin in netlist.pins[node]
    )


def _far_end(part: DrawnPart, node: str, kinds: tuple[str, ...], *, up: bool) -> str | None:
    if part.kind in kinds and set(part.nodes) == {"a", "b"}:
        return part.through(node)
    if up and part.is_valve and part.nodes["cathode"] == node:
        return part.nodes["anode"]
    if up and part.kind == "transformer":
        for name in part.windings:
            ends = [part.nodes[f"{name} start"], part.nodes[f"{name} end"]]
            if node in ends:
                return ends[1 - ends.index(node)]
    return None


def _is_shared(netlist: Netlist, part: DrawnPart, node: str) -> bool:
    """Whether another valve's anode is on the transformer too: a push-pull pair, placed as such."""
    return any(
        pin == "anode" and netlist.parts[reference].is_valve
        for other in part.nodes.values()
        if other != node
        for reference, pin in netlist.pins[other]
    )


def chain_to_earth(netlist: Netlist, node: str, part: DrawnPart, placed: Mapping[str, object]) -> list[DrawnPart]:
    """Return the run of parts from the node through `part` to earth whose inner nodes serve nothing else.

    A potentiometer's wiper may lead elsewhere. Empty when there is no such run.
    """
    run, here = [part], part.through(node)
    while here != EARTH:
        if netlist.is_rail(here) or len(run) > _LONGEST:
            return []
        others = [p for p in netlist.parts_at(here) if p is not run[-1]]
        if len(others) != 1 or others[0].reference in placed or others[0] in run:
            return []
        (following,) = others
        is_track = following.is_potentiometer and here in (following.nodes["top"], following.nodes["foot"])
        if set(following.nodes) != {"a", "b"} and not is_track:
            return []
        run.append(following)
        here = following.through(here)
    return run


def grows_first(netlist: Netlist, part: DrawnPart, node: str = "") -> tuple[int, int]:
    """Return a sort key: what leads to a valve's grid comes first, then what leads on to most parts."""
    starts = [node] if node else [n for n in part.nodes.values() if not netlist.is_rail(n)]
    seen = list(starts)
    queue = list(starts)
    count, grids = 0, 0
    while queue:
        here = queue.pop(0)
        for other in netlist.parts_at(here):
            if other is part:
                continue
            count += 1
            grids += other.is_valve and other.nodes["grid"] == here
            for far in other.nodes.values():
                if far not in seen and not netlist.is_rail(far):
                    seen.append(far)
                    queue.append(far)
    return (-int(grids > 0), -count)


def leads_back(netlist: Netlist, part: DrawnPart, node: str, far: str) -> bool:
    """Whether a part from a valve's grid or cathode leads to what the same valve drives: a feedback path."""
    for reference, pin in netlist.pins[node]:
        other = netlist.parts[reference]
        outputs: list[str] = []
        if other.is_valve and pin in ("grid", "cathode"):
            outputs = [other.nodes["anode"]] + ([other.nodes["cathode"]] if pin == "grid" else [])
        elif pin in ("control a", "control b"):
            outputs = [other.nodes["a"], other.nodes["b"]]
        outputs = [output for output in outputs if output != node and not netlist.is_rail(output)]
        if outputs and far in _reached(netlist, outputs, node, (part, other)):
            return True
    return False


def _reached(netlist: Netlist, starts: list[str], but: str, barred: tuple[DrawnPart, ...]) -> list[str]:
    """Return the nodes that the signal reaches from the starts without the barred parts and node."""
    seen = list(starts)
    queue = list(starts)
    while queue:
        here = queue.pop(0)
        for reference, pin in netlist.pins[here]:
            part = netlist.parts[reference]
            if part in barred:
                continue
            for far in _onward(part, pin):
                if far not in seen and far != but and not netlist.is_rail(far):
                    seen.append(far)
                    queue.append(far)
    return seen


def _onward(part: DrawnPart, pin: str) -> list[str]:
    """Return the nodes to which a signal at the pin is handed on."""
    if part.is_valve:
        outputs = {"grid": ("anode", "cathode"), "cathode": ("anode",)}.get(pin, ())
        return [part.nodes[name] for name in outputs]
    if "control a" in part.nodes:
        return [part.nodes["a"], part.nodes["b"]] if pin.startswith("control") else []
    return [node for name, node in part.nodes.items() if name != pin]


def is_driven(netlist: Netlist, node: str, placed: Mapping[str, object]) -> bool:
    """Whether a valve without a place yet has its anode on the node: it will bring the node with it."""
    return any(
        pin == "anode"
        and reference not in placed
        and netlist.parts[reference].is_valve
        and not netlist.is_rail(netlist.parts[reference].nodes["grid"])
        for reference, pin in netlist.pins[node]
    )


def pair_of(netlist: Netlist, part: DrawnPart) -> str | None:
    """Return the other valve that works into the same transformer, as in a push-pull stage."""
    for other in netlist.parts_at(part.nodes["anode"]):
        for node in other.nodes.values() if other.kind == "transformer" else ():
            for reference, pin in netlist.pins[node]:
                if pin == "anode" and reference != part.reference and netlist.parts[reference].is_valve:
                    return reference
    return None


def drives_a_row(netlist: Netlist, node: str) -> bool:
    """Whether the grid of a valve in the row is on the node; the valves of a pair stand out of it."""
    return any(
        pin == "grid" and netlist.parts[reference].is_valve and pair_of(netlist, netlist.parts[reference]) is None
        for reference, pin in netlist.pins[node]
    )
