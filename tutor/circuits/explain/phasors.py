"""Magnitude and angle of a formula with `j` in it, again as formulas: |R + jX| becomes √(R² + X²)."""

from __future__ import annotations

from collections.abc import Mapping

from tutor.circuits.explain.arithmetic import ONE, ZERO, J, is_zero, minus, negative, over, plus, root_of_squares, times
from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, Number, names_in

Values = Mapping[str, complex]


def has_angle(expression: Expression, values: Values) -> bool:
    """Tell whether a formula holds `j` or a name whose value has an angle."""
    return any(name == J.name or _is_phasor(name, values) for name in names_in(expression))


def _is_phasor(name: str, values: Values) -> bool:
    value = values.get(name, 0j)
    return abs(value.imag) > 1e-12 * abs(value)


def size_of(expression: Expression, values: Values) -> Expression:
    """Return the formula of the magnitude."""
    match expression:
        case Negative(operand):
            return size_of(operand, values)
        case Number():
            return expression
        case Name(name):
            if name == J.name:
                return ONE
            return Call("abs", (expression,)) if _is_phasor(name, values) or _is_below(name, values) else expression
        case Binary("*", left, right):
            return times(size_of(left, values), size_of(right, values))
        case Binary("/", left, right):
            return over(size_of(left, values), size_of(right, values))
        case Binary("+" | "-", _, _):
            parts = split(expression, values)
            return Call("abs", (expression,)) if parts is None else root_of_squares(*parts)
        case _:
            return Call("abs", (expression,))


def _is_below(name: str, values: Values) -> bool:
    return values.get(name, 0j).real < 0


def split(expression: Expression, values: Values) -> tuple[Expression, Expression] | None:
    """Return the real and the imaginary part of a sum; None where a name in it has both."""
    match expression:
        case Binary("+", left, right):
            first, second = split(left, values), split(right, values)
            if first is None or second is None:
                return None
            return plus(first[0], second[0]), plus(first[1], second[1])
        case Binary("-", left, right):
            first, second = split(left, values), split(right, values)
            if first is None or second is None:
                return None
            return minus(first[0], second[0]), minus(first[1], second[1])
        case Negative(operand):
            parts = split(operand, values)
            return None if parts is None else (negative(parts[0]), negative(parts[1]))
        case Binary("*", left, right) if left == J:
            return None if has_angle(right, values) else (ZERO, right)
        case Name(name) if name == J.name:
            return ZERO, ONE
        case _:
            return None if has_angle(expression, values) else (expression, ZERO)


def angle_of(expression: Expression, values: Values) -> Expression | None:
    """Return the formula of the angle [rad]; None where a name in it has an angle of its own."""
    match expression:
        case Binary("*", left, right):
            return _joined(left, right, values, 1)
        case Binary("/", left, right):
            return _joined(left, right, values, -1)
        case _:
            parts = split(expression, values)
            if parts is None:
                return None
            real, imaginary = parts
            if is_zero(imaginary):
                return ZERO
            if is_zero(real):
                return None if isinstance(imaginary, Binary) else _quarter(isinstance(imaginary, Negative))
            return _arc(imaginary, real)


def _arc(imaginary: Expression, real: Expression) -> Expression:
    if isinstance(imaginary, Negative):
        return negative(Call("atan", (over(imaginary.operand, real),)))
    return Call("atan", (over(imaginary, real),))


def _quarter(below: bool) -> Expression:
    quarter = Binary("/", Number(3.141592653589793, text="pi"), Number(2.0, text="2"))
    return negative(quarter) if below else quarter


def _joined(left: Expression, right: Expression, values: Values, sign: int) -> Expression | None:
    first, second = angle_of(left, values), angle_of(right, values)
    if first is None or second is None:
        return None
    return plus(first, second) if sign > 0 else minus(first, second)


def in_degrees(angle: Expression) -> Expression:
    """Return an angle in degrees; quarters of a turn are written as such."""
    match angle:
        case Binary("+", left, right):
            return plus(in_degrees(left), in_degrees(right))
        case Binary("-", left, right):
            return minus(in_degrees(left), in_degrees(right))
        case Negative(operand):
            return negative(in_degrees(operand))
        case Binary("/", Number(text="pi"), Number(text="2")):
            return Number(90.0, text="90")
        case _:
            return over(times(angle, Number(180.0, text="180")), Number(3.141592653589793, text="pi"))
