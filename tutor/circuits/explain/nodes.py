"""Rules for a free node: its voltage follows once all of its neighbours are known."""

from __future__ import annotations

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ZERO, is_zero, negative, parallel, plus, sum_of, times
from tutor.circuits.explain.branches import Branch
from tutor.circuits.explain.reasoner import Reasoner
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.thevenin import at_node, by_source_transformation
from tutor.circuits.explain.words import listed, node_words
from tutor.circuits.expressions import Expression


def free_node(state: Reasoner) -> bool:
    """A node whose neighbours are all known follows from them."""
    new = False
    for node in state.graph.degrees():
        if node in state.graph.rails or node == EARTH:
            continue
        branches = [side for branch in state.graph.at(node) for side in _told_apart(branch)]
        attached = state.attached(node)
        currents = [state.given_current(one) for one in attached]
        if any(current is None for current in currents):
            continue
        far = [state.voltage(branch.b) for branch in branches]
        if any(voltage is None for voltage in far) or any(is_zero(b.impedance.formula) for b in branches):
            continue
        known = [voltage for voltage in far if voltage is not None]
        into = sum_of(
            negative(c) if one.sign > 0 else c for one, c in zip(attached, currents, strict=True) if c is not None
        )
        new |= _node_from(state, node, branches, known, into, [one.reference for one in attached])
    return new


def at_rest(state: Reasoner) -> bool:
    """Nodes that nothing drives, and that lead to earth only, are at earth for signals; nothing need be said."""
    new = False
    waiting = {end for branch in state.graph.all for end in (branch.a, branch.b) if state.voltage(end) is None}
    while waiting:
        group, edge = {waiting.pop()}, True
        quiet = True
        while edge:
            edge = False
            for branch in state.graph.all:
                for near, far in ((branch.a, branch.b), (branch.b, branch.a)):
                    if near not in group or far in group:
                        continue
                    known = state.voltage(far)
                    if known is None:
                        group.add(far)
                        edge = True
                    quiet = quiet and (known is None or is_zero(known)) and branch.emf == ZERO
        waiting -= group
        if quiet and not any(state.attached(node) or node in state.graph.rails for node in group):
            for node in sorted(group):
                new |= state.propose_voltage(node, EARTH, ZERO, Method.OHM, "", [])
    return new


def reactive_load(state: Reasoner) -> bool:
    """In a row with a resistance beside a reactance, Thévenin takes the resistances first."""
    new = False
    for row in state.graph.branches:
        if len(row.chain) != 2 or row.emf != ZERO:
            continue
        first, second = row.chain
        sides = (*_told_apart(first.from_node(first.b)), *_told_apart(second))
        far = [state.voltage(side.b) for side in sides]
        if len(sides) == 3 and all(v is not None for v in far):
            known = [v for v in far if v is not None]
            new |= at_node(state, first.b, list(sides), known, ZERO, [])
    return new


def _told_apart(branch: Branch) -> tuple[Branch, ...]:
    """Return the sides of a mixture of resistance and reactance, so that Thévenin can take the resistances first."""
    if branch.impedance.is_simple or not branch.sides:
        return (branch,)
    return tuple(side.from_node(branch.a) for side in branch.sides)


def _node_from(
    state: Reasoner, node: str, branches: list[Branch], far: list[Expression], into: Expression, givers: list[str]
) -> bool:
    """Propose a node's voltage from its neighbours' and the current that is driven into it."""
    parts = [p for branch in branches for p in branch.parts] + givers
    driving = [branch.emf != ZERO or not is_zero(v) for branch, v in zip(branches, far, strict=True)]
    where = node_words(node)
    z = [branch.impedance.formula for branch in branches]
    if len(branches) == 1:
        return _fed_node(state, node, branches[0], far[0], into, givers)
    if not any(driving):
        says = f"The current into {where} finds {listed([b.words for b in branches])} side by side and makes"
        formula = times(into, parallel(*z))
        return state.propose_voltage(
            node, EARTH, formula, Method.OHM, says, parts, idea="Current times the resistance that it meets."
        )
    if len(branches) == 2 and is_zero(into):
        return False  # a row: the divider rule has it
    told = at_node(state, node, branches, far, into, givers)
    return by_source_transformation(state, node, branches, far, into, givers) or told


def _fed_node(state: Reasoner, node: str, branch: Branch, far: Expression, into: Expression, givers: list[str]) -> bool:
    if branch.emf != ZERO:
        return False
    if is_zero(into):
        return state.propose_voltage(node, EARTH, far, Method.OHM, "", branch.parts)
    across = times(into, branch.impedance.formula)
    carried = listed([f"`{giver}`" for giver in givers])
    if is_zero(far):
        says = f"The current of {carried} flows through {branch.words} and makes"
    else:
        says = f"The current of {carried} loses its voltage in {branch.words}; that leaves at {node_words(node)}"
    idea = f"The current of {carried} flows through {branch.words}.".replace("`", "")
    formula = plus(far, across)
    return state.propose_voltage(node, EARTH, formula, Method.OHM, says, [*branch.parts, *givers], idea=idea)
