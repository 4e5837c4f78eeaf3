"""Formulas of steps: built without the noughts and ones that nobody writes, and worked out with phasors.

At ac a formula may hold `j`, the turn by 90°; everything else is the arithmetic of `expressions`.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterable, Mapping
from functools import reduce

from tutor.circuits.errors import ExpressionError, NoValueError
from tutor.circuits.expressions import Binary, Call, Comparison, Expression, Name, Negative, Number
from tutor.circuits.expressions.evaluation import FUNCTIONS

ZERO = Number(0.0, text="0")
ONE = Number(1.0, text="1")
TWO = Number(2.0, text="2")
J = Name("j")
TWO_PI = Binary("*", TWO, Number(cmath.pi, text="pi"))
MOST_POWER = 64


def is_zero(expression: Expression) -> bool:
    """Tell whether a formula is the number nought."""
    return isinstance(expression, Number) and expression.value == 0


def is_one(expression: Expression) -> bool:
    """Tell whether a formula is the number one."""
    return isinstance(expression, Number) and expression.value == 1 and not expression.unit.symbol


def number(value: int) -> Number:
    """Return a whole number."""
    return Number(float(value), text=str(value))


def plus(*terms: Expression) -> Expression:
    """Return a sum; noughts are left out, and what is negative is taken away."""
    total: Expression = ZERO
    kept = [term for term in terms if not is_zero(term)]
    # A sum reads better when it does not begin with a sign.
    kept.sort(key=lambda term: isinstance(term, Negative))
    for term in kept:
        if is_zero(total):
            total = term
        elif isinstance(term, Negative):
            total = Binary("-", total, term.operand)
        else:
            total = Binary("+", total, term)
    return total


def minus(left: Expression, right: Expression) -> Expression:
    """Return a difference."""
    return left if left != right and is_zero(right) else ZERO if left == right else plus(left, negative(right))


def negative(operand: Expression) -> Expression:
    """Return the operand with its sign turned."""
    if is_zero(operand):
        return ZERO
    return operand.operand if isinstance(operand, Negative) else Negative(operand)


def times(*factors: Expression) -> Expression:
    """Return a product; a nought makes all of it nought, ones are left out, a sign goes to the front."""
    if any(is_zero(factor) for factor in factors):
        return ZERO
    plain = [factor.operand if isinstance(factor, Negative) else factor for factor in factors]
    signs = sum(isinstance(factor, Negative) for factor in factors)
    kept = [factor for factor in plain if not is_one(factor)]
    product = reduce(lambda a, b: Binary("*", a, b), kept) if kept else ONE
    return Negative(product) if signs % 2 else product


def over(left: Expression, right: Expression) -> Expression:
    """Return a quotient."""
    if is_zero(left) or is_one(right):
        return left
    if left == right:
        return ONE
    if isinstance(left, Negative):
        return negative(over(left.operand, right))
    if isinstance(right, Negative):
        return negative(over(left, right.operand))
    if isinstance(right, Binary) and right.operator == "/" and right.left == left:
        return right.right
    return Binary("/", left, right)


def squared(base: Expression) -> Expression:
    """Return a square."""
    return Binary("**", base, TWO)


def parallel(*values: Expression) -> Expression:
    """Return the parallel value of resistances: product over sum for two names, `∥` for more."""
    if len(values) == 1:
        return values[0]
    if len(values) == 2 and all(isinstance(value, Name) for value in values):
        return Binary("/", Binary("*", *values), Binary("+", *values))
    return Call("parallel", tuple(values))


def root_of_squares(real: Expression, imaginary: Expression) -> Expression:
    """Return the size of a resistance and a reactance in series."""
    real, imaginary = (side.operand if isinstance(side, Negative) else side for side in (real, imaginary))
    if is_zero(imaginary):
        return real
    if is_zero(real):
        return imaginary if isinstance(imaginary, Name) else Call("abs", (imaginary,))
    return Call("sqrt", (plus(Binary("**", real, TWO), Binary("**", imaginary, TWO)),))


def tidied(node: Expression) -> Expression:
    """Return a formula without signs that cancel, after names in it were replaced."""
    match node:
        case Negative(operand):
            return negative(tidied(operand))
        case Binary("+", left, right):
            return plus(tidied(left), tidied(right))
        case Binary("-", left, right):
            return minus(tidied(left), tidied(right))
        case Binary("*", left, right):
            return times(tidied(left), tidied(right))
        case Binary("/", left, right):
            return over(tidied(left), tidied(right))
        case Call(function, arguments):
            inner = tuple(tidied(argument) for argument in arguments)
            even = function in ("abs", "db") and isinstance(inner[0], Negative)
            return Call(function, (inner[0].operand,) if even and isinstance(inner[0], Negative) else inner)
        case _:
            return node


def value_of(expression: Expression, values: Mapping[str, complex]) -> complex:
    """Return the value of a formula over phasors.

    Raises:
        NoValueError: If a name has no value, or where the arithmetic gives none (division by nought).
    """
    try:
        return _value(expression, {**values, "j": 1j})
    except KeyError as error:
        raise NoValueError(str(error.args[0]), "it has no value here") from error
    except (ArithmeticError, ValueError) as error:
        raise NoValueError("the formula", f"it has no value: {error}") from error


def _value(node: Expression, values: Mapping[str, complex]) -> complex:
    match node:
        case Number(value):
            return complex(value)
        case Name(name):
            return complex(values[name])
        case Negative(operand):
            return -_value(operand, values)
        case Binary(operator, left, right):
            return _binary(operator, _value(left, values), _value(right, values))
        case Call("parallel", arguments):
            return reduce(lambda a, b: a * b / (a + b), (_value(a, values) for a in arguments))
        case Call("sqrt", (argument,)):
            return cmath.sqrt(_value(argument, values))
        case Call("abs", (argument,)):
            return complex(abs(_value(argument, values)))
        case Call("db", (argument,)):
            return complex(FUNCTIONS["db"].scalar(abs(_value(argument, values))))
        case Call(function, arguments):
            return complex(FUNCTIONS[function].scalar(*(_value(a, values).real for a in arguments)))
        case Comparison(("==",), (left, right)):
            # An equation: how far its sides are apart.
            return _value(left, values) - _value(right, values)
        case _:
            raise ExpressionError("a condition", "a value is wanted")


def _binary(operator: str, left: complex, right: complex) -> complex:
    match operator:
        case "+":
            return left + right
        case "-":
            return left - right
        case "*":
            return left * right
        case "/":
            return left / right
        case _:
            if abs(right) > MOST_POWER:
                raise OverflowError("an exponent beyond 64")
            return left**right


def sum_of(terms: Iterable[Expression]) -> Expression:
    """Return the sum of any number of terms."""
    return plus(*terms)
