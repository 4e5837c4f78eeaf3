"""The key cannot be wrong: every authored formula is held against the circuit, solved independently.

Where both sides are quotients of polynomials they are compared exactly, in all symbols. Always, every draw is
compared in numbers with a pivoted solution, to 1e-9. An ask without a circuit must be covered by a worked example
from outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from tutor.circuits.analysis import AC, S
from tutor.circuits.expressions import Expression, Number, names_in, substitute
from tutor.circuits.expressions.algebra import as_quotient, rational_field
from tutor.circuits.formula import FormulaTooLongError, formula_of
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import program_arrays
from tutor.quantities import Quantity
from tutor.questions.checking.arrays import array_value, relative_difference
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.compiling import frequency_of, take_of
from tutor.questions.template import Ask, Template
from tutor.questions.values import Derived

AGREEMENT = 1e-9
LONGEST_PROOF = 2000
"""Terms of a circuit's formula beyond which the exact comparison is left out; the numeric one always runs."""


def check_circuit(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every ask whose formula is not proved."""
    covered = {name for example in evidence.template.examples for name in example.answers}
    for ask in evidence.template.asks:
        path = ("ask", ask.name, "formula")
        if ask.circuit is not None and ask.kind != "change":
            yield from _against_circuit(evidence, ask)
        elif ask.kind in ("number", "preferred") and ask.name not in covered:
            message = "nothing proves it: give `of circuit:`, or a worked example from outside under `examples:`"
            yield finding("circuit", path, message)
        elif ask.kind == "choice" and not ask.options and ask.name not in covered:
            yield finding("circuit", path, "nothing proves it: give `of circuit:` or an example")


def _against_circuit(evidence: Evidence, ask: Ask) -> Iterator[Finding]:
    assert ask.circuit is not None
    assert evidence.template.network is not None
    template = evidence.template
    problem = pose(template.network, ask.circuit.asked, template.analysis_of(ask.circuit))  # type: ignore[arg-type]  # asserted above
    solved = circuit_values(evidence, ask, problem)
    authored = _authored(evidence, ask)
    path = ("ask", ask.name, "formula")
    difference = relative_difference(authored, solved)
    worst = int(difference.argmax()) if len(difference) else 0
    if len(difference) and difference[worst] > AGREEMENT:
        message = (
            f"it gives {authored[worst]:.6g} where the circuit gives {solved[worst]:.6g} {ask.unit.symbol} "
            f"(serial {int(evidence.serials[evidence.admitted][worst])}; {int((difference > AGREEMENT).sum())} of "
            f"{len(difference)} draws disagree)"
        )
        yield finding("circuit", path, message)
        return
    if ask.formula is not None and exactly_equal(template, ask, problem) is False:
        yield finding("circuit", path, "it agrees on the values drawn, and is another formula than the circuit's")


def _authored(evidence: Evidence, ask: Ask) -> Any:
    if ask.formula is None or ask.kind == "preferred":
        # The exact value of a preferred one is its formula; without a formula the program itself is checked.
        if ask.formula is not None:
            return array_value(ask.formula, evidence.all_values(), evidence.draws)
        return evidence.values(ask.name)
    return evidence.values(ask.name)


def circuit_values(evidence: Evidence, ask: Ask, problem: Problem) -> Any:
    """Return the circuit's answer for every draw by the pivoted solution, shape (draws,)."""
    import numpy as np

    assert ask.circuit is not None
    template = evidence.template
    frequency = None
    if template.analysis_of(ask.circuit) == AC:
        frequency = array_value(frequency_of(template, ask.circuit), evidence.all_values(), evidence.draws)
    symbols = symbol_arrays(problem, evidence.all_values(), frequency, evidence.draws)
    solved = solve_numerically(problem, symbols)
    take = take_of(template, ask)
    if not take:
        return np.real(solved)
    return program_arrays()[f"{take}_"](solved)


def symbol_arrays(problem: Problem, values: dict[str, Any], frequency: Any, draws: int) -> dict[str, Any]:
    """Return every symbol of a problem's network over the draws."""
    import numpy as np

    known: dict[str, Any] = {}
    for symbol, (_, parameter) in problem.network.parameters().items():
        if isinstance(parameter.value, Quantity):
            known[symbol] = np.full(draws, parameter.value.magnitude)
        elif parameter.value is not None:
            known[symbol] = array_value(parameter.value, values, draws)
    if problem.reactive is not None:
        bound = problem.reactive.parameters()[0].value
        if isinstance(bound, Quantity):
            known[problem.reactive.reference] = np.full(draws, bound.magnitude)
        elif bound is not None:
            known[problem.reactive.reference] = array_value(bound, values, draws)
    for definition in problem.network.definitions():
        real = array_value(definition.real, known, draws)
        if definition.imaginary is not None:
            real = real + 1j * array_value(definition.imaginary, known, draws)
        known[definition.symbol] = real
    if frequency is not None:
        known[S] = 2j * math.pi * frequency
    return known


# -- exact comparison ------------------------------------------------------------------------------------------------
def exactly_equal(template: Template, ask: Ask, problem: Problem) -> bool | None:
    """Compare formula and circuit exactly.

    Returns:
        True or False where both sides are quotients of polynomials in the template's values; None where they are not
        (a magnitude, a root) or the circuit's formula is too long to expand.
    """
    if ask.formula is None or template.analysis_of(ask.circuit) == AC:  # type: ignore[arg-type]  # asks with a circuit only
        return None
    if take_of(template, ask):
        return None
    authored = _in_drawn_values(template, ask, ask.formula)
    try:
        formula = formula_of(problem, LONGEST_PROOF)
    except FormulaTooLongError:
        return None
    bound = _bound_symbols(problem)
    if bound is None:
        return None
    solved = {name: _in_drawn_values(template, ask, value) for name, value in bound.items()}
    names = tuple(dict.fromkeys(n for e in (authored, *solved.values()) for n in names_in(e)))
    field, generators = rational_field(names)
    left = as_quotient(authored, generators, field)
    symbols = {name: as_quotient(value, generators, field) for name, value in solved.items()}
    if left is None or any(value is None for value in symbols.values()):
        return None
    return bool(left == _formula_in(formula, symbols, field))


def _formula_in(formula: Any, symbols: dict[str, Any], field: Any) -> Any:
    sides = []
    for part in (formula.numerator, formula.denominator):
        total = field.zero
        for exponents, coefficient in part:
            product = field(coefficient)
            for name, exponent in zip(formula.symbols, exponents, strict=True):
                if exponent:
                    product = product * symbols[name] ** exponent
            total = total + product
        sides.append(total)
    return sides[0] / sides[1]


def _bound_symbols(problem: Problem) -> dict[str, Expression] | None:
    """Return what every symbol of the network is bound to, as expressions; None for a phasor."""
    bound: dict[str, Expression] = {}
    parts = dict(problem.network.parameters())
    if problem.reactive is not None:
        parts |= {p.symbol: (problem.reactive, p) for p in problem.reactive.parameters()}
    for symbol, (_, parameter) in parts.items():
        if isinstance(parameter.value, Quantity):
            bound[symbol] = Number(parameter.value.magnitude)
        elif parameter.value is not None:
            bound[symbol] = parameter.value
    for definition in problem.network.definitions():
        if definition.imaginary is not None:
            return None
        bound[definition.symbol] = substitute(definition.real, bound)
    return bound


def _in_drawn_values(template: Template, ask: Ask, expression: Expression) -> Expression:
    """Return an expression with earlier asks and derived values written out in drawn values."""
    replacements: dict[str, Expression] = {}
    for name, rule in template.values.items():
        if isinstance(rule, Derived):
            replacements[name] = substitute(rule.formula, replacements)
    for other in template.asks:
        if other.name == ask.name:
            break
        if other.formula is not None and other.kind == "number":
            replacements[other.name] = substitute(other.formula, replacements)
    return substitute(expression, replacements)
