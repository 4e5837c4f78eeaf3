"""Node equations: where nothing simpler serves, the currents at every unknown node are written down and solved."""

from __future__ import annotations

from tutor.circuits.explain.arithmetic import ZERO, is_zero, minus, negative, over, plus, sum_of, times
from tutor.circuits.explain.ledger import Fact, step_of
from tutor.circuits.explain.reasoner import Attached, Reasoner
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.words import node_words
from tutor.circuits.expressions import Comparison, Expression, Name, Number
from tutor.quantities import AMPERE, VOLT, show

MOST_NODES = 4
"""More equations than these teach nobody anything."""


def node_equations(state: Reasoner) -> bool:
    """Write the equations of the nodes that are still unknown, and state their solution; real circuits only."""
    unknown = [n for n in state.graph.degrees() if n not in state.graph.rails and state.voltage(n) is None]
    if not 0 < len(unknown) <= MOST_NODES or state.setting.analysis.kind == "ac":
        return False
    names = {node: state.ledger.name_for(state.voltage_key(node, "0"), f"{state.prefix[0]}_{node}") for node in unknown}
    sums = [_leaving(state, node, names) for node in unknown]
    if any(one is None for one in sums):
        return False
    for node in unknown:
        state.ledger.values[names[node]] = state.truth.voltage(node, "0")
    equations = []
    for node, leaving in zip(unknown, sums, strict=True):
        assert leaving is not None
        equations.append(_enter_equation(state, node, leaving, tuple(names.values())))
    if any(state.ledger.known((state.context, "equation", node)) is None for node in unknown):
        for node in unknown:  # a value in them is not told, so that nobody could solve them
            del state.ledger.values[names[node]]
        return False
    for node in unknown:
        _enter_solution(state, node, names[node], tuple(equations))
    return True


def _leaving(state: Reasoner, node: str, names: dict[str, str]) -> Expression | None:
    """Return the sum of the currents that leave a node, or None where one of them cannot be written."""
    terms: list[Expression] = []
    for branch in state.graph.at(node):
        far = Name(names[branch.b]) if branch.b in names else state.voltage(branch.b)
        if far is None or is_zero(branch.impedance.formula):
            return None
        terms.append(over(minus(minus(Name(names[node]), far), branch.emf), branch.impedance.formula))
    for one in state.attached(node):
        current = _current(state, one, names)
        if current is None:
            return None
        terms.append(current if one.sign > 0 else negative(current))
    return sum_of(terms)


def _current(state: Reasoner, one: Attached, names: dict[str, str]) -> Expression | None:
    """Return the current of a source or a valve, written over the unknown voltages."""

    def voltage(node: str) -> Expression | None:
        return Name(names[node]) if node in names else state.voltage(node)

    for steered in state.setting.steered:
        if steered.reference == one.reference:
            first, second = (voltage(node) for node in steered.control)
            return None if first is None or second is None else times(steered.factor, minus(first, second))
    for valve in state.setting.valves:
        if valve.reference == one.reference:
            grid, anode, cathode = (voltage(node) for node in (valve.grid, valve.anode, valve.cathode))
            if grid is None or anode is None or cathode is None:
                return None
            return over(plus(minus(anode, cathode), times(valve.mu, minus(grid, cathode))), valve.ra)
    return state.given_current(one)


def _enter_equation(state: Reasoner, node: str, leaving: Expression, unknowns: tuple[str, ...]) -> str:
    key = (state.context, "equation", node)
    name = state.ledger.name_for(key, f"equation_{node}")
    parts = [p for branch in state.graph.at(node) for p in branch.parts]
    says = f"At {node_words(node)} the currents that flow away add up to nothing"
    idea = "Write down the currents at each node whose voltage is not known."
    step = step_of(name, Method.NODE_EQUATIONS, says, Comparison(("==",), (leaving, ZERO)), AMPERE, parts, idea=idea)
    state.ledger.enter(Fact(key, step, (), 1.0, unknowns), 0j, state.scale)
    return name


def _enter_solution(state: Reasoner, node: str, name: str, equations: tuple[str, ...]) -> None:
    key = state.voltage_key(node, "0")
    value = state.truth.voltage(node, "0").real
    says = f"Solved together, the equations give {node_words(node)}"
    number = Number(value, VOLT, show(value, VOLT, 3))
    step = step_of(name, Method.NODE_EQUATIONS, says, number, VOLT, [], idea="")
    state.ledger.enter(Fact(key, step, equations, 1.0), state.truth.voltage(node, "0"), state.scale)
