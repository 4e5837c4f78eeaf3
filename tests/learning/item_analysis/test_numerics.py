"""The numerical helpers against numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis.numerics import cholesky, climbed, logistic, softplus, solved


@given(st.floats(-800, 800))
def test_logistic_and_its_integral_go_together(x: float) -> None:
    assert 0 <= logistic(x) <= 1
    assert logistic(x) + logistic(-x) == pytest.approx(1)
    assert softplus(x) - softplus(-x) == pytest.approx(x, abs=1e-9)
    if abs(x) < 30:
        assert softplus(x) == pytest.approx(math.log(1 + math.exp(x)), rel=1e-9)


@given(st.integers(1, 6), st.integers(0, 10**6))
def test_a_system_is_solved_as_numpy_solves_it(size: int, seed: int) -> None:
    lots = np.random.default_rng(seed)
    root = lots.normal(size=(size, size))
    matrix = root @ root.T + 0.1 * np.eye(size)
    right = lots.normal(size=size)
    lower = cholesky(matrix.tolist())
    assert lower is not None
    assert solved(lower, right.tolist()) == pytest.approx(np.linalg.solve(matrix, right), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("matrix", [[[0.0]], [[1.0, 2.0], [2.0, 1.0]], [[1.0, 1.0], [1.0, 1.0]], [[math.nan]]])
def test_what_is_not_positive_definite_has_no_root(matrix: list[list[float]]) -> None:
    assert cholesky(matrix) is None


def test_a_curved_ridge_is_climbed_to_its_top() -> None:
    # H. H. Rosenbrock's valley, turned upside down: top 0 at (1, 1).
    def ridge(place: list[float]) -> tuple[float, list[float]]:
        x, y = place
        return -((1 - x) ** 2) - 100 * (y - x * x) ** 2, [2 * (1 - x) + 400 * x * (y - x * x), -200 * (y - x * x)]

    top = climbed(ridge, [-1.2, 1.0])
    assert top is not None
    assert top[0] == pytest.approx([1, 1], abs=1e-6)
    assert top[1] == pytest.approx(0, abs=1e-12)


def test_a_slope_without_a_top_is_given_up() -> None:
    assert climbed(lambda place: (place[0], [1.0]), [0.0], most_steps=50) is None


def test_a_wall_turns_a_step_back() -> None:
    def walled(place: list[float]) -> tuple[float, list[float]]:
        (x,) = place
        return (math.log(x) - x, [1 / x - 1]) if x > 0 else (-math.inf, [0.0])

    top = climbed(walled, [0.01])
    assert top is not None
    assert top[0] == pytest.approx([1], abs=1e-6)


def test_nothing_to_move_is_the_top() -> None:
    assert climbed(lambda _: (3.0, []), []) == ([], 3.0)
