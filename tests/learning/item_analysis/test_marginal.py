"""Marginal likelihood: against a finer sum by numpy, its equations, the mirror solution, tables without an answer."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.learning.item_analysis.strategies import WITH_GAPS, matrices, simulated
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.marginal import (
    FLATTEST,
    GRID,
    LOG_WEIGHTS,
    STEEPEST,
    MarginalFit,
    one_slope,
    pattern_chance,
    posterior_mode,
    two_parameters,
)
from tutor.learning.item_analysis.responses import Matrix

slopes = st.lists(st.floats(0.1, 4), min_size=4, max_size=4)
intercepts = st.lists(st.floats(-4, 4), min_size=4, max_size=4)
patterns = st.lists(st.sampled_from([0, 1, None]), min_size=4, max_size=4)


def likelihood(answers: Matrix, a: list[float], d: list[float]) -> float:
    """The same by Gauss and Hermite's 80 points."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(80)
    chances = 1 / (1 + np.exp(-(np.array(a)[:, None] * nodes + np.array(d)[:, None])))
    total = 0.0
    for row in answers:
        by_node = np.ones_like(nodes)
        for x, p in zip(row, chances, strict=True):
            if x is not None:
                by_node = by_node * (p if x else 1 - p)
        total += math.log((by_node * weights).sum() / weights.sum())
    return total


def parameters(fit: MarginalFit | None) -> tuple[list[float], list[float]]:
    assert fit is not None
    return [a for a in fit.slopes if a is not None], [d for d in fit.intercepts if d is not None]


def test_the_grid_is_a_normal_distribution() -> None:
    weights = [math.exp(w) for w in LOG_WEIGHTS]
    assert math.fsum(weights) == pytest.approx(1, abs=1e-14)
    for power, moment in ((1, 0), (2, 1), (4, 3)):
        assert math.fsum(w * t**power for w, t in zip(weights, GRID, strict=True)) == pytest.approx(moment, abs=1e-5)


@given(patterns, slopes, intercepts)
def test_the_chance_of_a_pattern_agrees_with_another_quadrature(
    answers: list[int | None], a: list[float], d: list[float]
) -> None:
    # The two sums differ by what is left of the narrowest curve, slope 4, between their points.
    assert pattern_chance(answers, a, d) == pytest.approx(math.exp(likelihood([answers], a, d)), rel=1e-3)


@given(slopes, intercepts)
def test_the_chances_of_all_patterns_sum_to_one(a: list[float], d: list[float]) -> None:
    every = [[place >> bit & 1 for bit in range(4)] for place in range(16)]
    assert math.fsum(pattern_chance(row, a, d) for row in every) == pytest.approx(1, abs=1e-12)


def test_no_other_slopes_and_intercepts_are_more_likely() -> None:
    answers = simulated(1, 300, [-1.0, -0.3, 0.3, 0.8], answered=0.9)
    fit = two_parameters(answers)
    a, d = parameters(fit)
    assert fit is not None
    assert fit.log_likelihood == pytest.approx(likelihood(answers, a, d), abs=1e-4)
    for place in range(4):
        for step in (-0.03, 0.03):
            moved = [value + step * (i == place) for i, value in enumerate(a)]
            assert likelihood(answers, moved, d) < fit.log_likelihood
            moved = [value + step * (i == place) for i, value in enumerate(d)]
            assert likelihood(answers, a, moved) < fit.log_likelihood


def test_one_slope_is_the_best_single_one_and_never_better_than_many() -> None:
    answers = simulated(2, 300, [-1.0, -0.3, 0.3, 0.8])
    free, fixed, many = one_slope(answers), one_slope(answers, 1.0), two_parameters(answers)
    assert free is not None
    assert fixed is not None
    assert many is not None
    assert fixed.log_likelihood <= free.log_likelihood <= many.log_likelihood
    slope, again = free.slopes[0], one_slope(answers, free.slopes[0])
    assert slope is not None
    assert again is not None
    assert again.log_likelihood == pytest.approx(free.log_likelihood)
    for step in (0.97, 1.03):
        other = one_slope(answers, slope * step)
        assert other is not None
        assert other.log_likelihood < free.log_likelihood


def test_known_difficulties_come_back() -> None:
    true = [-1.5, -0.5, 0.0, 0.5, 1.5]
    fit = one_slope(simulated(3, 4000, true))
    assert fit is not None
    assert fit.slopes[0] == pytest.approx(1, abs=0.1)
    assert [b for b in fit.difficulties if b is not None] == pytest.approx(true, abs=0.15)


def test_a_question_keyed_the_wrong_way_round_lies_at_the_flat_end_and_the_others_keep_their_sign() -> None:
    true = [-1.0, -0.5, 0.0, 0.5, 1.0]
    answers = [[*row[:4], 1 - int(row[4] or 0)] for row in simulated(4, 1500, true, spread=1.5)]
    a, _ = parameters(two_parameters(answers))
    assert a[4] == pytest.approx(FLATTEST, abs=0.01)
    assert all(FLATTEST < slope < STEEPEST for slope in a)
    assert min(a[:4]) > 0.7


def test_an_item_that_all_or_none_got_right_has_no_figures() -> None:
    answers = simulated(5, 100, [-0.5, 0.0, 0.5])
    plain, more = two_parameters(answers), two_parameters([[1, *row, 0, None] for row in answers])
    assert plain is not None
    assert more is not None
    assert more.slopes == (None, *plain.slopes, None, None)
    assert more.difficulties[0] is None
    assert more.log_likelihood == plain.log_likelihood


@pytest.mark.parametrize("answers", [[], [[]], [[1, 1]], [[0, 1], [0, 1]], [[None, None]]], ids=str)
def test_tables_that_tell_nothing_give_none(answers: Matrix) -> None:
    assert one_slope(answers) is None
    assert one_slope(answers, 1.0) is None
    assert two_parameters(answers) is None


@given(matrices(WITH_GAPS, members=(1, 10), questions=(1, 4)))
def test_no_table_breaks_the_climb(answers: Matrix) -> None:
    for fit in (one_slope(answers, 1.0), one_slope(answers)):
        if fit is not None:
            assert math.isfinite(fit.log_likelihood)
            assert all(a is None or FLATTEST <= a <= STEEPEST for a in fit.slopes)


def test_a_fixed_slope_always_has_an_answer() -> None:
    fit = one_slope([[1, 0], [0, None]], 1.0)
    # Question 1 is met by two, one right; question 2 by one who got it wrong, so it drops out.
    assert fit is not None
    assert fit.intercepts[0] == pytest.approx(0, abs=1e-6)
    assert fit.intercepts[1] is None


@pytest.mark.parametrize("slope", [0, -1.0, math.nan])
def test_a_slope_that_is_not_positive_is_refused(slope: float) -> None:
    with pytest.raises(ValueError, match="wanted a positive one"):
        one_slope([[1], [0]], slope)


def test_part_marks_are_refused() -> None:
    for fit in (one_slope, two_parameters):
        with pytest.raises(ResponsesError):
            fit([[0.5, 1], [1, 0]])
    with pytest.raises(ResponsesError):
        pattern_chance([2], [1.0], [0.0])


@given(patterns, slopes, intercepts)
def test_the_posterior_mode_is_the_top_of_the_posterior(
    answers: list[int | None], a: list[float], d: list[float]
) -> None:
    theta, error = posterior_mode(answers, a, d)

    def log_posterior(at: float) -> float:
        met = [(x, s * at + i) for x, s, i in zip(answers, a, d, strict=True) if x is not None]
        return -at * at / 2 - sum(math.log1p(math.exp(-z if x else z)) for x, z in met)

    step = 1e-3
    left, middle, right = (log_posterior(theta + k * step) for k in (-1, 0, 1))
    assert middle >= max(left, right)
    assert 1 / error**2 == pytest.approx((2 * middle - left - right) / step**2, rel=1e-3)


def test_without_answers_the_posterior_is_the_prior() -> None:
    assert posterior_mode([None, None], [1.0, 2.0], [0.0, 1.0]) == (0.0, 1.0)
    assert posterior_mode([], [], []) == (0.0, 1.0)
