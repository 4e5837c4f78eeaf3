"""Made-up members: what they truly can do, how they answer, learn and forget. The model never reads any of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tutor.learning.simulation.arrays import Flags, Floats, Whole, logistic
from tutor.learning.simulation.worlds import Gain, World

TOPICS, TEMPLATES = 8, 12
ABILITY_MEAN, ABILITY_SPREAD, TOPIC_SPREAD = -0.3, 0.8, 0.6
SPEED_SPREAD = 0.4
ASK_SPREAD = 0.6
CEILING = 3.0
"""Ability at which practice stops teaching."""
PEAKED_SCALE = 5.2
"""Makes the two rules of gain teach alike on average."""
LEVELS = np.array([-1.5, -0.5, 0.5, 1.5])


@dataclass(frozen=True, slots=True)
class Stock:
    """The true templates of a club.

    Attributes:
        difficulty: Shape (topics, templates), in logits.
        level: What the trainer labelled them, 1 to 4, same shape.
        ask_offset: How much harder each ask is than its template, shape (topics, templates, asks).
        ask_weight: Share of the marks that each ask carries, same shape; 0 where there is no such ask.
    """

    difficulty: Floats
    level: Whole
    ask_offset: Floats
    ask_weight: Floats

    @classmethod
    def made(cls, world: World, chance: np.random.Generator, topics: int, templates: int) -> Stock:
        """Make up a club's templates."""
        shape = (topics, templates)
        difficulty = chance.normal(0, 1, shape)
        seen = difficulty + chance.normal(0, world.label_noise, shape)
        level = np.abs(seen[..., None] - LEVELS).argmin(-1) + 1
        least = min(2, world.asks)
        count = chance.integers(least, world.asks + 1, shape)
        there = np.arange(world.asks) < count[..., None]
        offset = np.zeros((*shape, world.asks))
        if world.asks > 1:
            offset = chance.normal(0, ASK_SPREAD, offset.shape)
        return cls(difficulty, level, offset, there / count[..., None])


@dataclass(frozen=True, slots=True)
class Answered:
    """What came of one question to each member; all of shape (members,).

    Attributes:
        share: Marks earned of those available.
        hinted: Whether there was a hint.
        unaided: What it would have been without one.
    """

    share: Floats
    hinted: Flags
    unaided: Floats


class Members:
    """The members of one made-up club.

    Args:
        world: What is true there.
        count: How many members.
        seed: Fixes everything that chance decides.
        topics, templates: Size of the stock: templates are counted per topic.
    """

    def __init__(
        self, world: World, count: int, seed: int, *, topics: int = TOPICS, templates: int = TEMPLATES
    ) -> None:
        made = np.random.default_rng([seed, 1])
        self.world, self.count, self.topics = world, count, topics
        self.stock = Stock.made(world, made, topics, templates)
        self._first = (
            ABILITY_MEAN + made.normal(0, ABILITY_SPREAD, (count, 1)) + made.normal(0, TOPIC_SPREAD, (count, topics))
        )
        self._speed = np.exp(made.normal(np.log(world.learning), SPEED_SPREAD, count))
        self._eagerness = made.uniform(0, world.hints, count)
        self._gained = np.zeros((count, topics))
        self._last = np.full((count, topics), -1)
        self._weeks = np.zeros((count, topics), dtype=np.int64)
        self._chance = np.random.default_rng([seed, 2])
        self._forms, self._form_weights = _quadrature(world.form)
        self._all = np.arange(count)

    def ability(self, day: int) -> Floats:
        """Return the true abilities on a day, shape (members, topics)."""
        away = np.where(self._last < 0, 0, day - self._last) / 7
        keeps = self.world.forgetting / (1 + np.maximum(self._weeks - 1, 0) / 2)
        return self._first + self._gained * (1 + away) ** -keeps

    def chance(self, topics: Whole, templates: Whole, day: int) -> Floats:
        """Return the share of marks that each member would truly get on average without help, shape (members,)."""
        ability = self.ability(day)[self._all, topics]
        return self._share(ability, topics, templates)

    def score(self, day: int) -> Floats:
        """Return the share of marks to be had on each topic's whole bank, shape (members, topics)."""
        stock, ability = self.stock, self.ability(day)
        total = np.zeros_like(ability)
        for form, weight in zip(self._forms, self._form_weights, strict=True):
            for ask in range(self.world.asks):
                harder = stock.difficulty + stock.ask_offset[..., ask] - form
                right = self._right(ability[:, :, None] - harder)
                total += weight * (right * stock.ask_weight[..., ask]).mean(-1)
        return total * (1 - self.world.unit_lost / 2)

    def answer(self, topics: Whole, templates: Whole, day: int) -> Answered:
        """Let each member answer one question, learn from the feedback, and return what came of it."""
        ability = self.ability(day)[self._all, topics]
        expected = self._share(ability, topics, templates)
        hinted = self._chance.random(self.count) < self._eagerness * (1 - expected)
        form = self._chance.normal(0, 1, self.count) * self.world.form
        lots = self._chance.random((self.count, self.world.asks))
        units = np.where(self._chance.random(lots.shape) < self.world.unit_lost, 0.5, 1.0)
        harder = self.stock.difficulty[topics, templates, None] + self.stock.ask_offset[topics, templates]
        able = (ability + form)[:, None] - harder
        worth = units * self.stock.ask_weight[topics, templates]
        unaided = ((lots < self._right(able)) * worth).sum(-1)
        # The same lots with help: a hint never turns a right answer into a wrong one.
        aided = ((lots < self._right(able + self.world.hint_helps)) * worth).sum(-1)
        self._learn(topics, ability, expected, day)
        return Answered(np.where(hinted, aided, unaided), hinted, unaided)

    def _learn(self, topics: Whole, ability: Floats, expected: Floats, day: int) -> None:
        rows = (self._all, topics)
        teaches = 1.0 if self.world.gain is Gain.FLAT else PEAKED_SCALE * expected * (1 - expected)
        gain = self._speed * teaches * np.clip(1 - ability / CEILING, 0, 1.5)
        self._gained[rows] = ability - self._first[rows] + gain
        last = self._last[rows]
        self._weeks[rows] += (last < 0) | (last // 7 != day // 7)
        self._last[rows] = day

    def _right(self, above: Floats) -> Floats:
        return self.world.guess + (1 - self.world.guess - self.world.slip) * logistic(above)

    def _share(self, ability: Floats, topics: Whole, templates: Whole) -> Floats:
        """Return expected shares, abilities and templates of shape (members,)."""
        harder = self.stock.difficulty[topics, templates, None] + self.stock.ask_offset[topics, templates]
        right = self._right(ability[:, None, None] + self._forms - harder[..., None]) @ self._form_weights
        share: Floats = (right * self.stock.ask_weight[topics, templates]).sum(-1)
        return share * (1 - self.world.unit_lost / 2)


def _quadrature(spread: float) -> tuple[Floats, Floats]:
    """Return points and weights that average over a normal form (Gauss and Hermite)."""
    if spread == 0:
        return np.zeros(1), np.ones(1)
    points, weights = np.polynomial.hermite_e.hermegauss(7)
    return points * spread, weights / weights.sum()
