"""A node with more than a divider at it: Thévenin at the port, or every source turned into a current."""

from __future__ import annotations

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ZERO, is_zero, minus, over, parallel, plus, times
from tutor.circuits.explain.branches import Branch, Impedance
from tutor.circuits.explain.ledger import Fact, step_of
from tutor.circuits.explain.reasoner import Reasoner
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.words import listed, node_words
from tutor.circuits.expressions import Expression, Name
from tutor.quantities import OHM


def at_node(
    state: Reasoner, node: str, branches: list[Branch], far: list[Expression], into: Expression, givers: list[str]
) -> bool:
    """Propose a node's voltage by Thévenin: its resistive divider first, then what loads it.

    The divider is formed by two branches with resistance only (or, with no such pair, by any two); the load is the
    current that is driven into the node, or the one branch that is left over.
    """
    pairs = [
        (i, j)
        for i in range(len(branches))
        for j in range(i + 1, len(branches))
        if branches[i].emf == ZERO and branches[j].emf == ZERO
    ]
    rest = [
        (i, j, [k for k in range(len(branches)) if k not in (i, j)])
        for i, j in pairs
        if not (is_zero(far[i]) and is_zero(far[j]))
        and branches[i].impedance.is_resistive
        and branches[j].impedance.is_resistive
    ]
    for i, j, left in rest:
        if len(left) + (not is_zero(into)) != 1:
            continue
        new = _open_voltage(state, node, (branches[i], branches[j]), (far[i], far[j]))
        opened, source = _known(state, node, branches[i], branches[j])
        if opened is None or source is None:
            return new
        load = None if not left else (branches[left[0]], far[left[0]])
        return _loaded(state, node, opened, source, load, into, givers) or new
    return False


def _keys(state: Reasoner, node: str, first: Branch, second: Branch) -> tuple[tuple[str, ...], tuple[str, ...]]:
    mark = f"{node}: {first.key}, {second.key}"
    # The key that a port has as well, so that a source resistance is not worked out twice.
    return (state.context, "open", mark), ("z", f"({first.key} ∥ {second.key})", *sorted((node, EARTH)), "")


def _known(state: Reasoner, node: str, first: Branch, second: Branch) -> tuple[Name | None, Name | None]:
    opened, source = _keys(state, node, first, second)
    return state.ledger.known(opened), state.ledger.known(source)


def _open_voltage(state: Reasoner, node: str, pair: tuple[Branch, Branch], far: tuple[Expression, Expression]) -> bool:
    """Propose the voltage and the resistance of the divider by itself."""
    (first, second), (v1, v2) = pair, far
    if is_zero(v1):
        first, second, v1, v2 = second, first, v2, v1
    z1, z2 = first.impedance.formula, second.impedance.formula
    opened, source = _keys(state, node, *pair)
    parts = (*first.parts, *second.parts)
    what = f"{first.words} and {second.words}"
    formula = over(times(v1, z2), plus(z1, z2))
    if not is_zero(v2):
        formula = plus(v2, over(times(minus(v1, v2), z2), plus(z1, z2)))
    where = node_words(node)
    says = f"With nothing else connected to {where}, the divider of {what} gives"
    idea = f"Replace what feeds {where} by one source and one resistor (Thévenin).".replace("`", "")
    name = state.ledger.name_for(opened, f"v_open_{node}")
    step = step_of(name, Method.THEVENIN, says, formula, state.units[0], parts, idea=idea)
    new = state.ledger.enter(Fact(opened, step, (), 1.0), None, state.scale)
    says = f"Looked into from {where}, with the supply a piece of wire, {what} lie side by side"
    name = state.ledger.name_for(source, f"r_source_{node}")
    step = step_of(name, Method.THEVENIN, says, parallel(z1, z2), OHM, parts, idea=idea)
    return state.ledger.enter(Fact(source, step, (), 1.0), None, state.scale) or new


def _loaded(
    state: Reasoner,
    node: str,
    opened: Name,
    source: Name,
    load: tuple[Branch, Expression] | None,
    into: Expression,
    givers: list[str],
) -> bool:
    where = node_words(node)
    if load is None:
        formula = plus(opened, times(into, source))
        carried = listed([f"`{giver}`" for giver in givers])
        says = f"The current of {carried} loses its voltage in that one resistance; {where} is left with"
        return state.propose_voltage(node, EARTH, formula, Method.THEVENIN, says, givers)
    branch, far = load
    z = branch.impedance.formula
    what = branch.words
    says = f"With {what} connected, it and the source resistance are a divider; {where} is left with"
    formula = over(times(opened, z), plus(source, z))
    if not is_zero(far):
        formula = plus(far, over(times(minus(opened, far), z), plus(source, z)))
    new = state.propose_voltage(node, EARTH, formula, Method.THEVENIN, says, branch.parts)
    nodes = [node, *(link.b for link in branch.chain)]
    for place in range(1, len(branch.chain)):
        tail = total_of(branch.chain[place:])
        formula = over(times(opened, tail), plus(source, z))
        if not is_zero(far):
            formula = plus(far, over(times(minus(opened, far), tail), plus(source, z)))
        inner = node_words(nodes[place])
        says = f"With {what} connected, they and the source resistance are one divider; {inner} is left with"
        new |= state.propose_voltage(nodes[place], EARTH, formula, Method.THEVENIN, says, branch.parts)
    return new


def total_of(links: tuple[Branch, ...]) -> Expression:
    """Return the impedance of a row."""
    total = Impedance()
    for link in links:
        total = total.in_series(link.impedance)
    return total.formula


def by_source_transformation(
    state: Reasoner, node: str, branches: list[Branch], far: list[Expression], into: Expression, givers: list[str]
) -> bool:
    """Propose a node between sources: each with its resistance is a current source, and all lie side by side."""
    where = node_words(node)
    parts = [p for branch in branches for p in branch.parts] + givers
    # What drives current into the node through a branch: its far end, or a source inside it.
    drives = [plus(v, branch.emf) for branch, v in zip(branches, far, strict=True)]
    zs = [branch.impedance.formula for branch in branches]
    total = plus(*(over(d, z) for d, z in zip(drives, zs, strict=True) if not is_zero(d)), into)
    if is_zero(total):
        return False
    key, group = (state.context, "short", node), (state.context, "all", node)
    idea = f"Turn every source with its resistor into a current source at {where}."
    says = f"Each source with its resistance is replaced by a current source; together they drive into {where}"
    name = state.ledger.name_for(key, f"i_{node}")
    step = step_of(name, Method.SOURCE_TRANSFORMATION, says, total, state.units[1], parts, idea=idea)
    new = state.ledger.enter(Fact(key, step, (), 1.0), None, state.scale)
    says = f"All resistances at {where} now lie side by side"
    r_name = state.ledger.name_for(group, f"r_all_{node}")
    resistive = parallel(*zs)
    step = step_of(r_name, Method.SERIES_PARALLEL, says, resistive, OHM, parts, idea=idea)
    new |= state.ledger.enter(Fact(group, step, (), 1.0), None, state.scale)
    says = f"That current through that resistance brings {where} to"
    formula = times(Name(name), Name(r_name))
    return state.propose_voltage(node, EARTH, formula, Method.SOURCE_TRANSFORMATION, says, parts) or new
