"""Roots of polynomials: against the roots that they were made of, and against NumPy's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tutor.circuits.roots import roots_of


def made_of(*roots: complex) -> list[float]:
    """Return the coefficients, that of the power 0 first."""
    coefficients = np.poly(np.array(roots))
    return list(coefficients.real[::-1])


def test_one_root_is_its_quotient() -> None:
    assert roots_of([6.0, 2.0])[0] == pytest.approx([-3.0], rel=1e-15)


def test_two_roots_ten_decades_apart_both_keep_their_figures() -> None:
    small, large = roots_of(made_of(-1e-3, -1e7))[0]
    assert small == pytest.approx(-1e-3, rel=1e-13)
    assert large == pytest.approx(-1e7, rel=1e-13)


def test_a_pair_is_conjugate_and_keeps_its_sharpness() -> None:
    low, high = roots_of([1e8, 2.0, 1.0])[0]
    assert low == high.conjugate()
    assert high.real == pytest.approx(-1.0, rel=1e-12)
    assert abs(high) == pytest.approx(1e4, rel=1e-12)


def test_a_pair_without_damping_lies_on_the_axis() -> None:
    assert [root.real for root in roots_of([4.0, 0.0, 1.0])[0]] == [0.0, 0.0]


def test_equal_roots_are_real() -> None:
    assert roots_of(made_of(-5.0, -5.0))[0] == pytest.approx([-5.0, -5.0], rel=1e-7)
    assert not roots_of(made_of(-5.0, -5.0))[0].imag.any()


def test_noughts_below_are_roots_at_nought_and_noughts_above_roots_at_infinity() -> None:
    first, second = roots_of([[0.0, 0.0, 3.0, 1.0], [2.0, 1.0, 0.0, 0.0]])
    assert first == pytest.approx([0.0, 0.0, -3.0])
    assert second[0] == pytest.approx(-2.0)
    assert np.isinf(second[1:]).all()


def test_a_constant_has_no_roots_and_nothing_has_none_that_are_finite() -> None:
    assert roots_of([5.0]).shape == (1, 0)
    assert np.isinf(roots_of([0.0, 0.0])).all()


@given(st.lists(st.floats(-4.0, 9.0), min_size=1, max_size=6))
@settings(max_examples=80)
def test_real_roots_over_thirteen_decades_are_found_to_their_condition(decades: list[float]) -> None:
    spread = sorted(decades)
    wanted = [-(10.0 ** (d + place)) for place, d in enumerate(spread)]  # at least a decade apart
    found = roots_of(made_of(*wanted))[0]
    assert found == pytest.approx(wanted, rel=1e-9)


@given(st.lists(st.floats(0.1, 10.0), min_size=2, max_size=9))
@settings(max_examples=60)
def test_the_polynomial_is_nought_at_every_root(coefficients: list[float]) -> None:
    for root in roots_of(coefficients)[0]:
        powers = np.array(coefficients) * root ** np.arange(len(coefficients))
        assert abs(powers.sum()) <= 1e-10 * np.abs(powers).sum()


def test_many_draws_are_solved_as_each_alone() -> None:
    random = np.random.default_rng(3)
    coefficients = random.uniform(0.1, 10.0, (50, 5))
    together = roots_of(coefficients)
    for row, roots in zip(coefficients, together, strict=True):
        assert np.sort_complex(roots) == pytest.approx(np.sort_complex(np.roots(row[::-1])), rel=1e-8)
