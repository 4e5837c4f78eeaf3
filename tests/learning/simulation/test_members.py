"""Made-up members answer, learn, forget and take hints as their world says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tutor.learning.simulation.members import Members
from tutor.learning.simulation.worlds import HINTS, MATCHED, PART_MARKS, WORLDS, Gain, World

MANY = 40_000


def one_question(members: Members) -> tuple[np.ndarray, np.ndarray]:
    return np.zeros(members.count, dtype=int), np.zeros(members.count, dtype=int)


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_what_is_earned_is_what_was_to_be_expected(world: World) -> None:
    club = Members(world, MANY, 1)
    questions = one_question(club)
    expected = club.chance(*questions, 0)
    given = club.answer(*questions, 0)
    assert given.unaided.mean() == pytest.approx(expected.mean(), abs=4 * 0.5 / MANY**0.5)
    assert ((given.unaided >= 0) & (given.unaided <= 1)).all()


def test_the_score_is_the_mean_over_the_bank() -> None:
    for world in (MATCHED, PART_MARKS):
        club = Members(world, 10, 3)
        zeros = np.zeros(10, dtype=int)
        means = np.mean([club.chance(zeros + 2, zeros + j, 0) for j in range(12)], axis=0)
        np.testing.assert_allclose(club.score(0)[:, 2], means, atol=1e-12)


def test_answers_teach_and_time_takes_part_of_it_back() -> None:
    club = Members(MATCHED, 500, 2)
    before = club.ability(0)[:, 0]
    for _ in range(10):
        club.answer(*one_question(club), 0)
    after = club.ability(0)[:, 0]
    later = club.ability(60)[:, 0]
    assert (after >= before).all()
    assert ((later <= after) & (later >= before)).all()
    assert later.mean() < after.mean() - 0.1
    np.testing.assert_array_equal(club.ability(60)[:, 1], club.ability(0)[:, 1])


def test_what_was_practised_in_many_weeks_is_forgotten_more_slowly() -> None:
    def lost(days: list[int]) -> float:
        club = Members(MATCHED, 500, 2)
        for day in days:
            club.answer(*one_question(club), day)
        gained = club.ability(days[-1])[:, 0] - Members(MATCHED, 500, 2).ability(0)[:, 0]
        left = club.ability(days[-1] + 28)[:, 0] - Members(MATCHED, 500, 2).ability(0)[:, 0]
        return float(1 - left.sum() / gained.sum())

    assert lost([0, 7, 14, 21]) < lost([0, 0, 0, 0])


def test_hints_are_taken_by_those_in_need_and_never_harm() -> None:
    club = Members(HINTS, MANY, 5)
    questions = one_question(club)
    expected = club.chance(*questions, 0)
    given = club.answer(*questions, 0)
    assert 0.05 < given.hinted.mean() < 0.6
    assert expected[given.hinted].mean() < expected[~given.hinted].mean()
    assert (given.share >= given.unaided).all()
    assert given.share[given.hinted].mean() > given.unaided[given.hinted].mean() + 0.1
    np.testing.assert_array_equal(given.share[~given.hinted], given.unaided[~given.hinted])
    assert not Members(MATCHED, 100, 5).answer(np.zeros(100, dtype=int), np.zeros(100, dtype=int), 0).hinted.any()


def test_only_the_world_of_part_marks_has_part_marks() -> None:
    def parts(world: World) -> bool:
        club = Members(world, 2000, 1)
        share = club.answer(*one_question(club), 0).share
        return bool(((share > 0) & (share < 1)).any())

    assert [world.name for world in WORLDS if parts(world)] == [PART_MARKS.name]


def test_the_two_rules_of_gain_teach_alike_on_average() -> None:
    def taught(world: World) -> float:
        club = Members(world, 300, 8)
        chance = np.random.default_rng(1)
        first = club.ability(0)
        for _ in range(40):
            club.answer(chance.integers(0, 8, 300), chance.integers(0, 12, 300), 0)
        return float((club.ability(0) - first).mean())

    assert taught(MATCHED.with_gain(Gain.PEAKED)) == pytest.approx(taught(MATCHED), rel=0.15)


def test_a_seed_fixes_everything_and_levels_follow_difficulty() -> None:
    one, other, third = (Members(MATCHED, 50, seed) for seed in (1, 1, 2))
    np.testing.assert_array_equal(one.score(0), other.score(0))
    assert (one.score(0) != third.score(0)).any()
    assert set(np.unique(one.stock.level)) <= {1, 2, 3, 4}
    sharp = Members(replace(MATCHED, label_noise=0.0), 5, 1).stock
    order = np.argsort(sharp.difficulty, axis=None)
    assert (np.diff(sharp.level.ravel()[order]) >= 0).all()
