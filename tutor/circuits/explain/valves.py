"""Valve stages by their equivalent circuit: mu times the grid voltage behind the anode resistance.

Once round the anode circuit the signal current is i = (mu·v_gk-source …)/(r_a + Z_L + (mu + 1)·Z_k): the cathode
impedance counts mu + 1 times, because its voltage works against the grid as well.

Source: H. J. van der Bijl's equivalent circuit; F. Langford-Smith, Radiotron Designer's Handbook, 4th ed. (1953),
ch. 12.
"""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ONE, ZERO, is_zero, minus, negative, over, parallel, plus, times
from tutor.circuits.explain.branches import Branch
from tutor.circuits.explain.ledger import Fact, step_of
from tutor.circuits.explain.reasoner import Reasoner
from tutor.circuits.explain.setting import Valve
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.words import listed, node_words, sentence
from tutor.circuits.expressions import Expression, Name
from tutor.quantities import OHM


@dataclass(frozen=True, slots=True)
class _Side:
    """What an electrode looks into: a stretch that ends at a known voltage.

    Attributes:
        impedance: In the way; nought where the electrode itself is at a known voltage.
        voltage: At the far end.
        branch: The stretch, or None.
    """

    impedance: Expression
    voltage: Expression
    branch: Branch | None

    @property
    def parts(self) -> tuple[str, ...]:
        return () if self.branch is None else self.branch.parts


def valves(state: Reasoner) -> bool:
    """Anode and cathode follow from the grid, once round the anode circuit."""
    new = False
    for valve in state.setting.valves:
        grid = state.voltage(valve.grid)
        new |= _open_anode(state, valve, grid) | _held_cathode(state, valve, grid)
        anode, cathode = side_of(state, valve, valve.anode), side_of(state, valve, valve.cathode)
        if grid is None or anode is None or cathode is None:
            continue
        new |= _current(state, valve, grid, anode, cathode)
    return new


def _open_anode(state: Reasoner, valve: Valve, grid: Expression | None) -> bool:
    """An anode that is fed by a steady current alone moves mu times as far as the grid."""
    cathode = state.voltage(valve.cathode)
    others = [one for one in state.attached(valve.anode) if one.reference != valve.reference]
    if grid is None or cathode is None or others or state.graph.at(valve.anode) or valve.anode in state.graph.rails:
        return False
    says = (
        f"With no signal current in the anode of `{valve.reference}`, all of `mu` times the grid voltage stands there"
    )
    formula = minus(cathode, times(valve.mu, minus(grid, cathode)))
    idea = f"No signal current flows: {valve.reference} gives all its mu."
    return state.propose_voltage(valve.anode, EARTH, formula, Method.VALVE, says, [valve.reference], idea=idea)


def _held_cathode(state: Reasoner, valve: Valve, grid: Expression | None) -> bool:
    """With the grid held, what reaches the cathode from outside meets the valve there as one more resistance."""
    anode = side_of(state, valve, valve.anode)
    if grid is None or not is_zero(grid) or anode is None or not is_zero(anode.voltage):
        return False
    node = valve.cathode
    if node in state.graph.rails or any(one.reference != valve.reference for one in state.attached(node)):
        return False
    branches = state.graph.at(node)
    far = [state.voltage(branch.b) for branch in branches]
    if any(v is None for v in far) or any(branch.emf != ZERO for branch in branches):
        return False
    driving = [(b, v) for b, v in zip(branches, far, strict=True) if v is not None and not is_zero(v)]
    resting = [b for b, v in zip(branches, far, strict=True) if v is not None and is_zero(v)]
    if len(driving) != 1:
        return False
    parts = (valve.reference, *anode.parts)
    idea = f"Look into the cathode of {valve.reference}: what resistance is seen there?"
    key = ("z", valve.reference, "cathode", *parts)
    formula = over(plus(valve.ra, anode.impedance), plus(valve.mu, ONE))
    name = state.ledger.name_for(key, f"r_cathode_{valve.reference}")
    says = f"Looked into at its cathode, all in the anode circuit of `{valve.reference}` is divided by `mu + 1`"
    step = step_of(name, Method.VALVE, says, formula, OHM, parts, idea=idea)
    new = state.ledger.enter(Fact(key, step, (), 1.0), None, state.scale)
    source, voltage = driving[0]
    foot = parallel(*(b.impedance.formula for b in resting), Name(name))
    words = listed([source.words, *(b.words for b in resting), f"`{name}`"])
    says = f"{sentence(words)} are a divider; {node_words(node)} gets"
    formula = over(times(voltage, foot), plus(source.impedance.formula, foot))
    every = (*parts, *(p for b in branches for p in b.parts))
    return state.propose_voltage(node, EARTH, formula, Method.DIVIDER, says, every, idea=idea) or new


def side_of(state: Reasoner, valve: Valve, node: str) -> _Side | None:
    """Return what an electrode looks into, or None where it is no single stretch to a known voltage."""
    if node in state.graph.rails:
        known = state.voltage(node)
        return None if known is None else _Side(ZERO, known, None)
    others = [one for one in state.attached(node) if one.reference != valve.reference]
    branches = state.graph.at(node)
    if others or len(branches) != 1 or branches[0].emf != ZERO:
        return None
    far = state.voltage(branches[0].b)
    return None if far is None else _Side(branches[0].impedance.formula, far, branches[0])


def _current(state: Reasoner, valve: Valve, grid: Expression, anode: _Side, cathode: _Side) -> bool:
    """Propose the anode current and what it makes at both ends."""
    drive = plus(minus(anode.voltage, cathode.voltage), times(valve.mu, minus(grid, cathode.voltage)))
    if is_zero(drive):
        return False
    weighed = times(plus(valve.mu, ONE), cathode.impedance)
    loop = plus(valve.ra, anode.impedance, weighed)
    parts = (valve.reference, *anode.parts, *cathode.parts)
    says, idea = _words(valve, anode, cathode)
    new = state.propose_attached(
        valve.reference, over(drive, loop), Method.VALVE, f"{says}; the anode current is", parts, idea=idea
    )
    if anode.branch is not None and is_zero(anode.voltage):
        formula = negative(over(times(drive, anode.impedance), loop))
        if valve.gm is not None and is_zero(cathode.impedance) and is_zero(cathode.voltage):
            load = parallel(valve.ra, *_sides(anode.branch))
            formula = negative(times(valve.gm, grid, load))
            says = (
                f"The slope of `{valve.reference}` drives its current through everything at {node_words(valve.anode)}"
            )
        new |= state.propose_voltage(
            valve.anode, EARTH, formula, Method.VALVE, f"{says}; at the anode that makes", parts, idea=idea
        )
    if cathode.branch is not None and is_zero(cathode.voltage):
        formula = over(times(drive, cathode.impedance), loop)
        new |= state.propose_voltage(
            valve.cathode, EARTH, formula, Method.VALVE, f"{says}; at the cathode that makes", parts, idea=idea
        )
    return new


def _sides(branch: Branch) -> tuple[Expression, ...]:
    return tuple(side.impedance.formula for side in branch.sides) or (branch.impedance.formula,)


def _words(valve: Valve, anode: _Side, cathode: _Side) -> tuple[str, str]:
    load = [] if anode.branch is None else [anode.branch.words]
    foot = [] if cathode.branch is None else [f"{cathode.branch.words} (which counts `mu + 1` times)"]
    rest = listed(["its anode resistance", *load, *foot])
    says = (
        f"In the equivalent circuit of `{valve.reference}`, `mu` times the grid voltage drives a current through {rest}"
    )
    return says, f"{sentence(valve.reference)}: draw the equivalent circuit, mu times the grid voltage behind r_a."
