"""The arrays of the simulation are the pure functions of the site, member by member."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from tests.learning.simulation.histories import MONDAY, Club, name, practised
from tutor.learning.needle import prior
from tutor.learning.simulation.needles import DUE_AGAIN, LEARNING, NEVER, NOT_TRIED, SECURE
from tutor.learning.standing import Word, other_means
from tutor.learning.what_next import predicted

WORDS = {NOT_TRIED: Word.NOT_TRIED, LEARNING: Word.LEARNING, SECURE: Word.SECURE, DUE_AGAIN: Word.DUE_AGAIN}
EXACT = 1e-9


@pytest.fixture(scope="module", params=range(4))
def made(request: pytest.FixtureRequest) -> Club:
    return practised(request.param, steps=80)


def test_weights_counts_and_days_agree(made: Club) -> None:
    needles = made.needles
    for member, own in enumerate(made.standings):
        assert np.flatnonzero(needles.tried[member]).tolist() == sorted(own)
        for topic, standing in own.items():
            at = (member, topic)
            np.testing.assert_allclose(needles.weights[at], standing.weights, rtol=0, atol=EXACT)
            assert (needles.answers[at], needles.days[at], needles.weeks[at], needles.reviews[at]) == (
                standing.answers,
                standing.days,
                standing.weeks,
                standing.reviews,
            )
            assert MONDAY + timedelta(days=int(needles.last[at])) == standing.last
            secured = needles.secured[at]
            assert (None if secured == NEVER else MONDAY + timedelta(days=int(secured))) == standing.secured


def test_difficulties_agree_learnt_and_settled(made: Club) -> None:
    needles = made.needles
    for topic, known in enumerate(made.difficulties):
        for template, level in enumerate(made.levels[topic]):
            pure, at = known.of(name(topic, template), int(level)), (topic, template)
            assert needles.difficulty[at] == pytest.approx(pure.value, abs=EXACT)
            assert needles.variance[at] == pytest.approx(pure.variance, abs=EXACT)
            assert needles.settled[at] == pytest.approx(pure.settled, abs=EXACT)
            assert needles.asked[at] == pure.answers


@pytest.mark.parametrize("later", [0, 1, 9, 100])
def test_scores_bands_and_words_agree_today_and_later(made: Club, later: int) -> None:
    needles, day = made.needles, made.day + later
    scores, (low, high), words = needles.scores(day), needles.bands(day), needles.words(day)
    for member, own in enumerate(made.standings):
        for topic, standing in own.items():
            at, today = (member, topic), MONDAY + timedelta(days=day)
            score = standing.score(made.curve(topic), today)
            assert (scores[at], low[at], high[at]) == pytest.approx((score.mean, score.low, score.high), abs=EXACT)
            assert WORDS[int(words[at])] is standing.word(made.curve(topic), today)


def test_an_untried_topic_starts_from_the_others() -> None:
    young = practised(9, steps=1)
    weights = young.needles.untried(young.day + 3)
    for member, own in enumerate(young.standings):
        means = other_means(own.values(), young.today + timedelta(days=3))
        np.testing.assert_allclose(weights[member], prior(means), rtol=0, atol=EXACT)


def test_predictions_agree(made: Club) -> None:
    members = len(made.standings)
    for topic in range(made.needles.topics):
        found = made.needles.predicted(np.full(members, topic), np.full(members, 1), made.day + 5)
        for member, own in enumerate(made.standings):
            if topic in own:
                weights = own[topic].today(made.today + timedelta(days=5))
                level = int(made.levels[topic, 1])
                difficulty = made.difficulties[topic].of(name(topic, 1), level).value
                assert found[member] == pytest.approx(predicted(weights, difficulty), abs=EXACT)


def test_histories_reach_every_word_and_every_rule() -> None:
    """Or the tests above would prove little."""
    clubs = [practised(seed, steps=80) for seed in range(4)]
    words = {int(word) for club in clubs for later in (0, 100) for word in club.needles.words(club.day + later).flat}
    assert words >= {LEARNING, SECURE, DUE_AGAIN}
    assert all((club.needles.settled != club.needles.difficulty).any() for club in clubs)
    assert all(club.needles.asked.sum() < 80 * 6 for club in clubs), "no template came twice on one day"
    assert any((club.needles.reviews > 0).any() for club in clubs)
