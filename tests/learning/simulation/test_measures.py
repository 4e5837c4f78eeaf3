"""The measures, against counting by hand and scipy-free definitions."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from tutor.learning.simulation.measures import area, calibration_error, correlation, lower_median, root_mean_square


def counted(shares: np.ndarray, predicted: np.ndarray) -> float:
    """The definition: over all pairs with different shares, how often the better one was predicted better."""
    won = pairs = 0.0
    for one, other in product(range(len(shares)), repeat=2):
        if shares[one] > shares[other]:
            pairs += 1
            won += (predicted[one] > predicted[other]) + 0.5 * (predicted[one] == predicted[other])
    return won / pairs


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("levels", [2, 4])
def test_the_area_is_the_share_of_pairs_in_order(seed: int, levels: int) -> None:
    chance = np.random.default_rng(seed)
    shares = chance.integers(0, levels, 60) / (levels - 1)
    predicted = chance.random(60).round(1)
    assert area(shares, predicted) == pytest.approx(counted(shares, predicted), abs=1e-12)


def test_a_perfect_prediction_has_area_one_and_a_reversed_one_none() -> None:
    shares = np.array([0.0, 0.0, 0.5, 1.0])
    assert area(shares, shares) == 1
    assert area(shares, 1 - shares) == 0


def test_a_true_prediction_is_calibrated_and_a_boast_is_not() -> None:
    chance = np.random.default_rng(4)
    true = chance.random(200_000)
    shares = (chance.random(200_000) < true).astype(float)
    assert calibration_error(shares, true) < 0.005
    assert calibration_error(shares, np.minimum(true + 0.1, 1.0)) == pytest.approx(0.095, abs=0.01)


def test_predictions_of_exactly_one_have_a_bin() -> None:
    assert calibration_error(np.array([1.0, 0.0]), np.array([1.0, 0.0])) == 0


def test_the_rest_of_the_measures() -> None:
    assert root_mean_square(np.array([3.0, -4.0])) == pytest.approx(12.5**0.5)
    assert correlation(np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([[2.0, 4.0], [6.0, 8.0]])) == pytest.approx(1)
    assert lower_median(np.array([1.0, 2.0, np.inf, np.inf])) == 2
    assert lower_median(np.array([1.0, np.inf, np.inf])) == np.inf
