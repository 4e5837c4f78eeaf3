"""The normal approximation against conditional estimates."""

from __future__ import annotations

import math

import pytest

from tests.learning.item_analysis.strategies import simulated
from tutor.learning.item_analysis.prox import expansion, prox, stretched
from tutor.learning.item_analysis.rasch import conditional
from tutor.learning.item_analysis.responses import Matrix


def test_it_agrees_with_conditional_difficulties_on_a_long_test() -> None:
    normal = [-1.6, -1.2, -0.9, -0.7, -0.5, -0.4, -0.2, -0.1, 0.1, 0.2, 0.4, 0.5, 0.7, 0.9, 1.2, 1.6] * 2
    answers = simulated(1, 1500, normal)
    found, fit = prox(answers), conditional(answers)
    assert found is not None
    assert fit is not None
    pairs = [(p, b) for p, b in zip(found, fit.difficulties, strict=True) if p is not None and b is not None]
    assert len(pairs) == 32
    assert max(abs(p - b) for p, b in pairs) < 0.06
    assert math.fsum(p for p, _ in pairs) == pytest.approx(0, abs=1e-9)


def test_without_spread_nothing_is_stretched() -> None:
    assert expansion(1.0, 0.0) == 1
    assert expansion(0.0, 2.89) == pytest.approx(math.sqrt(2))
    assert stretched([1.0, -1.0], 1.5) == (1.5, -1.5)


def test_spreads_too_wide_for_the_approximation_have_none() -> None:
    assert expansion(3.0, 3.0) is None


@pytest.mark.parametrize("answers", [[], [[]], [[1, 1]] * 4, [[1, 0], [1, 0]], [[None, 1]], [[1], [0]]], ids=str)
def test_tables_without_an_answer_give_none(answers: Matrix) -> None:
    assert prox(answers) is None
