"""Symmetric functions against sums over all subsets, exact fractions and numeric derivatives."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis.symmetric import expected_totals, information, log_symmetric, symmetric_functions

weights = st.lists(st.floats(0.02, 50), min_size=1, max_size=6)


@given(weights)
def test_they_are_the_sums_over_all_subsets(chosen: list[float]) -> None:
    for r, found in enumerate(symmetric_functions(chosen)):
        assert found == pytest.approx(math.fsum(math.prod(subset) for subset in combinations(chosen, r)), rel=1e-12)


def test_a_hundred_questions_lose_no_figures() -> None:
    # The widest spread that a test may have: difficulties from −6 to 6. Against exact fractions.
    chosen = [math.exp(-6 + 12 * place / 99) for place in range(100)]
    exact = [Fraction(1)]
    for weight in map(Fraction, chosen):
        exact = [a + weight * b for a, b in zip([*exact, Fraction(0)], [Fraction(0), *exact], strict=True)]
    for found, known in zip(symmetric_functions(chosen), exact, strict=True):
        assert abs(Fraction(found) / known - 1) < Fraction(1, 10**13)


@given(weights, st.lists(st.integers(0, 9), min_size=7, max_size=7))
def test_expected_totals_are_the_slope_of_the_logarithm(chosen: list[float], spare: list[int]) -> None:
    counts = spare[: len(chosen) + 1]
    found = expected_totals(chosen, counts)
    for place in range(len(chosen)):
        by_log = [
            log_symmetric([w * math.exp(step if i == place else 0) for i, w in enumerate(chosen)], counts)
            for step in (1e-5, -1e-5)
        ]
        assert found[place] == pytest.approx((by_log[0] - by_log[1]) / 2e-5, abs=1e-6)


@given(weights, st.lists(st.integers(0, 9), min_size=7, max_size=7))
def test_expected_totals_share_out_the_scores(chosen: list[float], spare: list[int]) -> None:
    counts = spare[: len(chosen) + 1]
    assert sum(expected_totals(chosen, counts)) == pytest.approx(sum(r * n for r, n in enumerate(counts)))


@given(weights, st.lists(st.integers(0, 9), min_size=7, max_size=7))
def test_information_is_symmetric_with_rows_that_sum_to_nought(chosen: list[float], spare: list[int]) -> None:
    found = information(chosen, spare[: len(chosen) + 1])
    for i, row in enumerate(found):
        assert sum(row) == pytest.approx(0, abs=1e-9)
        assert row[i] >= -1e-12
        for j, entry in enumerate(row):
            assert entry == pytest.approx(found[j][i], abs=1e-9)


@given(weights, st.lists(st.integers(0, 9), min_size=7, max_size=7))
def test_information_is_the_slope_of_the_expected_totals(chosen: list[float], spare: list[int]) -> None:
    counts = spare[: len(chosen) + 1]
    found = information(chosen, counts)
    for j in range(len(chosen)):
        up, down = (
            expected_totals([w * math.exp(step if i == j else 0) for i, w in enumerate(chosen)], counts)
            for step in (1e-5, -1e-5)
        )
        for i, row in enumerate(found):
            assert row[j] == pytest.approx((up[i] - down[i]) / 2e-5, abs=1e-6)
