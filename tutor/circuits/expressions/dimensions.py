"""Dimensional analysis of expressions: volts plus ohms is a mistake, whatever the numbers."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from tutor.circuits.errors import ExpressionError, shortened, with_article
from tutor.circuits.expressions.evaluation import describe, evaluate
from tutor.circuits.expressions.tree import (
    Binary,
    Call,
    Comparison,
    Expression,
    Logic,
    Name,
    Negative,
    Number,
    names_in,
)
from tutor.quantities import DIMENSIONLESS, Dimension


def dimension_of(expression: Expression, dimensions: Mapping[str, Dimension]) -> Dimension:
    """Return the dimension of an expression.

    Args:
        expression: The tree.
        dimensions: The dimension of every named value.

    Returns:
        The dimension; conditions are dimensionless.

    Raises:
        ExpressionError: If unlike quantities are added or compared, a function is given a quantity with a dimension, or
            a name has none; says which piece and what each side is.
    """
    match expression:
        case Number(_, unit):
            return unit.dimension
        case Name(name):
            if name not in dimensions:
                raise ExpressionError(name, f"it has no unit here; known are {', '.join(dimensions) or 'none'}")
            return dimensions[name]
        case Negative(operand):
            return dimension_of(operand, dimensions)
        case Binary("**", left, right):
            return _power(expression, left, right, dimensions)
        case Binary("*", left, right):
            return dimension_of(left, dimensions) * dimension_of(right, dimensions)
        case Binary("/", left, right):
            return dimension_of(left, dimensions) / dimension_of(right, dimensions)
        case Binary():
            return _sum(expression, dimensions)
        case Call(function, arguments):
            return _called(expression, function, arguments, dimensions)
        case Comparison(_, operands):
            _alike(expression, operands, dimensions)
            return DIMENSIONLESS
        case Logic(_, operands):
            for operand in operands:
                dimension_of(operand, dimensions)
            return DIMENSIONLESS


def _sum(expression: Binary, known: Mapping[str, Dimension]) -> Dimension:
    """Return the dimension of a sum, walking down its left side: a long sum is a deep tree."""
    steps: list[Binary] = []
    first: Expression = expression
    while isinstance(first, Binary) and first.operator in ("+", "-"):
        steps.append(first)
        first = first.left
    dimension = dimension_of(first, known)
    for step in reversed(steps):
        _same(step, (step.left, dimension), (step.right, dimension_of(step.right, known)))
    return dimension


def _alike(whole: Expression, operands: tuple[Expression, ...], known: Mapping[str, Dimension]) -> Dimension:
    first = dimension_of(operands[0], known)
    for operand in operands[1:]:
        _same(whole, (operands[0], first), (operand, dimension_of(operand, known)))
    return first


def _same(whole: Expression, first: tuple[Expression, Dimension], other: tuple[Expression, Dimension]) -> None:
    if first[1] != other[1]:
        one, two = (shortened(describe(operand)) for operand, _ in (first, other))
        reason = (
            f"{one} is {with_article(first[1].name)} and {two} {with_article(other[1].name)}: "
            "they can be neither added nor compared"
        )
        raise ExpressionError(describe(whole), reason)


def _power(whole: Expression, base: Expression, exponent: Expression, known: Mapping[str, Dimension]) -> Dimension:
    dimension = dimension_of(base, known)
    if dimension_of(exponent, known) != DIMENSIONLESS:
        raise ExpressionError(describe(whole), f"the exponent {describe(exponent)} must be a plain number")
    if dimension == DIMENSIONLESS:
        return DIMENSIONLESS
    if names_in(exponent):
        reason = f"{with_article(dimension.name)} can only be raised to a fixed power"
        raise ExpressionError(describe(whole), reason)
    return dimension ** Fraction(evaluate(exponent, {})).limit_denominator(12)


def _called(
    whole: Expression, function: str, arguments: tuple[Expression, ...], known: Mapping[str, Dimension]
) -> Dimension:
    if function in ("min", "max", "parallel"):
        return _alike(whole, arguments, known)
    dimension = dimension_of(arguments[0], known)
    if function == "sqrt":
        return dimension ** Fraction(1, 2)
    if function == "abs":
        return dimension
    if dimension != DIMENSIONLESS:
        argument = shortened(describe(arguments[0]))
        reason = f"{function} wants a plain number, and {argument} is {with_article(dimension.name)}"
        raise ExpressionError(describe(whole), reason)
    return DIMENSIONLESS
