"""Random histories of a small club, told to the arrays and to the pure functions."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

import numpy as np

from tutor.learning.difficulty import Composition, Difficulties
from tutor.learning.simulation.needles import Needles
from tutor.learning.simulation.schedules import Diary
from tutor.learning.standing import Evidence, Standing, credited, other_means

MONDAY = date(2026, 1, 5)


def name(topic: int, template: int) -> str:
    return f"t{topic}-{template:02}"


@dataclass
class Club:
    """The same club twice: as arrays and as the values that the site keeps."""

    needles: Needles
    diary: Diary
    levels: np.ndarray
    standings: list[dict[int, Standing]] = field(default_factory=list)
    difficulties: list[Difficulties] = field(default_factory=list)
    day: int = 0

    @property
    def today(self) -> date:
        return MONDAY + timedelta(days=self.day)

    def bank(self, topic: int) -> Composition:
        return tuple((name(topic, j), int(level)) for j, level in enumerate(self.levels[topic]))

    def curve(self, topic: int) -> tuple[float, ...]:
        return self.difficulties[topic].curve(self.bank(topic))

    def answer(self, topics: np.ndarray, templates: np.ndarray, shares: np.ndarray, hinted: np.ndarray) -> None:
        """Tell one answer of each member to both."""
        self.diary.enter(topics, templates, self.day)
        order = self.needles.answer(topics, templates, shares, hinted, self.day)
        assert sorted(order) == list(range(len(topics)))
        for member in order:
            self._credit(
                member, int(topics[member]), int(templates[member]), float(shares[member]), bool(hinted[member])
            )

    def _credit(self, member: int, topic: int, template: int, share: float, hinted: bool) -> None:
        at = datetime.combine(self.today, time(19), tzinfo=UTC)
        evidence = Evidence(
            topic=str(topic),
            template=name(topic, template),
            title="",
            level=int(self.levels[topic, template]),
            share=share,
            hinted=hinted,
            at=at,
            day=self.today,
            issue="",
        )
        own = self.standings[member]
        others = [standing for other, standing in own.items() if other != topic]
        found = credited(
            own.get(topic),
            evidence,
            self.difficulties[topic],
            self.bank(topic),
            lambda: other_means(others, self.today),
        )
        own[topic] = found.standing
        self.difficulties[topic] = found.difficulties


def club(seed: int, members: int = 6, topics: int = 3, templates: int = 4) -> Club:
    levels = np.random.default_rng(seed).integers(1, 5, (topics, templates))
    return Club(
        Needles(members, levels),
        Diary((members, topics, templates)),
        levels,
        [{} for _ in range(members)],
        [Difficulties() for _ in range(topics)],
    )


def practised(seed: int, steps: int, **size: int) -> Club:
    """Let a club practise at random: part marks, hints, days and weeks between, able and unable members."""
    made = club(seed, **size)
    chance = np.random.default_rng([seed, 1])
    members, topics, templates = made.diary.step.shape
    able = chance.uniform(0.1, 0.98, members)
    for _ in range(steps):
        if chance.random() < 0.4:
            made.day += int(chance.choice([1, 2, 7, 20, 60]))
        right = chance.random(members) < able
        part = np.where(chance.random(members) < 0.3, chance.choice([0.25, 0.5, 0.75], members), right)
        made.answer(
            chance.integers(0, topics, members),
            chance.integers(0, templates, members),
            part.astype(float),
            chance.random(members) < 0.2,
        )
    return made
