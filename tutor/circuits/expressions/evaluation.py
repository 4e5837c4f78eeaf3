"""Values of expressions: one number at a time, or as source code for arrays of draws.

Both forms follow the same table of functions. Scalars use the `math` module; generated source is run with the namespace
`scalar_namespace()` or `array_namespace()`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Any

from tutor.circuits.errors import ExpressionError, NoValueError
from tutor.circuits.expressions.tree import (
    Binary,
    Call,
    Comparison,
    Expression,
    Logic,
    Name,
    Negative,
    Number,
)

_STRENGTH = {"or": 1, "and": 2, "not": 3, "+": 5, "-": 5, "*": 6, "/": 6, "**": 8}
"""How strongly an operator binds, as in Python (a comparison 3, a sign 6); what binds less than wanted is bracketed."""
_SIDES = {"+": (5, 6), "-": (5, 6), "*": (6, 7), "/": (6, 7), "**": (9, 7)}
_STRONGEST = 9

MANY = 12  # arguments of min, max and parallel at most


@dataclass(frozen=True, slots=True)
class Function:
    """One admitted function: its scalar form and how many arguments it takes."""

    scalar: Callable[..., float]
    fewest: int = 1
    most: int = 1


def parallel(*values: float) -> float:
    """Return the parallel value of resistances (or of capacitances in series).

    Written with products, so that a short (0 Ω) gives 0 and not a division by zero.
    """
    return reduce(lambda a, b: a * b / (a + b), values)


def db(ratio: float) -> float:
    """Return 20 log₁₀ of the magnitude of a voltage or current ratio [dB]."""
    return 20 * math.log10(abs(ratio))


FUNCTIONS: dict[str, Function] = {
    "sqrt": Function(math.sqrt),
    "exp": Function(math.exp),
    "log": Function(math.log),
    "log10": Function(math.log10),
    "sin": Function(math.sin),
    "cos": Function(math.cos),
    "tan": Function(math.tan),
    "atan": Function(math.atan),
    "abs": Function(abs),
    "min": Function(min, 2, MANY),
    "max": Function(max, 2, MANY),
    "parallel": Function(parallel, 2, MANY),
    "db": Function(db),
}

_COMPARE: dict[str, Callable[[float, float], bool]] = {
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
    "==": lambda a, b: a == b,
    "!=": lambda a, b: a != b,
}


def evaluate(expression: Expression, values: Mapping[str, float]) -> float:
    """Return the value of an expression.

    Args:
        expression: The tree.
        values: Named values in coherent SI units.

    Returns:
        The value in coherent SI units; a condition gives 1.0 or 0.0.

    Raises:
        ExpressionError: If a name has no value; lists those that have.
        NoValueError: If there is no finite real value (a division by zero, the root of a negative number).
    """
    try:
        value = _value(expression, values)
    except KeyError as error:
        name = str(error.args[0])
        raise ExpressionError(name, f"it has no value here; there are {', '.join(values) or 'none'}") from error
    except ZeroDivisionError as error:
        raise NoValueError(describe(expression), "it divides by zero") from error
    except OverflowError as error:
        raise NoValueError(describe(expression), "it grows beyond every bound") from error
    except (ValueError, TypeError) as error:
        raise NoValueError(describe(expression), "it takes a root or logarithm of an impossible number") from error
    if isinstance(value, complex) or not math.isfinite(value):
        raise NoValueError(describe(expression), "it has no finite real value")
    return float(value)


def _value(node: Expression, values: Mapping[str, float]) -> Any:
    match node:
        case Number(value):
            return value
        case Name(name):
            return values[name]
        case Negative(operand):
            return -_value(operand, values)
        case Binary(operator, left, right):
            return _binary(operator, _value(left, values), _value(right, values))
        case Call(function, arguments):
            return FUNCTIONS[function].scalar(*(_value(a, values) for a in arguments))
        case Comparison(operators, operands):
            numbers = [_value(o, values) for o in operands]
            pairs = zip(operators, numbers, numbers[1:], strict=False)
            return all(_COMPARE[o](a, b) for o, a, b in pairs)
        case Logic("and", operands):
            return all(_value(o, values) for o in operands)
        case Logic("or", operands):
            return any(_value(o, values) for o in operands)
        case Logic(_, operands):
            return not _value(operands[0], values)


def _binary(operator: str, left: Any, right: Any) -> Any:
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
            # Floats throughout: whole numbers would be raised exactly, and without bound.
            base, exponent = float(left), float(right)
            if base < 0 and not exponent.is_integer():
                raise ValueError("the root of a negative number")
            return base**exponent


# -- generated source ------------------------------------------------------------------------------------------------
def as_source(expression: Expression, spell: Callable[[str], str]) -> str:
    """Return Python source for an expression, for scalars and arrays alike.

    Args:
        expression: The tree.
        spell: Gives the variable that holds a named value.

    Returns:
        One name, number, call or bracketed expression, to be run with `scalar_namespace()` or `array_namespace()`.
        Inside it brackets stand only where the order of operations needs them: Python reads no more than 200 deep.
    """
    return _source(expression, _STRONGEST, spell)


def _source(node: Expression, outer: int, spell: Callable[[str], str]) -> str:
    match node:
        case Number(value):
            return _bracketed(repr(float(value)), value < 0)
        case Name(name):
            return spell(name)
        case Negative(operand):
            return _bracketed(f"-{_source(operand, 7, spell)}", outer > 6)
        case Binary(operator, left, right):
            first, second = _SIDES[operator]
            body = f"{_source(left, first, spell)} {operator} {_source(right, second, spell)}"
            return _bracketed(body, outer > _STRENGTH[operator])
        case Call(function, arguments):
            return f"{function}_({', '.join(_source(a, 0, spell) for a in arguments)})"
        case Comparison(operators, operands):
            spelt = [_source(o, 5, spell) for o in operands]
            pairs = [f"({a} {o} {b})" for o, a, b in zip(operators, spelt, spelt[1:], strict=False)]
            return pairs[0] if len(pairs) == 1 else f"({' & '.join(pairs)})"
        case Logic("not", operands):
            return f"not_({_source(operands[0], 0, spell)})"
        case Logic(word, operands):
            # Not Python's own words, which arrays do not understand; conditions come in brackets of their own.
            sign = " & " if word == "and" else " | "
            return f"({sign.join(_source(o, _STRONGEST, spell) for o in operands)})"


def scalar_namespace() -> dict[str, Any]:
    """Return the functions that generated source needs for single numbers."""
    namespace: dict[str, Any] = {f"{name}_": function.scalar for name, function in FUNCTIONS.items()}
    return namespace | {"not_": lambda condition: not condition, "pi_": math.pi}


def array_namespace() -> dict[str, Any]:
    """Return the functions that generated source needs for arrays of draws, shape (draws,)."""
    import numpy as np  # loaded here, so that serving single questions needs no NumPy

    def array_db(ratio: Any) -> Any:
        return 20 * np.log10(np.abs(ratio))

    return {
        "sqrt_": np.sqrt,
        "exp_": np.exp,
        "log_": np.log,
        "log10_": np.log10,
        "sin_": np.sin,
        "cos_": np.cos,
        "tan_": np.tan,
        "atan_": np.arctan,
        "abs_": np.abs,
        "min_": lambda *values: reduce(np.minimum, values),
        "max_": lambda *values: reduce(np.maximum, values),
        "parallel_": parallel,
        "db_": array_db,
        "not_": np.logical_not,
        "pi_": math.pi,
    }


# -- back to text ----------------------------------------------------------------------------------------------------


def describe(expression: Expression) -> str:
    """Return the expression as text that reads back into the same tree."""
    return _text(expression, 0)


def _text(node: Expression, outer: int) -> str:
    match node:
        case Number():
            return _bracketed(_number_text(node), node.value < 0)
        case Name(name):
            return name
        case Negative(operand):
            return _bracketed(f"-{_text(operand, 7)}", outer > 6)
        case Binary(operator, left, right):
            first, second = _SIDES[operator]
            space = " " if operator in "+-" else ""
            body = f"{_text(left, first)}{space}{operator}{space}{_text(right, second)}"
            return _bracketed(body, outer > _STRENGTH[operator])
        case Call(function, arguments):
            return f"{function}({', '.join(_text(a, 5) for a in arguments)})"
        case Comparison(operators, operands):
            pieces = [_text(operands[0], 5)]
            for operator, operand in zip(operators, operands[1:], strict=True):
                pieces.append(f"{operator} {_text(operand, 5)}")
            return _bracketed(" ".join(pieces), outer > 3)
        case Logic("not", operands):
            return _bracketed(f"not {_text(operands[0], 3)}", outer > 3)
        case Logic(word, operands):
            strength = _STRENGTH[word]
            body = f" {word} ".join(_text(o, strength + 1) for o in operands)
            return _bracketed(body, outer > strength)


def _number_text(number: Number) -> str:
    """Return a number as it was written, or as it would be."""
    if number.text:
        return number.text
    figures = repr(float(number.value)).removesuffix(".0")
    return f"{figures} {number.unit.symbol}".rstrip()


def _bracketed(text: str, needed: bool) -> str:
    return f"({text})" if needed else text
