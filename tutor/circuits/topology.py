"""What can be seen of a circuit without solving it: floating nodes and loops of sources."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import EARTH
from tutor.circuits.errors import FloatingNodeError, SourceLoopError
from tutor.circuits.parts import Part


def refuse_floating_nodes(parts: Sequence[Part], nodes: Iterable[str], analysis: Analysis) -> None:
    """Raise FloatingNodeError for the first node that no current can reach from earth."""
    reached = _reached_from_earth(parts, analysis)
    touching = {node: tuple(p.reference for p in parts if node in (*p.pins.values(), *p.senses())) for node in nodes}
    if EARTH not in touching:
        raise FloatingNodeError(EARTH, tuple(p.reference for p in parts[:1]), str(analysis), earthless=True)
    for node, references in touching.items():
        if node not in reached:
            raise FloatingNodeError(node, references, str(analysis))


def _reached_from_earth(parts: Sequence[Part], analysis: Analysis) -> set[str]:
    neighbours: dict[str, list[str]] = {}
    for part in parts:
        for a, b in part.conducts(analysis):
            neighbours.setdefault(a, []).append(b)
            neighbours.setdefault(b, []).append(a)
    reached, waiting = {EARTH}, [EARTH]
    while waiting:
        for node in neighbours.get(waiting.pop(), ()):
            if node not in reached:
                reached.add(node)
                waiting.append(node)
    return reached


def refuse_source_loops(parts: Sequence[Part], analysis: Analysis) -> None:
    """Raise SourceLoopError for the first loop of parts that each fix their own voltage."""
    graph: dict[str, list[tuple[str, str]]] = {}
    for part in parts:
        for a, b in part.fixes(analysis):
            path = _path(graph, a, b)
            if path is not None:
                raise SourceLoopError((*path, part.reference), str(analysis))
            graph.setdefault(a, []).append((b, part.reference))
            graph.setdefault(b, []).append((a, part.reference))


def _path(graph: dict[str, list[tuple[str, str]]], start: str, goal: str) -> tuple[str, ...] | None:
    """Return the references along a path between two nodes, or None."""
    came: dict[str, tuple[str, ...]] = {start: ()}
    waiting = deque([start])
    while waiting:
        node = waiting.popleft()
        if node == goal:
            return came[node]
        for neighbour, reference in graph.get(node, ()):
            if neighbour not in came:
                came[neighbour] = (*came[node], reference)
                waiting.append(neighbour)
    return None
