"""Models to compare with: limiting cases and laws; the printed figures stand in tests/published."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis.models_for_comparison import Elo, KnowledgeTracing, PerformanceFactors, savings

shares = st.floats(0, 1)


@given(shares, shares, shares, shares, st.lists(st.booleans(), max_size=12))
def test_a_chance_of_knowing_stays_a_chance(k: float, t: float, s: float, g: float, answers: list[bool]) -> None:
    model = KnowledgeTracing(known=k, learn=t, slip=s, guess=g)
    for known in model.trace(answers):
        assert -1e-12 <= known <= 1 + 1e-12
        assert -1e-12 <= model.chance_right(known) <= 1 + 1e-12


def test_tracing_is_the_sum_over_all_ways_that_it_may_have_become_known() -> None:
    start, learn, slip, guess = Fraction(2, 5), Fraction(1, 10), Fraction(3, 10), Fraction(1, 5)
    answers = [False, True, True, False]
    joint = {True: Fraction(0), False: Fraction(0)}
    for states in itertools.product([False, True], repeat=len(answers) + 1):
        chance = start if states[0] else 1 - start
        for before, after, right in zip(states, states[1:], answers, strict=False):
            hit = (1 - slip) if before else guess
            chance *= hit if right else 1 - hit
            chance *= Fraction(int(after)) if before else (learn if after else 1 - learn)
        joint[states[-1]] += chance
    model = KnowledgeTracing(known=0.4, learn=0.1, slip=0.3, guess=0.2)
    assert model.trace(answers)[-1] == pytest.approx(float(joint[True] / (joint[True] + joint[False])))


def test_an_answer_that_the_model_rules_out_tells_it_nothing() -> None:
    sure = KnowledgeTracing(known=0.0, learn=0.0, slip=0.0, guess=0.0)
    assert sure.after(0.0, right=True) == 0
    assert sure.after(1.0, right=False) == 1


def test_without_answers_a_chance_is_that_of_the_base() -> None:
    model = PerformanceFactors(base=0.0, success=0.3, failure=-0.2)
    assert model.chance_right(0, 0) == 0.5
    assert model.chance_right(3, 0) == pytest.approx(1 / (1 + math.exp(-0.9)))
    assert model.chance_right(10**6, 0) == 1
    assert model.chance_right(0, 10**6) == 0


@given(st.floats(-4, 4), st.floats(-4, 4), shares, st.integers(0, 1000))
def test_member_and_template_move_apart_by_the_same_step(
    ability: float, difficulty: float, share: float, n: int
) -> None:
    moved = Elo().after(ability, difficulty, share, by_member=n, of_template=n)
    assert moved[0] + moved[1] == pytest.approx(ability + difficulty, abs=1e-9)
    assert (moved[0] - ability) * (share - Elo().chance_right(ability, difficulty)) >= 0


def test_the_step_of_a_rating_fades() -> None:
    steps = [Elo().step(n) for n in range(50)]
    assert steps == sorted(steps, reverse=True)
    moved = Elo().after(0.0, 0.0, 1.0, by_member=0, of_template=20)
    assert moved == pytest.approx((0.5, -0.25))


def test_savings_fall_from_all_and_never_end() -> None:
    assert savings(1) == 100
    assert savings(0) == savings(-5) == 100
    minutes = [1.0, 2.0, 10.0, 1e3, 1e6, 1e9]
    found = [savings(t) for t in minutes]
    assert found == sorted(found, reverse=True)
    assert found[-1] > 0
