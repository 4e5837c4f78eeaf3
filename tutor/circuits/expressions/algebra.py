"""Proofs about expressions: as quotients of polynomials, compared exactly.

Sympy's polynomial rings do the algebra; they are only ever handed names and whole numbers, never text.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import reduce
from math import comb
from typing import Any

from tutor.circuits.expressions.evaluation import evaluate
from tutor.circuits.expressions.tree import Binary, Call, Expression, Name, Negative, Number, names_in

LARGEST_EXPONENT = 12
LONGEST = 20_000
"""Terms that a product of polynomials may have; longer ones are not worked out."""


def as_quotient(expression: Expression, generators: Mapping[str, Any], field: Any) -> Any:
    """Return an expression as an element of a field of fractions.

    Args:
        expression: The tree.
        generators: Name → element of the field, π among them.
        field: A sympy field over the rationals.

    Returns:
        The element; None where the expression is no quotient of polynomials in the generators, divides by zero, or
        grows beyond `LONGEST` terms.
    """
    match expression:
        case Number(value, _, text):
            # π is a number like any other, but no rational one: it stays a symbol of its own.
            return generators.get("pi") if text == "pi" else field(_rational(value, field))
        case Name(name):
            return generators.get(name)
        case Negative(operand):
            inner = as_quotient(operand, generators, field)
            return None if inner is None else -inner
        case Binary("**", left, right):
            return _power(left, right, generators, field)
        case Binary(operator, left, right):
            return _joined(operator, as_quotient(left, generators, field), as_quotient(right, generators, field))
        case Call("parallel", arguments):
            return reduce(_parallel, (as_quotient(argument, generators, field) for argument in arguments))
        case _:
            return None


def _rational(value: float, field: Any) -> Any:
    fraction = Fraction(repr(value))
    return field.domain(fraction.numerator) / field.domain(fraction.denominator)


def _joined(operator: str, left: Any, right: Any) -> Any:
    if left is None or right is None or _size(left) * _size(right) > LONGEST:
        return None
    match operator:
        case "+":
            return left + right
        case "-":
            return left - right
        case "*":
            return left * right
        case _:
            return left / right if right else None


def _parallel(a: Any, b: Any) -> Any:
    return None if a is None or b is None else _joined("/", a * b, a + b)


def _power(left: Expression, right: Expression, generators: Mapping[str, Any], field: Any) -> Any:
    if names_in(right):
        return None
    exponent = evaluate(right, {})
    base = as_quotient(left, generators, field)
    if base is None or exponent != int(exponent) or abs(exponent) > LARGEST_EXPONENT:
        return None
    if exponent <= 0 and not base:
        return None  # nought to the power of nought is left alone
    if comb(_size(base) + int(abs(exponent)), int(abs(exponent))) > LONGEST:
        return None
    return base ** int(exponent)


def _size(quotient: Any) -> int:
    """Count the terms of the longer side of a quotient."""
    return max(len(quotient.numer), len(quotient.denom))


def rational_field(names: tuple[str, ...]) -> tuple[Any, dict[str, Any]]:
    """Return a field of fractions over the rationals and its generators by name, π among them."""
    from sympy import QQ
    from sympy.polys.fields import field

    listed = (*names, "pi")
    made = field(list(listed), QQ)
    return made[0], dict(zip(listed, made[1:], strict=True))
