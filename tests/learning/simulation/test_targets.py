"""The model on a small scale: margins that hold with room to spare, and verdicts that can fail."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tutor.learning.simulation.practice import Practised, practise
from tutor.learning.simulation.prediction import NEEDLE, TRUTH, Foretold, foretell
from tutor.learning.simulation.schedules import Blocked, Chosen, RandomOrder
from tutor.learning.simulation.targets import (
    NEAREST,
    RANDOM,
    WEAKEST,
    Verdict,
    practice_verdicts,
    prediction_verdicts,
    ratio,
)
from tutor.learning.simulation.worlds import HINTS, MATCHED, PART_MARKS, Gain
from tutor.learning.what_next import Order

SEEDS = (201, 202)


@pytest.fixture(scope="module")
def matched() -> list[Foretold]:
    return [foretell(MATCHED, seed, members=40) for seed in SEEDS]


def test_the_needle_foretells_better_than_anything_simple_and_worse_than_the_truth(matched: list[Foretold]) -> None:
    for run in matched:
        assert run.best_baseline < run.areas[NEEDLE] < run.areas[TRUTH]
        assert run.areas[NEEDLE] > run.areas["two states"] + 0.03


def test_the_needle_is_calibrated_and_its_band_honest(matched: list[Foretold]) -> None:
    for run in matched:
        assert run.errors[NEEDLE] < 0.06
        assert 0.70 < run.covered < 0.93
        assert run.score_error < 0.15


def test_difficulties_are_learnt_far_beyond_their_labels(matched: list[Foretold]) -> None:
    for run in matched:
        assert run.difficulty > run.label + 0.05
        assert run.difficulty > 0.90


@pytest.mark.parametrize("world", [PART_MARKS, HINTS], ids=lambda world: world.name)
def test_part_marks_and_hints_do_not_mislead_the_needle(world: object) -> None:
    assert world in (PART_MARKS, HINTS)
    runs = [foretell(world, seed, members=40) for seed in SEEDS]  # type: ignore[arg-type]
    assert np.mean([run.areas[NEEDLE] - run.best_baseline for run in runs]) > 0
    assert max(run.errors[NEEDLE] for run in runs) < 0.06
    assert max(run.score_error for run in runs) < 0.15


def test_an_untrue_belief_about_slips_would_show(monkeypatch: pytest.MonkeyPatch, matched: list[Foretold]) -> None:
    """A model that is wrong must come out worse, or the figures would prove nothing."""
    monkeypatch.setattr("tutor.learning.simulation.needles.needle.SLIP", 0.35)
    wrong = foretell(MATCHED, SEEDS[0], members=40)
    assert wrong.errors[NEEDLE] > matched[0].errors[NEEDLE] + 0.01
    assert wrong.covered < matched[0].covered


@pytest.fixture(scope="module")
def practised() -> dict[str, list[Practised]]:
    schedules = {RANDOM: RandomOrder(), NEAREST: Chosen(Order.NEAREST), "blocked": Blocked()}
    return {
        name: [practise(MATCHED, schedule, seed, members=40, sessions=24) for seed in SEEDS]
        for name, schedule in schedules.items()
    }


def test_nearest_to_secure_holds_half_of_the_topics_sooner_than_random(practised: dict[str, list[Practised]]) -> None:
    half, note = ratio(practised[NEAREST], practised[RANDOM], lambda run: run.half)
    assert half < 0.95
    assert not note


def test_what_is_called_secure_is_seldom_false_and_questions_are_neither_easy_nor_hard(
    practised: dict[str, list[Practised]],
) -> None:
    for run in practised[NEAREST]:
        assert run.secured > 2
        assert run.false < 0.10
        assert run.true_at_secure > 0.78
        assert 0.65 < run.success < 0.85


def test_the_same_seed_gives_the_same_figures(matched: list[Foretold]) -> None:
    assert foretell(MATCHED, SEEDS[0], members=40) == matched[0]


# -- verdicts --------------------------------------------------------------------------------------------------------
def test_a_figure_on_its_bound_is_met_and_one_that_is_not_a_number_is_not() -> None:
    assert Verdict("x", 0.5, least=0.5).met
    assert Verdict("x", 0.5, most=0.5).met
    assert not Verdict("x", 0.499, least=0.5).met
    assert not Verdict("x", 0.501, most=0.5).met
    assert not Verdict("x", float("nan"), most=0.5).met
    assert not Verdict("x", float("inf"), least=0.5).met


def test_bad_figures_are_told_as_missed(matched: list[Foretold]) -> None:
    bad = replace(
        matched[0], areas={**matched[0].areas, NEEDLE: 0.5}, errors={NEEDLE: 0.2}, covered=0.5, score_error=0.3
    )
    verdicts = list(prediction_verdicts({MATCHED.name: [replace(bad, difficulty=0.5)]}))
    assert len(verdicts) == 6
    assert not any(verdict.met for verdict in verdicts)


def test_poor_practice_is_told_as_missed(practised: dict[str, list[Practised]]) -> None:
    random = [replace(run, half=100.0, everything=100.0) for run in practised[RANDOM]]
    poor = [replace(run, half=100, everything=np.inf, false=0.5, true_at_secure=0.6, success=0.9) for run in random]
    runs = {(Gain.FLAT, RANDOM): random, (Gain.FLAT, NEAREST): poor, (Gain.FLAT, WEAKEST): poor}
    verdicts = list(practice_verdicts(runs))
    assert len(verdicts) == 8
    assert not any(verdict.met for verdict in verdicts)


def test_a_seed_in_which_random_order_never_gets_there_is_left_out_and_said_so(
    practised: dict[str, list[Practised]],
) -> None:
    random = [replace(run, half=half) for run, half in zip(practised[RANDOM], (100.0, np.inf), strict=True)]
    ours = [replace(run, half=80.0) for run in practised[RANDOM]]
    found, note = ratio(ours, random, lambda run: run.half)
    assert found == pytest.approx(0.8)
    assert note == "1 of 2 seeds left out: most never got there in random order"
    never = [replace(run, half=np.inf) for run in random]
    assert np.isnan(ratio(ours, never, lambda run: run.half)[0])
    assert np.isinf(ratio(never, ours, lambda run: run.half)[0])
