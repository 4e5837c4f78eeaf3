"""Arithmetic with formulas, against arithmetic with numbers put in."""

from __future__ import annotations

import pytest

from tutor.circuits.errors import FormulaTooLongError, SingularCircuitError
from tutor.circuits.formula import Formula
from tutor.circuits.formula_algebra import (
    by_powers,
    derivative,
    factored_text,
    in_brackets,
    minus,
    named,
    negative,
    over,
    plus,
    quotient_text,
    times,
    whole_number,
)

NONE = (0, 0, 0)
A, B, C = (Formula(("a", "b", "c"), ((exponents, 1),), ((NONE, 1),)) for exponents in ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
VALUES = {"a": 3.0, "b": 5.0, "c": 7.0}


def divider() -> Formula:
    return over(A, plus(A, B))


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        (plus(A, B), 8.0),
        (minus(A, B), -2.0),
        (negative(A), -3.0),
        (times(divider(), C), 21 / 8),
        (over(divider(), C), 3 / 56),
        (plus(divider(), over(B, plus(A, B))), 1.0),
        (minus(divider(), over(C, B)), 3 / 8 - 7 / 5),
        (whole_number(0), 0.0),
    ],
)
def test_a_formula_made_of_others_has_the_value_made_of_theirs(formula: Formula, value: float) -> None:
    assert formula.value(VALUES) == pytest.approx(value, rel=1e-15)


def test_results_are_in_lowest_terms() -> None:
    assert plus(divider(), over(B, plus(A, B))).text() == "1"
    assert over(times(A, B), times(A, C)).text() == "b/c"
    assert minus(A, A).numerator == ()


def test_the_frequency_stands_last_however_formulas_are_joined() -> None:
    assert times(named("s"), A).symbols == ("a", "b", "c", "s")
    assert times(A, named("s")).symbols == ("a", "b", "c", "s")


def test_nothing_divides_by_nought() -> None:
    with pytest.raises(SingularCircuitError, match="divides by nought whatever the values"):
        over(A, minus(B, B))


def test_a_product_beyond_reading_is_refused() -> None:
    long = Formula(tuple("abc"), tuple(((n, n + 1, 0), 1) for n in range(700)), ((NONE, 1),))
    with pytest.raises(FormulaTooLongError):
        times(long, long)


@pytest.mark.parametrize("name", ["a", "b", "c"])
def test_a_derivative_is_what_a_small_step_shows(name: str) -> None:
    formula = over(times(A, times(A, C)), plus(times(A, B), C))
    step = 1e-5
    ends = [formula.value({**VALUES, name: VALUES[name] + way * step}) for way in (1, -1)]
    assert derivative(formula, name).value(VALUES) == pytest.approx((ends[0] - ends[1]) / (2 * step), rel=1e-8)


def test_the_derivative_of_a_divider_is_the_textbooks() -> None:
    assert quotient_text(derivative(divider(), "a")) == "b/(a**2 + 2*a*b + b**2)"
    assert derivative(divider(), "z").numerator == ()


def test_powers_of_one_symbol_are_told_apart() -> None:
    side = plus(plus(times(A, times(B, B)), B), C).numerator
    coefficients = by_powers(side, ("a", "b", "c"), "b")
    assert [coefficient.text() for coefficient in coefficients] == ["c", "1", "a"]
    assert [coefficient.text() for coefficient in by_powers(side, ("a", "b", "c"), "s")] == ["b + c + a*b**2"]


def test_what_all_terms_share_stands_in_front_of_a_bracket() -> None:
    assert factored_text(over(plus(times(A, B), times(A, C)), B)) == ("a*(b + c)", "b")
    assert quotient_text(over(plus(A, B), C)) == "(a + b)/c"
    assert quotient_text(over(A, times(B, C))) == "a/(b*c)"
    assert in_brackets("R_1") == "R_1"
    assert in_brackets("a + b") == "(a + b)"
