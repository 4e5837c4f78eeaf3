"""Series and parallel: what stands in a row or side by side is taken as one, as far as that goes."""

from __future__ import annotations

from collections.abc import Iterable

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ONE, ZERO, over, parallel, sum_of
from tutor.circuits.explain.branches import Branch, Graph, Impedance, in_row
from tutor.circuits.explain.ledger import Fact, Ledger, step_of
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.words import between, listed
from tutor.circuits.expressions import Name
from tutor.quantities import FARAD, OHM

COMBINING = 0.8
"""A step of combining costs a little less than others: it is the first that comes to mind."""
MIXING = 2.5
"""A resistance beside a reactance is a complex number: who can go round it does."""


class Reduction:
    """Reduces branches as far as series and parallel go.

    Attributes:
        context: Tells the facts of one setting from those of another.
    """

    def __init__(self, ledger: Ledger, context: str, hertz: str = "") -> None:
        self._ledger, self._context, self._hertz = ledger, context, hertz

    def reduced(
        self,
        branches: Iterable[Branch],
        rails: frozenset[str],
        busy: frozenset[str],
        keep: Iterable[str] = (EARTH,),
    ) -> Graph:
        """Return what is left.

        Args:
            branches: Single parts.
            rails: Nodes whose voltage is fixed; nothing is joined across them.
            busy: Nodes where a current comes or goes by another way.
            keep: Nodes at which something ends on purpose: earth, or the two ends of a port.
        """
        graph = Graph(list(branches), rails, busy)
        graph.all = list(graph.branches)
        fixed = rails | busy | frozenset(keep)
        while self._prune(graph, fixed) or self._series(graph, fixed) or self._parallel(graph):
            pass
        return graph

    @staticmethod
    def _prune(graph: Graph, fixed: frozenset[str]) -> bool:
        """Leave out a branch that leads nowhere: no current flows in it."""
        degrees = graph.degrees()
        for branch in graph.branches:
            if any(degrees[node] == 1 and node not in fixed for node in (branch.a, branch.b)):
                graph.branches.remove(branch)
                return True
        return False

    def _parallel(self, graph: Graph) -> bool:
        groups: dict[frozenset[str], list[Branch]] = {}
        for branch in graph.branches:
            if branch.emf == ZERO and branch.a != branch.b and branch.impedance.formula != ZERO:
                groups.setdefault(frozenset((branch.a, branch.b)), []).append(branch)
        for ends, group in groups.items():
            if len(group) > 1 and not ends <= graph.rails:
                self._join_sides(graph, group)
                return True
        return False

    def _join_sides(self, graph: Graph, group: list[Branch]) -> None:
        first = group[0]
        sides = [side.from_node(first.a) for side in group]
        parts = tuple(dict.fromkeys(reference for side in sides for reference in side.parts))
        key = f"({' ∥ '.join(side.key for side in sides)})"
        words = listed([_grouped(side) for side in sides])
        capacitances = [side.capacitance for side in sides]
        joined = Branch(key, first.a, first.b, Impedance(), parts, words, sides=tuple(sides))
        all_capacitors = all(value is not None for value in capacitances)
        joined = self._capacitors(joined) if all_capacitors else self._mixture(joined)
        for branch in group:
            graph.branches.remove(branch)
        graph.branches.append(joined)
        graph.all.append(joined)

    def _capacitors(self, joined: Branch) -> Branch:
        from dataclasses import replace

        from tutor.circuits.explain.arithmetic import TWO_PI, negative, times
        from tutor.circuits.expressions import read_expression

        ends = frozenset((joined.a, joined.b))
        key = ("c", *sorted(joined.parts))
        name = self._ledger.name_for(key, f"C_{_place(*ends)}")
        says = f"The capacitances of {joined.words}, side by side, add up to"
        total = sum_of([side.capacitance for side in joined.sides if side.capacitance is not None])
        step = step_of(
            name, Method.SERIES_PARALLEL, says, total, FARAD, joined.parts, idea="Capacitances side by side add up."
        )
        self._ledger.enter(Fact(key, step, (), COMBINING), None, 1.0)
        x_key = ("x", *sorted(joined.parts), self._hertz)
        x_name = self._ledger.name_for(x_key, f"X_{name}")
        formula = over(ONE, times(TWO_PI, read_expression(self._hertz), Name(name)))
        says = f"At this frequency the reactance of `{name}` is"
        step = step_of(x_name, Method.REACTANCE, says, formula, OHM, joined.parts, idea="Work out the reactance.")
        self._ledger.enter(Fact(x_key, step, (), COMBINING), None, 1.0)
        return replace(
            joined, impedance=Impedance(imaginary=negative(Name(x_name))), capacitance=Name(name), words=f"`{name}`"
        )

    def _mixture(self, joined: Branch) -> Branch:
        from dataclasses import replace

        resistive = all(side.impedance.is_resistive for side in joined.sides)
        formula = parallel(*(side.impedance.formula for side in joined.sides))
        prefix = "r" if resistive else "Z"
        key = ("z", joined.key, *sorted((joined.a, joined.b)), "" if resistive else self._hertz)
        name = self._ledger.name_for(key, f"{prefix}_{_place(joined.a, joined.b)}")
        says = f"{_capital(joined.words)} lie side by side {between(joined.a, joined.b)}; together they are"
        idea = f"Which parts share both of their ends? Take {_plain(joined.words)} as one."
        step = step_of(name, Method.SERIES_PARALLEL, says, formula, OHM, joined.parts, idea=idea)
        self._ledger.enter(Fact(key, step, (), COMBINING if resistive else MIXING), None, 1.0)
        impedance = Impedance(real=Name(name)) if resistive else Impedance(mixed=Name(name))
        return replace(joined, impedance=impedance, words=f"`{name}`")

    @staticmethod
    def _series(graph: Graph, fixed: frozenset[str]) -> bool:
        degrees = graph.degrees()
        for node, degree in degrees.items():
            if degree != 2 or node in fixed:
                continue
            touching = [branch for branch in graph.branches if node in (branch.a, branch.b)]
            if len(touching) != 2:
                continue  # a loop that hangs on nothing
            first, second = touching
            joined = in_row(first, second, node, f"({first.key} + {second.key})")
            graph.branches.remove(first)
            graph.branches.remove(second)
            graph.branches.append(joined)
            graph.all.append(joined)
            return True
        return False


def _grouped(side: Branch) -> str:
    return f"the row of {side.words}" if side.chain else side.words


def _place(*ends: str) -> str:
    """Return a name for what stands between two nodes."""
    nodes = [node for node in ends if node != EARTH]
    return "_".join(nodes) or "earth"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _plain(words: str) -> str:
    return words.replace("`", "")
