"""The exact comparison of an authored formula with the circuit's own, in all symbols at once.

Both sides are brought into one field of fractions in the template's drawn values (π is a symbol there). A magnitude is
compared by its square, so that roots of sums of squares are proved too; a level in decibels by the ratio inside it.
"""

from __future__ import annotations

from typing import Any

from tutor.circuits.analysis import AC, S
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Binary, Call, Expression, Negative, Number, names_in, substitute
from tutor.circuits.expressions.algebra import as_quotient, rational_field
from tutor.circuits.formula import PI, Formula, formula_of
from tutor.circuits.problem import Problem
from tutor.quantities import Quantity
from tutor.questions.compiling import base_names, frequency_of, take_of, written_out
from tutor.questions.template import Ask, Template

LONGEST_PROOF = 2000
"""Terms of a circuit's formula beyond which the exact comparison is left out; the numeric one always runs."""

LONGEST_SQUARE = 60
"""The same for magnitudes, whose squares multiply the terms."""


def exactly_equal(template: Template, ask: Ask, problem: Problem) -> bool | None:
    """Compare formula and circuit exactly.

    Returns:
        True or False where both sides can be brought into one field of fractions; None where they cannot (an angle, a
        mean power at ac, a logarithmic potentiometer, an earlier ask that has no formula) or the circuit's formula is
        too long to expand.
    """
    if ask.formula is None:
        return None
    try:
        formula = formula_of(problem, LONGEST_PROOF)
    except CircuitError:
        return None
    bound = _bound_symbols(problem)
    take = take_of(template, ask)
    authored = _in_drawn_values(template, ask, ask.formula)
    if take == "decibels":
        inside = _inside_decibels(authored)
        if inside is None:
            return None
        authored = inside
    elif take not in ("", "magnitude"):
        return None
    if bound is None or any(name not in base_names(template) for name in names_in(authored)):
        return None
    solved = {name: _in_drawn_values(template, ask, value) for name, value in bound.items()}
    if S in formula.symbols and problem.analysis == AC:
        assert ask.circuit is not None
        solved[S] = _in_drawn_values(template, ask, frequency_of(template, ask.circuit))
    names = tuple(dict.fromkeys(n for e in (authored, *solved.values()) for n in names_in(e)))
    field, generators = rational_field(names)
    symbols = {name: as_quotient(value, generators, field) for name, value in solved.items()}
    symbols[PI] = field.gens[-1]
    if any(symbols.get(name) is None for name in formula.symbols):
        return None
    if take == "" and S not in formula.symbols:
        left = as_quotient(authored, generators, field)
        return None if left is None else bool(left == _real_value(formula, symbols, field))
    return _same_square(authored, formula, symbols, (field, generators))


def _same_square(
    authored: Expression, formula: Formula, symbols: dict[str, Any], ring: tuple[Any, dict[str, Any]]
) -> bool | None:
    field, generators = ring
    if S in formula.symbols and formula.terms > LONGEST_SQUARE:
        return None
    left = _square(authored, generators, field)
    if left is None:
        return None
    sizes = []
    for part in (formula.numerator, formula.denominator):
        real, imaginary = _at_frequency(formula, part, symbols, field)
        sizes.append(real * real + imaginary * imaginary)
    return bool(left == sizes[0] / sizes[1])


def _square(node: Expression, generators: dict[str, Any], field: Any) -> Any:
    """Return the square of an expression as a quotient of polynomials, or None."""
    match node:
        case Call("sqrt", (inner,)):
            return as_quotient(inner, generators, field)
        case Call("abs", (inner,)) | Negative(inner):
            return _square(inner, generators, field)
        case Binary("*" | "/" as operator, left, right):
            a, b = _square(left, generators, field), _square(right, generators, field)
            if a is None or b is None or (operator == "/" and not b):
                return None
            return a * b if operator == "*" else a / b
        case _:
            value = as_quotient(node, generators, field)
            return None if value is None else value * value


def _inside_decibels(node: Expression) -> Expression | None:
    """Return the ratio x of `db(x)`, `20*log10(x)` or `-…` of either, or None."""
    match node:
        case Call("db", (inner,)):
            return inner
        case Binary("*", Number(20.0), Call("log10", (inner,))):
            return inner
        case Negative(operand):
            inside = _inside_decibels(operand)
            return None if inside is None else Binary("/", Number(1.0), inside)
        case _:
            return None


def _real_value(formula: Formula, symbols: dict[str, Any], field: Any) -> Any:
    above = _at_frequency(formula, formula.numerator, symbols, field)[0]
    below = _at_frequency(formula, formula.denominator, symbols, field)[0]
    return above / below


def _at_frequency(formula: Formula, part: Any, symbols: dict[str, Any], field: Any) -> tuple[Any, Any]:
    """Return real and imaginary part of a polynomial with s = j·2π·f; `symbols` holds f under the name of s."""
    real, imaginary = field.zero, field.zero
    omega = None
    if S in formula.symbols:
        pi = field.gens[-1]
        omega = field(2) * pi * symbols[S]
    for exponents, coefficient in part:
        product, quarter_turns = field(coefficient), 0
        for name, exponent in zip(formula.symbols, exponents, strict=True):
            if name == S:
                product, quarter_turns = product * omega**exponent if exponent else product, exponent % 4
            elif exponent:
                product = product * symbols[name] ** exponent
        if quarter_turns in (2, 3):
            product = -product
        if quarter_turns % 2:
            imaginary = imaginary + product
        else:
            real = real + product
    return real, imaginary


def _bound_symbols(problem: Problem) -> dict[str, Expression] | None:
    """Return what every symbol of the network is bound to, as expressions; None where a phasor has an angle."""
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
    replacements = written_out(template)
    for other in template.asks:
        if other.name == ask.name:
            break
        if other.formula is not None and other.kind == "number":
            replacements[other.name] = substitute(other.formula, replacements)
    return substitute(expression, replacements)
