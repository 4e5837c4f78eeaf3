"""The derivative of an expression, as an expression: how a figure moves with a value that it is worked out from."""

from __future__ import annotations

from collections.abc import Callable

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.expressions.tree import Binary, Call, Expression, Name, Negative, Number, names_in

ZERO, ONE, TWO = Number(0.0, text="0"), Number(1.0, text="1"), Number(2.0, text="2")


def derivative(expression: Expression, name: str) -> Expression:
    """Return the derivative of an expression with respect to a named value.

    Args:
        expression: The tree, made of arithmetic and of `sqrt exp log log10 sin cos tan atan db parallel`.
        name: The value that moves; all others are held still.

    Returns:
        The derivative, with noughts and ones left out.

    Raises:
        ExpressionError: If the expression has no derivative everywhere: a condition, `abs`, `min` or `max`.
    """
    if name not in names_in(expression):
        return ZERO
    match expression:
        case Name():
            return ONE
        case Negative(operand):
            return Negative(derivative(operand, name))
        case Binary("**", left, right):
            return _power(expression, (left, right), name)
        case Binary(operator, left, right):
            return _joined(operator, left, right, name)
        case Call("parallel", arguments):
            # 1/y = Σ 1/x, hence dy = y² Σ dx/x².
            terms = [_over(derivative(x, name), _times(x, x)) for x in arguments]
            total = terms[0]
            for term in terms[1:]:
                total = _plus(total, term)
            return _times(_times(expression, expression), total)
        case Call(function, (inner,)) if function in _OUTER:
            return _times(_OUTER[function](inner), derivative(inner, name))
        case _:
            raise ExpressionError(describe(expression), "it has no derivative everywhere")


def _joined(operator: str, left: Expression, right: Expression, name: str) -> Expression:
    a, b = derivative(left, name), derivative(right, name)
    match operator:
        case "+":
            return _plus(a, b)
        case "-":
            return _minus(a, b)
        case "*":
            return _plus(_times(a, right), _times(left, b))
        case _:
            return _minus(_over(a, right), _over(_times(left, b), _times(right, right)))


def _power(whole: Expression, sides: tuple[Expression, Expression], name: str) -> Expression:
    base, exponent = sides
    inner, outer = derivative(base, name), derivative(exponent, name)
    by_base = _times(_times(exponent, Binary("**", base, _minus(exponent, ONE))), inner)
    if outer == ZERO:
        return by_base
    return _plus(by_base, _times(_times(whole, Call("log", (base,))), outer))


_OUTER: dict[str, Callable[[Expression], Expression]] = {
    "sqrt": lambda x: _over(ONE, _times(TWO, Call("sqrt", (x,)))),
    "exp": lambda x: Call("exp", (x,)),
    "log": lambda x: _over(ONE, x),
    "log10": lambda x: _over(ONE, _times(x, Call("log", (Number(10.0, text="10"),)))),
    "sin": lambda x: Call("cos", (x,)),
    "cos": lambda x: Negative(Call("sin", (x,))),
    "tan": lambda x: _plus(ONE, _times(Call("tan", (x,)), Call("tan", (x,)))),
    "atan": lambda x: _over(ONE, _plus(ONE, _times(x, x))),
    "db": lambda x: _over(Number(20.0, text="20"), _times(x, Call("log", (Number(10.0, text="10"),)))),
}


def _plus(a: Expression, b: Expression) -> Expression:
    return b if a == ZERO else a if b == ZERO else Binary("+", a, b)


def _minus(a: Expression, b: Expression) -> Expression:
    return a if b == ZERO else Negative(b) if a == ZERO else Binary("-", a, b)


def _times(a: Expression, b: Expression) -> Expression:
    if ZERO in (a, b):
        return ZERO
    return b if a == ONE else a if b == ONE else Binary("*", a, b)


def _over(a: Expression, b: Expression) -> Expression:
    return ZERO if a == ZERO else a if b == ONE else Binary("/", a, b)
