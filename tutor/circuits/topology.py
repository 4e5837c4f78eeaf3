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
    touching: dict[str, tuple[str, ...]] = dict.fromkeys(nodes, ())
    for part in parts:
        for node in dict.fromkeys((*part.pins.values(), *part.senses())):
            touching[node] = (*touching[node], part.reference)
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
    tree = Tree()
    for part in parts:
        for a, b in part.fixes(analysis):
            path = tree.path(a, b)
            if path is not None:
                raise SourceLoopError((*(reference for reference, _ in path), part.reference), str(analysis))
            tree.join(a, b, part.reference)


class Tree:
    """Nodes joined by parts without a loop."""

    def __init__(self) -> None:
        self._edges: dict[str, list[tuple[str, str, int]]] = {}  # node → (neighbour, part, +1 from its first node)

    def join(self, a: str, b: str, reference: str) -> None:
        """Join two nodes by a part, whose first node is a."""
        self._edges.setdefault(a, []).append((b, reference, 1))
        self._edges.setdefault(b, []).append((a, reference, -1))

    def path(self, start: str, goal: str) -> tuple[tuple[str, int], ...] | None:
        """Return the parts along the path between two nodes, −1 where one is passed from its second node to its first.

        Returns:
            The path; None where there is none.
        """
        came: dict[str, tuple[tuple[str, int], ...]] = {start: ()}
        waiting = deque([start])
        while waiting:
            node = waiting.popleft()
            if node == goal:
                return came[node]
            for neighbour, reference, sign in self._edges.get(node, ()):
                if neighbour not in came:
                    came[neighbour] = (*came[node], (reference, sign))
                    waiting.append(neighbour)
        return None
