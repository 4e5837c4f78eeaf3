"""Difficulties learnt from answers: directions, limits, and the rule by which what is shown follows."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.difficulty import (
    LABEL_SPREAD,
    Difficulties,
    Difficulty,
    ability_variance,
    is_settling,
)
from tutor.learning.needle import DIFFICULTY_OF_LEVEL, GRID, bell, chance_right, prior

MIDDLING = bell(0.0, 0.5)
CERTAIN = tuple(1.0 if theta == 0.0 else 0.0 for theta in GRID)


@pytest.mark.parametrize(("level", "value"), DIFFICULTY_OF_LEVEL.items())
def test_a_label_is_the_first_guess(level: int, value: float) -> None:
    assert Difficulty.labelled(level) == Difficulty(value, LABEL_SPREAD**2, 0, value)


def test_labels_rise_with_the_level() -> None:
    values = [Difficulty.labelled(level).value for level in (1, 2, 3, 4)]
    assert values == sorted(set(values))


@given(
    mean=st.floats(-3, 3),
    spread=st.floats(0.2, 1.5),
    level=st.integers(1, 4),
    share=st.floats(0, 1),
    power=st.floats(0.05, 1),
    guess=st.sampled_from([0.02, 1 / 3, 0.5]),
)
def test_an_answer_moves_the_value_against_the_surprise_and_narrows_the_doubt(
    mean: float, spread: float, level: int, share: float, power: float, guess: float
) -> None:
    weights, before = bell(mean, spread), Difficulty.labelled(level)
    after = before.answered(weights, share, guess=guess, power=power)
    expected = sum(w * chance_right(theta, before.value, guess) for w, theta in zip(weights, GRID, strict=True))
    if abs(expected - share) > 1e-9:
        assert (after.value > before.value) == (share < expected)
    assert 0 < after.variance < before.variance
    assert after.answers == 1


def test_what_was_expected_moves_nothing() -> None:
    before = Difficulty.labelled(2)
    expected = sum(w * chance_right(theta, before.value) for w, theta in zip(MIDDLING, GRID, strict=True))
    assert before.answered(MIDDLING, expected).value == pytest.approx(before.value, abs=1e-15)


def test_a_sure_needle_gives_the_step_of_a_plain_rasch_filter() -> None:
    """With the ability known, the step is v′(p − x), 1/v′ = 1/v + p(1 − p): worked by hand at θ = b = 0."""
    before = Difficulty(0.0, 0.64, 0, 0.0)
    p = 0.02 + 0.95 / 2
    after = before.answered(CERTAIN, 1.0)
    assert after.variance == pytest.approx(1 / (1 / 0.64 + p * (1 - p)), abs=1e-12)
    assert after.value == pytest.approx(after.variance * (p - 1), abs=1e-12)


def test_doubt_about_the_member_dulls_what_is_told() -> None:
    before = Difficulty.labelled(2)
    sure, unsure = (before.answered(bell(0.0, spread), 0.0) for spread in (0.1, 2.0))
    assert sure.value - before.value > unsure.value - before.value > 0
    assert sure.variance < unsure.variance


def test_help_dulls_what_is_told() -> None:
    before = Difficulty.labelled(2)
    plain, helped = (before.answered(MIDDLING, 0.0, power=power) for power in (1.0, 0.5))
    assert before.value < helped.value < plain.value
    assert plain.variance < helped.variance < before.variance


def test_each_answer_moves_less_than_the_one_before() -> None:
    difficulty, steps = Difficulty.labelled(2), []
    for _ in range(30):
        after = difficulty.answered(bell(difficulty.value, 0.3), 0.0)
        steps.append(after.value - difficulty.value)
        difficulty = after
    assert all(later < earlier for earlier, later in pairwise(steps))


@pytest.mark.parametrize("truth", [-1.2, 0.4, 2.0])
def test_many_answers_find_the_truth_whatever_the_label(truth: float) -> None:
    for level in (1, 4):
        difficulty = Difficulty.labelled(level)
        for number in range(3000):
            theta = (number % 9 - 4) * 0.7
            difficulty = difficulty.answered(bell(theta, 0.05), chance_right(theta, truth))
        assert difficulty.value == pytest.approx(truth, abs=0.05)


def test_members_who_all_get_it_right_or_wrong_drive_it_to_no_infinity() -> None:
    for share, sign in ((1.0, -1), (0.0, 1)):
        difficulty = Difficulty.labelled(2)
        for _ in range(5000):
            difficulty = difficulty.answered(prior(), share)
        assert math.isfinite(difficulty.value)
        assert 1 < sign * difficulty.value < 12
        assert difficulty.variance > 0


def test_what_is_shown_follows_after_five_ten_twenty_answers_and_not_between() -> None:
    difficulty, changes = Difficulty.labelled(2), []
    for number in range(1, 100):
        after = difficulty.answered(MIDDLING, 0.0)
        if after.settled != difficulty.settled:
            changes.append(number)
            assert after.settled == after.value
        difficulty = after
    assert changes == [5, 10, 20, 40, 80]


def test_nothing_settles_before_the_first_answer() -> None:
    assert not is_settling(0)


def test_the_variance_of_a_bell_is_the_square_of_its_spread() -> None:
    assert ability_variance(bell(0.0, 0.7)) == pytest.approx(0.49, abs=1e-4)
    assert ability_variance(CERTAIN) == 0


def test_unknown_templates_have_their_label_and_known_ones_what_was_learnt() -> None:
    learnt = Difficulty(1.3, 0.2, 7, 1.1)
    known = Difficulties().with_one("bridge", learnt)
    assert known.of("bridge", 1) is learnt
    assert known.of("divider", 1) == Difficulty.labelled(1)
    assert known.curve((("bridge", 1), ("divider", 4))) == (1.1, 1.0)


def test_an_empty_bank_has_one_template_of_middle_difficulty() -> None:
    assert Difficulties().curve(()) == (0.0,)


def test_a_change_returns_new_difficulties() -> None:
    first = Difficulties()
    second = first.with_one("bridge", Difficulty.labelled(3))
    assert not first.learnt
    assert dict(second.with_one("tap", Difficulty.labelled(1)).learnt) == {
        "bridge": Difficulty.labelled(3),
        "tap": Difficulty.labelled(1),
    }
