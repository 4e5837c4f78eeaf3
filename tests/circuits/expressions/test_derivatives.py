"""Derivatives of expressions, against what a small step shows."""

from __future__ import annotations

import pytest

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import derivative, evaluate, names_in, read_expression
from tutor.circuits.expressions.evaluation import describe

VALUES = {"x": 1.7, "y": 0.6}


@pytest.mark.parametrize(
    "text",
    [
        "x", "-x", "3*x*y", "x/(x + y)", "y/x", "x**3", "x**y", "2**x", "y**x", "x - y*x", "sqrt(x*y)", "exp(-x/y)",
        "log(x)", "log10(x + y)", "sin(x)", "cos(x*y)", "tan(x)", "atan(x/y)", "db(x)", "parallel(x, y)",
        "parallel(x, 2*x, y)", "x*(1 - exp(-y/x))", "1/(2*pi*sqrt(x*y))", "(x + y)**-2",
    ],
)  # fmt: skip
@pytest.mark.parametrize("name", ["x", "y"])
def test_a_derivative_is_what_a_small_step_shows(text: str, name: str) -> None:
    expression = read_expression(text)
    step = 1e-5
    ends = [evaluate(expression, {**VALUES, name: VALUES[name] + way * step}) for way in (1, -1)]
    expected = (ends[0] - ends[1]) / (2 * step)
    assert evaluate(derivative(expression, name), VALUES) == pytest.approx(expected, rel=1e-8, abs=1e-10)


def test_what_does_not_move_has_none() -> None:
    assert describe(derivative(read_expression("abs(y) + 4"), "x")) == "0"


def test_noughts_and_ones_are_left_out() -> None:
    assert describe(derivative(read_expression("x*y + 3"), "x")) == "y"
    assert names_in(derivative(read_expression("3*x"), "x")) == ()


@pytest.mark.parametrize("text", ["abs(x)", "min(x, y)", "max(x, 1)", "x > y"])
def test_a_corner_in_a_curve_has_no_derivative(text: str) -> None:
    with pytest.raises(ExpressionError, match="it has no derivative everywhere"):
        derivative(read_expression(text), "x")
