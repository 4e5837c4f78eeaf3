"""The needle: limiting cases, laws, and the check values that the model was validated with."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.needle import (
    GRID,
    PRIOR_MEAN,
    answered,
    bell,
    chance_right,
    expected_score,
    forgotten,
    learnt,
    mean_ability,
    prior,
)

shares = st.floats(0, 1)
difficulties = st.floats(-3, 3)


def test_a_prior_is_a_normal_bell_about_its_mean() -> None:
    weights = prior()
    assert math.fsum(weights) == pytest.approx(1, abs=1e-12)
    assert mean_ability(weights) == pytest.approx(PRIOR_MEAN, abs=1e-3)


def test_an_untouched_topic_leans_towards_the_others() -> None:
    # By hand: mean −0.3 + Σ(other − (−0.3))/(k + 1); here −0.3 + 1.3/2.
    assert mean_ability(prior([1.0])) == pytest.approx(-0.3 + 1.3 / 2, abs=2e-3)


def test_the_response_curve_is_rasch_with_a_floor_and_a_ceiling() -> None:
    # Rasch (1960): at θ = b the odds are even; here between guess .02 and 1 − slip .03.
    assert chance_right(0.7, 0.7) == pytest.approx(0.02 + 0.95 / 2)
    assert chance_right(4, -4) < 0.97
    assert chance_right(-4, 4) > 0.02


def test_an_answer_moves_the_weights_by_bayes_rule() -> None:
    weights = bell(0.0, 1.0)
    grid = np.array(GRID)
    right = 0.02 + 0.95 / (1 + np.exp(0.5 - grid))
    posterior = np.array(weights) * right
    assert np.allclose(answered(weights, 0.5, 1.0), posterior / posterior.sum(), atol=1e-15)


@given(difficulties, shares)
def test_weights_stay_a_distribution(difficulty: float, share: float) -> None:
    weights = learnt(answered(prior(), difficulty, share))
    assert math.fsum(weights) == pytest.approx(1, abs=1e-12)
    assert min(weights) >= 0


@given(difficulties, shares, shares)
def test_more_marks_never_lower_the_expected_score(difficulty: float, first: float, second: float) -> None:
    low, high = sorted((first, second))
    bank = (-1.5, -0.5, 0.5, 1.5)
    lower = expected_score(answered(prior(), difficulty, low), bank).mean
    higher = expected_score(answered(prior(), difficulty, high), bank).mean
    assert higher >= lower - 1e-12


def test_a_hint_makes_an_answer_tell_half_as_much() -> None:
    plain = mean_ability(answered(prior(), 0.0, 1.0))
    hinted = mean_ability(answered(prior(), 0.0, 1.0, power=0.5))
    assert PRIOR_MEAN < hinted < plain


def test_a_lucky_guess_tells_less_where_guessing_is_easy() -> None:
    assert mean_ability(answered(prior(), 0.0, 1.0, guess=1 / 3)) < mean_ability(answered(prior(), 0.0, 1.0))


def test_learning_lifts_the_low_more_than_the_high() -> None:
    gain_low = mean_ability(learnt(bell(-2, 0.3))) + 2
    gain_high = mean_ability(learnt(bell(2, 0.3))) - 2
    assert 0.14 < gain_low < 0.18  # 0.10·clip(1 − θ/3, 0, 1.5) at θ = −2 is 0.15 at the clip
    assert 0 < gain_high < 0.06


def test_time_away_pulls_towards_the_prior_and_widens_the_band() -> None:
    weights = bell(2.0, 0.4)
    bank = (0.0,)
    before, after = expected_score(weights, bank), expected_score(forgotten(weights, 8, 0), bank)
    assert after.mean < before.mean
    assert after.high - after.low > before.high - before.low
    # θ → −0.3 + 2.3·(1 + 8)^(−0.20): 1.182
    assert mean_ability(forgotten(weights, 8, 0)) == pytest.approx(-0.3 + 2.3 * 9**-0.20, abs=0.02)


def test_spaced_practice_is_forgotten_more_slowly() -> None:
    weights = bell(2.0, 0.4)
    assert mean_ability(forgotten(weights, 8, 6)) > mean_ability(forgotten(weights, 8, 0)) + 0.3


def test_no_time_away_changes_nothing() -> None:
    weights = bell(1.0, 0.5)
    assert forgotten(weights, 0, 0) is weights
    assert forgotten(weights, -3, 0) is weights


def test_the_band_holds_the_middle_eighty_per_cent() -> None:
    score = expected_score(bell(0.0, 1.0), (0.0,))
    # ±1.2816 spreads on the grid of 0.1
    assert score.low == pytest.approx(chance_right(-1.3, 0.0), abs=0.02)
    assert score.high == pytest.approx(chance_right(1.3, 0.0), abs=0.02)


def test_the_same_answers_give_the_same_needle_bit_for_bit() -> None:
    def run() -> tuple[float, ...]:
        weights = prior([0.3, -1.2])
        for difficulty, share in ((0.5, 1.0), (-0.5, 0.0), (1.5, 0.5)):
            weights = learnt(answered(forgotten(weights, 0.4, 1), difficulty, share))
        return weights

    assert run() == run()


def test_the_model_agrees_with_its_prototype_in_arrays() -> None:
    """One answer, one step of learning and two weeks away, against dense matrices over the same grid."""
    grid = np.array(GRID)

    def rows(matrix: np.ndarray) -> np.ndarray:
        return matrix / matrix.sum(-1, keepdims=True)

    start = rows(np.exp(-0.5 * ((grid + 0.3) / 1.0) ** 2))
    right = 0.02 + 0.95 / (1 + np.exp(-0.5 - grid))
    learning = rows(
        np.exp(-0.5 * ((grid[None, :] - (grid[:, None] + 0.10 * np.clip(1 - grid[:, None] / 3, 0, 1.5))) / 0.17) ** 2)
    )
    kept = (1 + 2) ** (-0.20 / (1 + 0.5 * 1))
    centres = np.minimum(grid, -0.3 + (grid + 0.3) * kept)
    forgetting = rows(np.exp(-0.5 * ((grid[None, :] - centres[:, None]) / max(0.15 * np.log2(3), 0.05)) ** 2))
    dense = rows(start * right) @ learning @ forgetting
    own = forgotten(learnt(answered(prior(), -0.5, 1.0)), 2, 1)
    assert np.allclose(own, dense, atol=2e-8)


@pytest.mark.parametrize("weeks", [0.2, 1.0, 8.0])
@pytest.mark.parametrize("spaced", [0, 3, 12])
@pytest.mark.parametrize("theta", [-2.0, -1.0, -0.3, 0.0, 1.0, 2.0])
def test_time_away_makes_nobody_better(theta: float, spaced: int, weeks: float) -> None:
    """Points of the grid that lie far enough inside for the blur not to meet its edge."""
    sure = tuple(1.0 if point == theta else 0.0 for point in GRID)
    after = mean_ability(forgotten(sure, weeks, spaced))
    assert after <= theta + 1e-4
    if theta <= PRIOR_MEAN:
        assert after == pytest.approx(theta, abs=1e-4)
    else:
        assert PRIOR_MEAN < after < theta
