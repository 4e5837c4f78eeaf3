from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.circuits.polynomial import ONE, ZERO, Polynomial, symbol, whole

NAMES = ("a", "b", "c")
monomials = st.dictionaries(st.sampled_from(NAMES), st.integers(-2, 2).filter(bool), max_size=3).map(
    lambda exponents: tuple(sorted(exponents.items()))
)
polynomials = st.dictionaries(monomials, st.integers(-3, 3), max_size=4).map(Polynomial.of)
VALUES = {"a": 2.0, "b": -4.0, "c": 0.5}


def test_terms_alike_are_collected_and_noughts_dropped() -> None:
    assert symbol("a") + symbol("a") == Polynomial(((((("a", 1),)), 2),))
    assert not symbol("a") - symbol("a")
    assert symbol("a") * symbol("a", -1) == ONE
    assert whole(0) == ZERO
    assert whole(3).value({}) == 3.0


def test_terms_without_a_symbol_are_what_is_left_when_it_tends_to_nought() -> None:
    assert (symbol("a") * symbol("b") + symbol("b") + ONE).without("a") == symbol("b") + ONE


def test_symbols_are_those_that_occur() -> None:
    assert (symbol("a") * symbol("b", -1) - ONE).symbols() == {"a", "b"}


@given(polynomials, polynomials)
def test_sums_and_products_have_the_values_of_their_parts(one: Polynomial, other: Polynomial) -> None:
    a, b = one.value(VALUES), other.value(VALUES)
    assert (one + other).value(VALUES) == pytest.approx(a + b)
    assert (one - other).value(VALUES) == pytest.approx(a - b)
    assert (one * other).value(VALUES) == pytest.approx(a * b)


@given(polynomials, polynomials, polynomials)
def test_the_rules_of_arithmetic_hold_exactly(a: Polynomial, b: Polynomial, c: Polynomial) -> None:
    assert a + b == b + a
    assert a * b == b * a
    assert a * (b + c) == a * b + a * c
    assert (a * b) * c == a * (b * c)
    assert a - a == ZERO
