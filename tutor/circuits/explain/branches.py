"""Branches: two-terminal stretches of a circuit, single parts or several that act as one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tutor.circuits.explain.arithmetic import ZERO, J, plus, times
from tutor.circuits.expressions import Expression


@dataclass(frozen=True, slots=True)
class Impedance:
    """A resistance and a reactance in series, as formulas; or a name for a mixture that has both.

    Attributes:
        real: The resistance.
        imaginary: The reactance with its sign.
        mixed: The name of a mixture; None for the simple kind.
    """

    real: Expression = ZERO
    imaginary: Expression = ZERO
    mixed: Expression | None = None

    @property
    def is_simple(self) -> bool:
        """Whether resistance and reactance are told apart."""
        return self.mixed is None

    @property
    def is_resistive(self) -> bool:
        """Whether there is no reactance."""
        return self.mixed is None and self.imaginary == ZERO

    @property
    def formula(self) -> Expression:
        """The whole, with `j` before a reactance."""
        return plus(self.mixed or ZERO, self.real, times(J, self.imaginary))

    def in_series(self, other: Impedance) -> Impedance:
        """Return both in series."""
        if self.mixed is not None or other.mixed is not None:
            return Impedance(mixed=plus(self.formula, other.formula))
        return Impedance(plus(self.real, other.real), plus(self.imaginary, other.imaginary))


@dataclass(frozen=True, slots=True)
class Branch:
    """A stretch between two nodes through which one current flows.

    Attributes:
        key: Tells it from all others.
        a, b: Its ends; the current is counted from a to b.
        impedance: Its impedance.
        parts: References of the parts in it.
        chain: The branches in series that it consists of, from a to b; empty for a single part or a parallel group.
        sides: The branches side by side that it consists of.
        emf: Voltage of a source in it, a against b with no current.
        capacitance: A capacitor's value, so that capacitors are reckoned by their capacitances.
        words: How a sentence calls it.
    """

    key: str
    a: str
    b: str
    impedance: Impedance
    parts: tuple[str, ...]
    words: str
    chain: tuple[Branch, ...] = ()
    sides: tuple[Branch, ...] = ()
    emf: Expression = ZERO
    capacitance: Expression | None = None

    def other(self, node: str) -> str:
        """Return the far end."""
        return self.b if node == self.a else self.a

    def turned(self) -> Branch:
        """Return the branch counted the other way round."""
        from dataclasses import replace

        chain = tuple(link.turned() for link in reversed(self.chain))
        return replace(self, a=self.b, b=self.a, chain=chain, emf=times(_MINUS, self.emf))

    def from_node(self, node: str) -> Branch:
        """Return the branch counted from one of its ends."""
        return self if node == self.a else self.turned()

    @property
    def links(self) -> tuple[Branch, ...]:
        """The chain, or the branch itself."""
        return self.chain or (self,)


def _minus_one() -> Expression:
    from tutor.circuits.explain.arithmetic import ONE, negative

    return negative(ONE)


_MINUS = _minus_one()


@dataclass(slots=True)
class Graph:
    """Branches that are left after reduction, and all that were met on the way.

    Attributes:
        branches: What is left.
        all: Every branch that a current or a voltage can be found for.
        rails: Nodes whose voltage sources fix.
        busy: Nodes where something else takes or gives current (a current source, a valve, an amplifier).
    """

    branches: list[Branch]
    rails: frozenset[str]
    busy: frozenset[str]
    all: list[Branch] = field(default_factory=list)

    def at(self, node: str) -> list[Branch]:
        """Return the branches left at a node, counted from it."""
        return [branch.from_node(node) for branch in self.branches if node in (branch.a, branch.b)]

    def degrees(self) -> Mapping[str, int]:
        """Return how many branches end at each node."""
        found: dict[str, int] = {}
        for branch in self.branches:
            for node in (branch.a, branch.b):
                found[node] = found.get(node, 0) + 1
        return found


def in_row(first: Branch, second: Branch, node: str, key: str) -> Branch:
    """Return two branches that meet at a node as one."""
    left, right = first.from_node(node).turned(), second.from_node(node)
    chain = (*left.links, *right.links)
    return Branch(
        key,
        left.a,
        right.b,
        left.impedance.in_series(right.impedance),
        tuple(dict.fromkeys((*left.parts, *right.parts))),
        _listed([link.words for link in chain]),
        chain=chain,
        emf=plus(left.emf, right.emf),
    )


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
