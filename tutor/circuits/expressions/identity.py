"""Whether two expressions are the same formula, decided exactly and without an algebra system.

Two quotients of polynomials are the same when they agree everywhere. Both are worked out in the field of whole numbers
modulo a large prime, where nothing is rounded, at points that nobody chose: two different ones of degree d agree at
such a point with a chance of d in 2⁶¹ only. π is one more unknown there. A root is compared by squares.

Source: J. T. Schwartz, "Fast probabilistic algorithms for verification of polynomial identities", Journal of the ACM 27
(1980) 701-717 (from memory).
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from fractions import Fraction
from functools import reduce

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions.evaluation import evaluate
from tutor.circuits.expressions.tree import Binary, Call, Expression, Name, Negative, Number, names_in

PRIME = 2**61 - 1
POINTS = 3
MOST_TRIES = 10
"""Points at which a quotient may divide by zero before the comparison is given up."""

PI = "pi"


class _NoQuotientError(Exception):
    """An expression is no quotient of polynomials."""


def identical(first: Expression, second: Expression) -> bool | None:
    """Tell whether two expressions are equal for all values of their names, signs of roots apart.

    Returns:
        None where one of them is no quotient of polynomials, nor a root of such in a product.
    """
    names = tuple(dict.fromkeys((*names_in(first), *names_in(second), PI)))
    agreed = 0
    for attempt in range(POINTS + MOST_TRIES):
        point = {name: _residue_of(name, attempt) for name in names}
        try:
            same = _agree(first, second, point)
        except ZeroDivisionError:
            continue
        except _NoQuotientError:
            return None
        if not same:
            return False
        agreed += 1
        if agreed == POINTS:
            return True
    return None


def _residue_of(name: str, attempt: int) -> int:
    digest = hashlib.sha256(f"{attempt}/{name}".encode()).digest()
    return int.from_bytes(digest[:16], "big") % PRIME


def _agree(first: Expression, second: Expression, point: Mapping[str, int]) -> bool:
    try:
        return _value(first, point) == _value(second, point)
    except _NoQuotientError:
        return _square(first, point) == _square(second, point)


def _value(node: Expression, point: Mapping[str, int]) -> int:
    match node:
        case Number(value, _, text):
            return point[PI] if text == PI else _of_fraction(Fraction(repr(value)))
        case Name(name):
            return point[name]
        case Negative(operand):
            return -_value(operand, point) % PRIME
        case Binary("**", left, right):
            return _raised(_value(left, point), _whole(right))
        case Binary(operator, left, right):
            return _joined(operator, _value(left, point), _value(right, point))
        case Call("parallel", arguments):
            return reduce(
                lambda a, b: _joined("/", a * b % PRIME, (a + b) % PRIME), (_value(a, point) for a in arguments)
            )
        case _:
            raise _NoQuotientError


def _of_fraction(fraction: Fraction) -> int:
    return _joined("/", fraction.numerator % PRIME, fraction.denominator % PRIME)


def _joined(operator: str, left: int, right: int) -> int:
    match operator:
        case "+":
            return (left + right) % PRIME
        case "-":
            return (left - right) % PRIME
        case "*":
            return left * right % PRIME
        case _:
            if right == 0:
                raise ZeroDivisionError
            return left * pow(right, -1, PRIME) % PRIME


def _whole(exponent: Expression) -> int:
    """Return a fixed whole exponent."""
    if names_in(exponent):
        raise _NoQuotientError
    try:
        value = evaluate(exponent, {})
    except ExpressionError as error:
        raise _NoQuotientError from error
    if not value.is_integer():
        raise _NoQuotientError
    return int(value)


def _raised(base: int, exponent: int) -> int:
    if base == 0 and exponent <= 0:
        raise ZeroDivisionError
    return pow(base, exponent, PRIME)


def _square(node: Expression, point: Mapping[str, int]) -> int:
    match node:
        case Call("sqrt", (inner,)) | Binary("**", inner, Number(0.5)):
            return _value(inner, point)
        case Call("abs", (inner,)) | Negative(inner):
            return _square(inner, point)
        case Binary("*" | "/" as operator, left, right):
            return _joined(operator, _square(left, point), _square(right, point))
        case _:
            return _raised(_value(node, point), 2)
