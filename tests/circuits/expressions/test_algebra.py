from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given, settings

from tests.circuits.expressions.trees import NAMES, plain, sums
from tutor.circuits.errors import NoValueError
from tutor.circuits.expressions import Expression, evaluate, read_expression
from tutor.circuits.expressions.algebra import as_quotient, rational_field

FIELD, GENERATORS = rational_field((*NAMES, "R2"))


def quotient(text: str) -> Any:
    return as_quotient(read_expression(text), GENERATORS, FIELD)


SAME = [
    ("a*b/(a + b)", "1/(1/a + 1/b)"),
    ("a*b/(a + b)", "parallel(a, b)"),
    ("(a + b)**2", "a**2 + 2*a*b + b**2"),
    ("(a**2 - b**2)/(a - b)", "a + b"),
    ("a**-2", "1/(a*a)"),
    ("2*pi*a/pi", "2*a"),
    ("0.1 + 0.2", "0.3"),
    ("4.7 kΩ*a", "4700*a"),
    ("-(a - b)", "b - a"),
    ("parallel(a, b, R2)", "1/(1/a + 1/b + 1/R2)"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_two_spellings_of_one_formula_are_one_quotient(one: str, other: str) -> None:
    assert quotient(one) == quotient(other)


def test_another_formula_is_another_quotient() -> None:
    assert quotient("a*b/(a + b)") != quotient("a*b/(a - b)")


@pytest.mark.parametrize(
    "text",
    ["sqrt(a)", "a**0.5", "a**b", "a**13", "exp(a)", "max(a, b)", "1/(a - a)", "(a - a)**-1", "parallel(a, -a)",
     "parallel(a, sqrt(b))", "a < b", "db(a)", "unknown", "(a - a)**0", "*".join(["(a + b + R1 + v_tap + x_1)"] * 40),
     "((a + b + R1)**12 + v_tap)**12"],
)  # fmt: skip
def test_what_is_no_quotient_of_polynomials_is_none(text: str) -> None:
    assert quotient(text) is None


VALUES = {"a": 2.0, "b": -3.0, "R1": 4.0, "v_tap": 7.0, "x_1": 0.5}


@given(sums)
@settings(max_examples=60)
def test_a_quotient_has_the_value_of_its_expression(tree: Expression) -> None:
    tree = plain(tree)
    found = as_quotient(tree, GENERATORS, FIELD)
    assume(found is not None)
    try:
        expected = evaluate(tree, VALUES)
    except NoValueError:
        assume(False)
    exact = {**{name: Fraction(value) for name, value in VALUES.items()}, "R2": Fraction(0), "pi": Fraction(math.pi)}
    numbers = [exact[str(generator)] for generator in FIELD.gens]
    below = _value(found.denom, numbers)
    assume(below != 0)
    assert float(_value(found.numer, numbers) / below) == pytest.approx(expected, rel=1e-6, abs=1e-12)


def _value(polynomial: Any, numbers: list[Fraction]) -> Fraction:
    total = Fraction(0)
    for exponents, coefficient in polynomial.terms():
        product = Fraction(int(coefficient.numerator), int(coefficient.denominator))
        for number, exponent in zip(numbers, exponents, strict=True):
            product *= number**exponent
        total += product
    return total
