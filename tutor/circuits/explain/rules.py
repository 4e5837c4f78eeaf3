"""The rules of a good technician: each looks for facts that follow from what is known, in one step.

A rule takes a `Reasoner` and returns whether it has told it anything new. To add one, write a function here (or in a
module of its own) and enter it into `RULES`; the reasoner holds whatever it proposes against the full solution.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import (
    ONE,
    ZERO,
    is_zero,
    minus,
    negative,
    over,
    plus,
    sum_of,
    times,
)
from tutor.circuits.explain.branches import Branch
from tutor.circuits.explain.nodes import at_rest, free_node, reactive_load
from tutor.circuits.explain.reasoner import Attached, Reasoner
from tutor.circuits.explain.setting import DRIVE
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.valves import valves
from tutor.circuits.explain.words import listed, node_words, sentence
from tutor.circuits.expressions import Expression


def sources(state: Reasoner) -> bool:
    """A source fixes the voltage of its one end against the other."""
    new = False
    for source in state.setting.sources:
        for a, b, value in ((source.a, source.b, source.value), (source.b, source.a, negative(source.value))):
            below = state.voltage(b)
            if below is None or state.voltage(a) is not None:
                continue
            if is_zero(below):
                state.fixed[a] = value
                new = True
                continue
            parts = [] if source.reference == DRIVE else [source.reference]
            what = f"`{source.reference}`" if parts else "One volt"
            says = f"{what} stands between {node_words(b)} and {node_words(a)}, so {node_words(a)} is at"
            new |= state.propose_voltage(
                a,
                EARTH,
                plus(below, value),
                Method.VOLTAGES,
                says,
                parts,
                idea="Add up the sources on the way.",
            )
    return new


def ohm(state: Reasoner) -> bool:
    """A known voltage across a branch drives its current."""
    new = False
    for branch in state.graph.all:
        across = state.difference(branch.a, branch.b)
        z = branch.impedance.formula
        if across is None or is_zero(z) or is_zero(minus(across, branch.emf)):
            continue
        what = branch.words
        if is_zero(across) and branch.emf != ZERO:
            says = f"Once round the loop of {what} the sources drive"
        else:
            says = f"The voltage across {what} drives a current of"
        formula = over(minus(across, branch.emf), z)
        idea = f"Ohm's law: which voltage stands across {what}?".replace("`", "")
        new |= state.propose_current(branch, formula, Method.OHM, says, idea=idea)
    return new


def drop(state: Reasoner) -> bool:
    """A known current loses a voltage in a branch, so that the far end follows from the near one."""
    new = False
    for branch in state.graph.all:
        current = state.current(branch)
        z = branch.impedance.formula
        if current is None or branch.emf != ZERO or is_zero(z):
            continue
        what = branch.words
        for a, b, through in ((branch.a, branch.b, current), (branch.b, branch.a, negative(current))):
            below = state.voltage(b)
            if below is None or (state.voltage(a) is not None and a in state.graph.rails):
                continue
            across = times(through, z)
            if is_zero(below):
                says = f"The current through {what} makes a voltage of"
            else:
                says = f"From {node_words(b)} the current through {what} takes off its voltage; that leaves"
                if not _is_taken(across):
                    says = f"{sentence(node_words(a))} lies above {node_words(b)} by the voltage across {what}"
            new |= state.propose_voltage(
                a,
                EARTH,
                plus(below, across),
                Method.OHM,
                says,
                branch.parts,
                idea=f"Ohm's law for {what}.".replace("`", ""),
            )
        if EARTH not in (branch.a, branch.b):
            says = f"The current through {what} makes across it a voltage of"
            idea = f"Ohm's law for {what}.".replace("`", "")
            wish = f"{state.prefix[0]}_{branch.key}" if branch.key.isidentifier() else ""
            new |= state.propose_voltage(
                branch.a, branch.b, times(current, z), Method.OHM, says, branch.parts, idea=idea, wish=wish
            )
    return new


def _is_taken(across: Expression) -> bool:
    from tutor.circuits.expressions import Negative

    return isinstance(across, Negative)


def divider(state: Reasoner) -> bool:
    """A known voltage across a row divides in proportion to its impedances."""
    new = False
    for branch in state.graph.all:
        if not branch.chain or branch.emf != ZERO:
            continue
        whole = state.difference(branch.a, branch.b)
        if whole is None or is_zero(whole):
            continue
        nodes = [branch.a, *(link.b for link in branch.chain)]
        for place in range(1, len(branch.chain)):
            new |= _divide_at(state, branch, nodes, place)
        for index, link in enumerate(branch.chain):
            new |= _divide_across(state, branch, whole, nodes, index, link)
    return new


def _divide_at(state: Reasoner, branch: Branch, nodes: list[str], place: int) -> bool:
    """Propose the voltage of a node inside a row."""
    top, bottom = state.voltage(branch.a), state.voltage(branch.b)
    node = nodes[place]
    if top is None or bottom is None:
        return False
    upper, lower = branch.chain[:place], branch.chain[place:]
    if is_zero(top):
        upper, lower, top, bottom = lower, upper, bottom, top
        branch_from = branch.b
    else:
        branch_from = branch.a
    share = _share(lower, branch.chain)
    what = listed([link.words for link in branch.chain])
    if is_zero(bottom):
        formula = _scaled(top, lower, branch.chain)
        says = f"{sentence(what)} are a divider from {node_words(branch_from)} to earth; {node_words(node)} gets"
    else:
        formula = plus(bottom, times(minus(top, bottom), share))
        says = f"{sentence(what)} divide the voltage between their ends; {node_words(node)} stands at"
    idea = f"{what} are a divider: the same current flows in all of them.".replace("`", "")
    return state.propose_voltage(node, EARTH, formula, Method.DIVIDER, says, branch.parts, idea=idea)


def _divide_across(
    state: Reasoner, branch: Branch, whole: Expression, nodes: list[str], index: int, link: Branch
) -> bool:
    a, b = nodes[index], nodes[index + 1]
    if EARTH in (a, b):
        return False  # then it is the voltage of a node
    formula = _scaled(whole, (link,), branch.chain)
    what = listed([one.words for one in branch.chain])
    says = f"{sentence(what)} share one current; of the voltage across all of them {link.words} gets"
    idea = f"{what} are a divider: the same current flows in all of them.".replace("`", "")
    wish = f"{state.prefix[0]}_{link.key}" if link.key.isidentifier() else ""
    return state.propose_voltage(a, b, formula, Method.DIVIDER, says, branch.parts, idea=idea, wish=wish)


def _total(links: Iterable[Branch]) -> Expression:
    """Return the impedance of a row."""
    from tutor.circuits.explain.branches import Impedance

    total = Impedance()
    for link in links:
        total = total.in_series(link.impedance)
    return total.formula


def _share(part: tuple[Branch, ...], chain: tuple[Branch, ...]) -> Expression:
    capacitors = _capacitor_share(part, chain)
    return capacitors or over(_total(part), _total(chain))


def _capacitor_share(part: tuple[Branch, ...], chain: tuple[Branch, ...]) -> Expression | None:
    """Return the share of one of two capacitors: the smaller one gets the larger part."""
    if len(chain) != 2 or len(part) != 1 or any(link.capacitance is None for link in chain):
        return None
    other = next(link for link in chain if link.key != part[0].key)
    assert other.capacitance is not None
    return over(other.capacitance, sum_of(link.capacitance for link in chain if link.capacitance is not None))


def _scaled(whole: Expression, part: tuple[Branch, ...], chain: tuple[Branch, ...]) -> Expression:
    """Return whole × part / chain, written as one fraction."""
    share = _share(part, chain)
    from tutor.circuits.expressions import Binary, Negative

    if isinstance(share, Binary) and share.operator == "/":
        return over(times(whole, share.left), share.right)
    if isinstance(share, Negative) and isinstance(share.operand, Binary) and share.operand.operator == "/":
        return negative(over(times(whole, share.operand.left), share.operand.right))
    return times(whole, share)


def currents_meet(state: Reasoner) -> bool:
    """All currents but one at a node are known: the last is their sum."""
    new = False
    nodes = {end for branch in state.graph.branches for end in (branch.a, branch.b)}
    nodes |= {end for s in (*state.setting.sources, *state.setting.currents) for end in (s.a, s.b)}
    nodes |= {end for v in state.setting.valves for end in (v.anode, v.cathode)}
    for node in sorted(nodes - {EARTH}):
        new |= _currents_at(state, node)
    return new


def _currents_at(state: Reasoner, node: str) -> bool:
    # At a fixed node every single stretch counts by itself; elsewhere what was reduced.
    branches = state.graph.at(node)
    attached = state.attached(node)
    ways: list[tuple[Branch | Attached, Expression | None]] = [(b, state.current(b)) for b in branches]
    for one in attached:
        value = state.given_current(one)
        ways.append((one, None if value is None else value if one.sign > 0 else negative(value)))
    open_ways = [way for way, value in ways if value is None]
    if len(open_ways) != 1 or len(ways) < 2:
        return False
    missing = open_ways[0]
    total = negative(sum_of(value for _, value in ways if value is not None))
    if is_zero(total):
        return False
    others = [way for way, _ in ways if way is not missing]
    parts = [
        p for way in others for p in (way.parts if isinstance(way, Branch) else (way.reference.partition(".")[0],))
    ]
    idea = f"What flows into {node_words(node)} flows out of it again."
    if isinstance(missing, Branch):
        says = f"At {node_words(node)} the currents add up, so {missing.words} carries"
        native = next(b for b in state.graph.all if b.key == missing.key)
        formula = total if native.a == missing.a else negative(total)
        return state.propose_current(native, formula, Method.CURRENTS, says, idea=idea)
    says = f"At {node_words(node)} the currents add up, so through `{missing.reference}` there flow"
    formula = total if missing.sign > 0 else negative(total)
    return state.propose_attached(
        missing.reference, formula, Method.CURRENTS, says, [*parts, missing.reference], idea=idea
    )


def amplifiers(state: Reasoner) -> bool:
    """A controlled source gives its factor times what controls it."""
    new = False
    for one in state.setting.amplifiers:
        control = state.difference(*one.control)
        if control is None:
            continue
        says = f"`{one.reference}` gives so many times the voltage between its control terminals"
        idea = f"{one.reference} multiplies what stands at its input."
        step_up = times(one.factor, control)
        for a, b, across in ((one.a, one.b, step_up), (one.b, one.a, negative(step_up))):
            below = state.voltage(b)
            if below is not None and state.voltage(a) is None:
                formula = plus(below, across)
                new |= state.propose_voltage(a, EARTH, formula, Method.AMPLIFIER, says, [one.reference], idea=idea)
    for one in state.setting.steered:
        control = state.difference(*one.control)
        if control is None or is_zero(control):
            continue
        says = f"`{one.reference}` passes its slope times the voltage that controls it"
        idea = f"The current of {one.reference} is slope times control voltage."
        formula = times(one.factor, control)
        new |= state.propose_attached(one.reference, formula, Method.AMPLIFIER, says, [one.reference], idea=idea)
    return new


def transformers(state: Reasoner) -> bool:
    """Every winding has the same volts per turn."""
    new = False
    for reference, windings in state.setting.transformers.items():
        driven = next(((w, v) for w in windings if (v := state.difference(w.a, w.b)) is not None), None)
        if driven is None:
            continue
        winding, across = driven
        for other in windings:
            if other is winding or state.difference(other.a, other.b) is not None:
                continue
            formula = over(times(across, other.turns), winding.turns)
            says = f"Volts per turn are the same in every winding of `{reference}`, so the {other.name} has"
            idea = "The same volts per turn stand in every winding."
            new |= state.propose_voltage(
                other.a, other.b, formula, Method.TRANSFORMER, says, [reference], idea=idea, wish=f"v_{other.name}"
            )
            for a, b, sign in ((other.a, other.b, ONE), (other.b, other.a, negative(ONE))):
                below = state.voltage(b)
                if below is not None and not is_zero(below):
                    new |= state.propose_voltage(
                        a, EARTH, plus(below, times(sign, formula)), Method.TRANSFORMER, says, [reference], idea=idea
                    )
    return new


RULES: tuple[Callable[[Reasoner], bool], ...] = (
    sources,
    at_rest,
    ohm,
    drop,
    divider,
    currents_meet,
    free_node,
    reactive_load,
    amplifiers,
    transformers,
    valves,
)
"""In the order in which they are tried; of several ways to a fact the one with least to say wins, not the first."""
