"""Formulas that are the same however they are written, and formulas that are not."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tutor.circuits.expressions import read_expression
from tutor.circuits.expressions.identity import identical


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("V*R2*RL/(R1*R2 + R1*RL + R2*RL)", "V*parallel(R2, RL)/(R1 + parallel(R2, RL))"),
        ("1/(2*pi*C*(Rs + Rg))", "(2*pi*Rs*C + 2*pi*Rg*C)**-1"),
        ("(a + b)**2", "a**2 + 2*a*b + b**2"),
        ("a/2", "0.5*a"),
        ("a - b", "-(b - a)"),
        ("sqrt(a/b)", "sqrt(a)/sqrt(b)"),
        ("n*sqrt(a)", "sqrt(n**2*a)"),
        ("a**0.5", "sqrt(a)"),
    ],
)
def test_the_same_formula_in_two_spellings(first: str, second: str) -> None:
    assert identical(read_expression(first), read_expression(second)) is True


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("a + b", "a - b"),
        ("a*b", "a*b + 1e-12"),
        ("mu*R/(ra + R + (mu + 1)*Rk)", "mu*R/(ra + R + mu*Rk)"),
        ("1/(2*pi*C)", "1/(6.283185307179586*C)"),
        ("sqrt(a + b)", "sqrt(a)"),
    ],
)
def test_another_formula_however_near(first: str, second: str) -> None:
    assert identical(read_expression(first), read_expression(second)) is False


@pytest.mark.parametrize("text", ["exp(a)", "a**b", "sqrt(a) + b", "min(a, b)", "a**0.25"])
def test_what_is_no_quotient_is_left_to_numbers(text: str) -> None:
    assert identical(read_expression(text), read_expression("a")) is None


def test_what_divides_by_nothing_everywhere_is_left_open() -> None:
    assert identical(read_expression("1/(a - a)"), read_expression("a")) is None


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(["a", "b", "c", "2", "pi"]), min_size=2, max_size=6), st.randoms())
def test_order_is_no_matter(terms: list[str], chance: object) -> None:
    shuffled = list(terms)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis's own random
    assert identical(read_expression(" + ".join(terms)), read_expression(" + ".join(shuffled))) is True
    assert identical(read_expression("*".join(terms)), read_expression("*".join([*shuffled, "1.001"]))) is False
