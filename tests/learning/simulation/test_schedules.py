"""The simulation asks what the site would ask."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from tests.learning.simulation.histories import MONDAY, Club, name, practised
from tutor.learning.needle import expected_score, prior
from tutor.learning.simulation.schedules import Blocked, Chosen, Diary, RandomOrder, choose_all
from tutor.learning.standing import Word, other_means
from tutor.learning.what_next import Order, TemplateView, TopicView, choose

NEEDS = np.array([[False, False, False], [True, False, False], [False, False, False]])


def pure_choice(club: Club, member: int, day: int, lot: int, order: Order, needs: np.ndarray) -> str:
    own, today = club.standings[member], MONDAY + timedelta(days=day)
    topics, templates = [], []
    steps = club.diary.step[member]
    met = sorted(steps[steps >= 0].tolist(), reverse=True)
    for topic in range(club.needles.topics):
        standing, curve = own.get(topic), club.curve(topic)
        weights = standing.today(today) if standing else prior(other_means(own.values(), today))
        topics.append(
            TopicView(
                name=str(topic),
                title="",
                needs=tuple(str(other) for other in np.flatnonzero(needs[topic])),
                weights=weights if standing else None,
                mean=expected_score(weights, curve).mean,
                word=standing.word(curve, today) if standing else Word.NOT_TRIED,
                last=standing.last if standing else None,
                reviews=standing.reviews if standing else 0,
            )
        )
        for template, level in enumerate(club.levels[topic]):
            step = int(steps[topic, template])
            templates.append(
                TemplateView(
                    name=name(topic, template),
                    topic=str(topic),
                    difficulty=club.difficulties[topic].of(name(topic, template), int(level)).value,
                    ago=met.index(step) if step >= 0 else None,
                    today=bool(club.diary.day[member, topic, template] == day),
                )
            )
    last = int(club.diary.last_topic[member])
    found = choose(
        topics,
        templates,
        day=today,
        asked=club.diary.asked,
        last_topic=str(last) if last >= 0 else "",
        order=order,
        lot=lot,
    )
    assert found is not None
    return found.template


@pytest.mark.parametrize("order", list(Order))
@pytest.mark.parametrize("steps", [0, 1, 5, 11, 17, 40, 83])
@pytest.mark.parametrize("later", [0, 1, 12, 70])
def test_choices_agree_with_the_pure_function(order: Order, steps: int, later: int) -> None:
    needs = NEEDS if steps % 2 else np.zeros((3, 3), dtype=bool)
    for seed in (1, 2):
        club = practised(seed, steps=steps)
        lots = np.random.default_rng([seed, steps]).integers(0, 1000, 6)
        day = club.day + later
        topics, templates = choose_all(club.needles, club.diary, day, lots, order, needs)
        for member, lot in enumerate(lots.tolist()):
            expected = pure_choice(club, member, day, lot, order, needs)
            assert name(int(topics[member]), int(templates[member])) == expected


def test_a_bank_smaller_than_the_rest_is_chosen_from_too() -> None:
    club = practised(3, steps=30, topics=2, templates=3)
    topics, templates = choose_all(
        club.needles, club.diary, club.day, np.zeros(6, dtype=int), Order.NEAREST, np.zeros((2, 2), dtype=bool)
    )
    for member in range(6):
        expected = pure_choice(club, member, club.day, 0, Order.NEAREST, np.zeros((2, 2), dtype=bool))
        assert name(int(topics[member]), int(templates[member])) == expected


def test_no_schedule_of_the_site_asks_two_neighbours_while_two_topics_are_open() -> None:
    for order in Order:
        club = practised(5, steps=0, members=20, topics=4, templates=5)
        chance = np.random.default_rng(8)
        last = np.full(20, -1)
        for step in range(60):
            if step % 12 == 11:
                club.day += 7
            topics, templates = Chosen(order).choose(club.needles, club.diary, club.day, chance)
            open_ones = (club.needles.words(club.day) != 2).sum(1)
            assert not ((topics == last) & (open_ones >= 2)).any()
            club.diary.enter(topics, templates, club.day)
            shares = (chance.random(20) < 0.8).astype(float)
            club.needles.answer(topics, templates, shares, np.zeros(20, dtype=bool), club.day)
            last = topics


def test_blocked_practice_takes_each_topic_in_turn() -> None:
    diary, chance = Diary((5, 8, 12)), np.random.default_rng(1)
    club = practised(1, steps=0)
    seen = [int(Blocked().choose(club.needles, diary, 7 * week, chance)[0][0]) for week in range(24)]
    assert seen == sorted(seen)
    assert [seen.count(topic) for topic in range(8)] == [3] * 8


def test_random_practice_asks_everything_alike() -> None:
    diary, chance = Diary((8000, 4, 5)), np.random.default_rng(1)
    club = practised(1, steps=0)
    topics, templates = RandomOrder().choose(club.needles, diary, 0, chance)
    counts = np.bincount(topics * 5 + templates, minlength=20)
    assert counts.min() > 300
    assert counts.max() < 500
