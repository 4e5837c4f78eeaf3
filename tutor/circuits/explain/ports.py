"""What is seen between two nodes with every source at rest: impedances, and time constants with them."""

from __future__ import annotations

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ONE, ZERO, is_zero, over, plus, times
from tutor.circuits.explain.branches import Branch, Graph, Impedance
from tutor.circuits.explain.ledger import Fact, Ledger, step_of
from tutor.circuits.explain.reduction import Reduction
from tutor.circuits.explain.setting import Setting, Valve, Winding
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.words import node_words
from tutor.circuits.expressions import Binary, Expression, Name, Number
from tutor.quantities import OHM

MOST_ROUNDS = 12


class Port:
    """Two nodes into which one looks."""

    def __init__(self, setting: Setting, ledger: Ledger, context: str, hertz: str) -> None:
        self._setting, self._ledger, self._context, self._hertz = setting, ledger, context, hertz
        self._branches = list(setting.branches)
        self._valves = list(setting.valves)
        self._transformers = dict(setting.transformers)

    def between(self, a: str, b: str) -> Branch | None:
        """Return all that lies between two nodes as one branch, or None where the rules do not reach."""
        a, b = self._setting.node(a), self._setting.node(b)
        if self._setting.amplifiers or self._setting.steered or self._setting.unknown or a == b:
            return None
        for _ in range(MOST_ROUNDS):
            graph = self._graph(a, b)
            port = (a, b)
            if not (self._idle(graph, port) or self._valve(graph, port) or self._transformer(graph, port)):
                break
        graph = self._graph(a, b)
        if self._valves or self._transformers:
            return None
        left = [branch for branch in graph.branches if {branch.a, branch.b} == {a, b}]
        others = [branch for branch in graph.branches if branch not in left]
        reachable = any(a in (o.a, o.b) or b in (o.a, o.b) for o in others)
        return left[0].from_node(a) if len(left) == 1 and not (reachable and b != EARTH and a != EARTH) else None

    def _graph(self, a: str, b: str) -> Graph:
        busy = {node for valve in self._valves for node in (valve.anode, valve.cathode)}
        busy |= {node for ws in self._transformers.values() for w in ws for node in (w.a, w.b)}
        # Between two live nodes earth is a node like any other.
        keep = {a, b} | busy
        return Reduction(self._ledger, self._context, self._hertz).reduced(
            self._branches, frozenset(), frozenset(busy), keep
        )

    # -- valves --------------------------------------------------------------------------------------------------------
    def _valve(self, graph: Graph, port: tuple[str, str]) -> bool:
        for valve in self._valves:
            if valve.grid != EARTH:
                continue
            at_anode = valve.anode in port
            for looking_into_anode in (at_anode, not at_anode):
                if self._replace(graph, valve, port, looking_into_anode):
                    return True
        return False

    def _replace(self, graph: Graph, valve: Valve, port: tuple[str, str], into_anode: bool) -> bool:
        """Put a resistance in the place of a valve, as it is seen from one electrode."""
        near, far = (valve.anode, valve.cathode) if into_anode else (valve.cathode, valve.anode)
        if (far in port and far != EARTH) or near == EARTH:
            return False
        beyond = self._beyond(graph, valve, far)
        if beyond is None:
            return False
        load, branch = beyond
        if into_anode:
            formula = plus(valve.ra, times(plus(valve.mu, ONE), load))
            says = f"Looked into at its anode, `{valve.reference}` is"
            if not is_zero(load):
                says = (
                    f"Looked into at its anode, `{valve.reference}` is its anode resistance and `mu + 1` times "
                    "what stands at its cathode"
                )
        else:
            formula = over(plus(valve.ra, load), plus(valve.mu, ONE))
            says = f"Looked into at its cathode, all in the anode circuit of `{valve.reference}` is divided by `mu + 1`"
        self._valves.remove(valve)
        if branch is not None:
            self._branches = [b for b in self._branches if not set(b.parts) & set(branch.parts)]
        parts = (valve.reference, *(branch.parts if branch else ()))
        key = ("z", valve.reference, "anode" if into_anode else "cathode", *parts)
        wish = f"r_{'anode' if into_anode else 'cathode'}_{valve.reference}"
        value = self._named(key, wish, formula, says, parts, Method.VALVE, "Look into the valve: what is seen there?")
        self._branches.append(
            Branch(valve.reference, near, EARTH, Impedance(real=value), parts, f"what is seen into `{valve.reference}`")
        )
        return True

    def _beyond(self, graph: Graph, valve: Valve, node: str) -> tuple[Expression, Branch | None] | None:
        """Return what stands between an electrode and earth."""
        if node == EARTH:
            return ZERO, None
        branches = graph.at(node)
        crowded = any(node in (v.anode, v.cathode) for v in self._valves if v is not valve)
        if crowded or len(branches) != 1 or branches[0].b != EARTH or not branches[0].impedance.is_resistive:
            return None
        return branches[0].impedance.formula, branches[0]

    def _named(
        self, key: tuple[str, ...], wish: str, formula: Expression, says: str, parts: tuple[str, ...], method: Method,
        idea: str,
    ) -> Expression:  # fmt: skip
        if isinstance(formula, Name):
            return formula
        name = self._ledger.name_for(key, wish)
        self._ledger.enter(Fact(key, step_of(name, method, says, formula, OHM, parts, idea=idea), (), 1.0), None, 1.0)
        return Name(name)

    # -- transformers --------------------------------------------------------------------------------------------------
    def _idle(self, graph: Graph, port: tuple[str, str]) -> bool:
        """Leave out a transformer of which at most one winding is connected to anything: no current flows in it."""
        degrees = graph.degrees()
        for reference, windings in self._transformers.items():

            def used(winding: Winding) -> bool:
                ends = {end for end in (winding.a, winding.b) if end != EARTH}
                valves = {node for v in self._valves for node in (v.anode, v.cathode)}
                return any(degrees.get(end, 0) or end in port or end in valves for end in ends)

            if sum(used(winding) for winding in windings) <= 1:
                del self._transformers[reference]
                return True
        return False

    def _transformer(self, graph: Graph, port: tuple[str, str]) -> bool:
        for reference, windings in self._transformers.items():
            loads = [(w, b) for w in windings if (b := self._across(graph, w, port)) is not None]
            if len(loads) == 1 and self._reflect(reference, windings, *loads[0], port):
                return True
        return False

    @staticmethod
    def _across(graph: Graph, winding: Winding, port: tuple[str, str]) -> Branch | None:
        """Return the one branch across a winding that is not looked into."""
        found = [b for b in graph.branches if {b.a, b.b} == {winding.a, winding.b}]
        ends = [end for end in (winding.a, winding.b) if end != EARTH]
        touching = [b for b in graph.branches if any(end in (b.a, b.b) for end in ends)]
        free = not any(end in port for end in ends)
        return found[0] if len(found) == 1 and len(touching) == 1 and free and ends else None

    def _reflect(
        self, reference: str, windings: tuple[Winding, ...], loaded: Winding, load: Branch, port: tuple[str, str]
    ) -> bool:
        others = [w for w in windings if w is not loaded]
        seen = _spanned(others, port)
        if seen is None:
            return False
        a, b, turns = seen
        ratio = over(turns, loaded.turns)
        formula = times(Binary("**", ratio, Number(2.0, text="2")), load.impedance.formula)
        parts = (reference, *load.parts)
        says = f"Through `{reference}` the load {load.words} is seen multiplied by the square of the turns ratio"
        key = ("z", reference, a, b, *parts)
        value = self._named(
            key, f"r_{reference}", formula, says, parts, Method.TRANSFORMER, "Impedances go by the square of the turns."
        )
        self._branches = [one for one in self._branches if not set(one.parts) & set(load.parts)]
        self._branches.append(
            Branch(f"{reference} seen", a, b, Impedance(real=value), parts, f"`{reference}` with its load")
        )
        del self._transformers[reference]
        return True


def _spanned(windings: list[Winding], port: tuple[str, str]) -> tuple[str, str, Expression] | None:
    """Return the nodes and the turns of the windings that a port looks into."""
    for w in windings:
        if {w.a, w.b} == set(port):
            return w.a, w.b, w.turns
    for first in windings:
        for second in windings:
            if first is not second and first.b == second.a and {first.a, second.b} == set(port):
                return first.a, second.b, _sum(first.turns, second.turns)
    return (windings[0].a, windings[0].b, windings[0].turns) if len(windings) == 1 else None


def _sum(first: Expression, second: Expression) -> Expression:
    """Return the turns of two windings in series; two halves are a whole."""
    if first == second and isinstance(first, Binary) and first.operator == "/" and first.right == Number(2.0, text="2"):
        return first.left
    return times(Number(2.0, text="2"), first) if first == second else plus(first, second)


__all__ = ["Port", "node_words"]
