"""The model of `needle.py`, `difficulty.py` and `standing.py` over all members of a club at once.

Whatever is a constant is read from those modules, and tests replay random histories through the pure functions: every
weight, difficulty and word must agree. Days are whole numbers; day 0 is a Monday.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from tutor.learning import needle
from tutor.learning.difficulty import LABEL_SPREAD, is_settling
from tutor.learning.simulation.arrays import Flags, Floats, Whole, logistic
from tutor.learning.standing import FADED, SECURE_ANSWERS, SECURE_DAYS, SECURE_LOW, SECURE_MEAN

GRID: Floats = np.array(needle.GRID)
NOT_TRIED, LEARNING, SECURE, DUE_AGAIN = range(4)
"""The plain words of `standing.Word`, in its order."""
NEVER = -1


def chances(difficulties: Floats, guess: float | Floats = needle.GUESS) -> Floats:
    """Return the chance of a right answer at each point of the grid; a last axis is added."""
    guesses = np.asarray(guess)[..., None]
    return guesses + (1 - guesses - needle.SLIP) * logistic(GRID - difficulties[..., None])


def _normalised(weights: Floats) -> Floats:
    total: Floats = weights / weights.sum(-1, keepdims=True)
    return total


def _bells(means: Floats, spread: float) -> Floats:
    return _normalised(np.exp(-0.5 * ((GRID - means[..., None]) / spread) ** 2))


def _rows(means: Floats, spread: float) -> Floats:
    """Return for each point of the grid where its weight goes, shape (81, 81); six spreads, as in `needle.py`."""
    far = np.abs(GRID - means[:, None])
    return _normalised(np.where(far <= 6 * spread + 1e-10, np.exp(-0.5 * (far / spread) ** 2), 0.0))


@lru_cache(maxsize=1)
def _learning_rows() -> Floats:
    return _rows(GRID + needle.LEARNING_SHIFT * np.clip(1 - GRID / 3, 0, 1.5), needle.LEARNING_SPREAD)


@lru_cache(maxsize=4096)
def _forgetting_rows(days: int, spaced: int) -> Floats:
    weeks = days / 7
    kept = (1 + weeks) ** (-needle.FORGETTING / (1 + spaced / 2))
    spread = max(needle.LEAST_SPREAD, needle.FORGETTING_SPREAD * float(np.log2(1 + weeks)))
    return _rows(np.minimum(GRID, needle.PRIOR_MEAN + (GRID - needle.PRIOR_MEAN) * kept), spread)


class Needles:
    """The standings of all members in all topics, and the difficulties of all templates.

    Args:
        members: How many.
        levels: The trainer's levels, shape (topics, templates).
    """

    def __init__(self, members: int, levels: Whole) -> None:
        topics = levels.shape[0]
        self.members, self.topics = members, topics
        self.difficulty: Floats = np.vectorize(needle.DIFFICULTY_OF_LEVEL.__getitem__)(levels).astype(float)
        self.variance = np.full(levels.shape, LABEL_SPREAD**2)
        self.asked = np.zeros(levels.shape, dtype=np.int64)
        self.settled = self.difficulty.copy()
        shape = (members, topics)
        self.weights = np.zeros((*shape, len(GRID)))
        self.answers, self.days, self.weeks = (np.zeros(shape, dtype=np.int64) for _ in range(3))
        self.last, self.secured = np.full(shape, NEVER), np.full(shape, NEVER)
        self.reviews = np.zeros(shape, dtype=np.int64)
        self._counted = np.full((*shape, levels.shape[1]), NEVER)
        self._all = np.arange(members)
        self._curves = chances(self.settled).mean(1)
        self._day = NEVER
        self._today = self.weights.copy()
        self._low = np.zeros(shape, dtype=np.int64)
        self._high = np.zeros(shape, dtype=np.int64)

    # -- looking -----------------------------------------------------------------------------------------------------
    @property
    def tried(self) -> Flags:
        """Which topics have been answered in, shape (members, topics)."""
        tried: Flags = self.last != NEVER
        return tried

    def today(self, day: int) -> Floats:
        """Return the weights on a day, shape (members, topics, 81); zeros where a topic was not tried."""
        if day != self._day:
            self._forget(day)
        return self._today

    def untried(self, day: int) -> Floats:
        """Return the weights that each member would start an untried topic with, shape (members, 81)."""
        tried = self.tried
        means = np.where(tried, self.today(day) @ GRID - needle.PRIOR_MEAN, 0.0)
        lean = means.sum(1) / (tried.sum(1) + 1)
        return _bells(needle.PRIOR_MEAN + needle.SHARED * lean, needle.PRIOR_SPREAD)

    def believed(self, day: int) -> Floats:
        """Return the weights on a day, with what is expected of untried topics, shape (members, topics, 81)."""
        today = self.today(day)
        if self.tried.all():
            return today
        return np.where(self.tried[..., None], today, self.untried(day)[:, None, :])

    def predicted(self, topics: Whole, templates: Whole, day: int) -> Floats:
        """Return the share of marks expected of each member on one template each."""
        curves = chances(self.difficulty[topics, templates])
        expected: Floats = (self.believed(day)[self._all, topics] * curves).sum(-1)
        return expected

    def scores(self, day: int) -> Floats:
        """Return the expected scores, as shown, shape (members, topics)."""
        score: Floats = np.einsum("ntg,tg->nt", self.believed(day), self._curves)
        return score

    def bands(self, day: int) -> tuple[Floats, Floats]:
        """Return the lower and upper ends of the 80 % bands, each of shape (members, topics)."""
        low, high = self._ends(self.believed(day))
        topics = np.arange(self.topics)
        return self._curves[topics, low], self._curves[topics, high]

    def words(self, day: int) -> Whole:
        """Return the plain words on a day, shape (members, topics)."""
        self.today(day)
        means = np.einsum("ntg,tg->nt", self._today, self._curves)
        lows = self._curves[np.arange(self.topics), self._low]
        secure = self._is_secure(means, lows, self.answers, self.days)
        faded = np.where(means >= FADED, SECURE, DUE_AGAIN)
        words = np.where(secure, SECURE, np.where(self.secured != NEVER, faded, LEARNING))
        return np.where(self.tried, words, NOT_TRIED)

    @staticmethod
    def _is_secure(means: Floats, lows: Floats, answers: Whole, days: Whole) -> Flags:
        enough: Flags = (answers >= SECURE_ANSWERS) & (days >= SECURE_DAYS)
        return enough & (means >= SECURE_MEAN) & (lows >= SECURE_LOW)

    @staticmethod
    def _ends(weights: Floats) -> tuple[Whole, Whole]:
        below = np.cumsum(weights, -1)
        return (below >= 0.1).argmax(-1), (below >= 0.9).argmax(-1)

    def _forget(self, day: int) -> None:
        away = np.where(self.tried, day - self.last, 0)
        spaced = np.clip(self.weeks - 1, 0, needle.MOST_SPACED)
        today = self.weights.copy()
        for days, weeks in sorted(set(zip(away[away > 0].tolist(), spaced[away > 0].tolist(), strict=True))):
            which = (away == days) & (spaced == weeks)
            today[which] = _normalised(self.weights[which] @ _forgetting_rows(days, weeks))
        self._today, self._day = today, day
        self._low, self._high = self._ends(today)

    # -- answering ---------------------------------------------------------------------------------------------------
    def answer(
        self,
        topics: Whole,
        templates: Whole,
        shares: Floats,
        hinted: Flags,
        day: int,
        guess: float = needle.GUESS,
    ) -> list[int]:
        """Let every member's answer move needles and difficulties.

        As in the club, one answer comes after another, so that each meets the difficulties that the one before left
        behind. Those that cannot touch each other are taken together.

        Returns:
            The order in which the members came.
        """
        before = self.believed(day)[self._all, topics]
        counts = self._counted[self._all, topics, templates] != day
        order = np.flatnonzero(~counts).tolist()
        for turn in self._turns(np.flatnonzero(counts), topics, templates):
            t, j = topics[turn], templates[turn]
            self._credit(
                turn, t, j, before[turn], shares[turn], np.where(hinted[turn], needle.HINT_POWER, 1.0), day, guess
            )
            order += turn.tolist()
        return order

    def _turns(self, pending: Whole, topics: Whole, templates: Whole) -> Iterator[Whole]:
        """Yield members whose answers do not touch each other: another template each, and no score is to settle."""
        while len(pending):
            key = topics[pending] * self.difficulty.shape[1] + templates[pending]
            first = np.sort(np.unique(key, return_index=True)[1])
            turn = pending[first]
            settles = _settling(self.asked[topics[turn], templates[turn]] + 1)
            if not settles.all():
                yield turn[~settles]
            for member in turn[settles]:
                yield np.array([member])
            pending = np.delete(pending, first)

    def _credit(
        self, who: Whole, t: Whole, j: Whole, before: Floats, share: Floats, power: Floats, day: int, guess: float
    ) -> None:
        right = chances(self.difficulty[t, j], guess)
        said = share[:, None] * np.log(right) + (1 - share[:, None]) * np.log(1 - right)
        after = _normalised(_normalised(before * np.exp(power[:, None] * said)) @ _learning_rows())
        self._note(who, t, j, after, day)
        self._learn_difficulty(t, j, before, right, share, power)

    def _note(self, who: Whole, t: Whole, j: Whole, after: Floats, day: int) -> None:
        last = self.last[who, t]
        another_day = last != day
        self.answers[who, t] += 1
        self.days[who, t] += another_day
        self.weeks[who, t] += (last == NEVER) | (last // 7 != day // 7)
        was_secure = self.secured[who, t] != NEVER
        self.reviews[who, t] += was_secure & another_day
        self.weights[who, t] = self._today[who, t] = after
        low, high = self._ends(after)
        self._low[who, t], self._high[who, t] = low, high
        means = (after * self._curves[t]).sum(-1)
        secure = self._is_secure(means, self._curves[t, low], self.answers[who, t], self.days[who, t])
        self.secured[who, t] = np.where(~was_secure & secure, day, self.secured[who, t])
        self.last[who, t] = day
        self._counted[who, t, j] = day

    def _learn_difficulty(
        self, t: Whole, j: Whole, before: Floats, right: Floats, share: Floats, power: Floats
    ) -> None:
        expected = (before * right).sum(-1)
        mean = before @ GRID
        doubt = (before * (GRID - mean[:, None]) ** 2).sum(-1)
        spread = expected * (1 - expected)
        told = power * spread / (1 + spread * doubt)
        self.variance[t, j] = 1 / (1 / self.variance[t, j] + told)
        self.difficulty[t, j] += self.variance[t, j] * (told / spread) * (expected - share)
        self.asked[t, j] += 1
        settles = _settling(self.asked[t, j])
        if settles.any():
            self.settled[t[settles], j[settles]] = self.difficulty[t[settles], j[settles]]
            touched = np.unique(t[settles])
            self._curves[touched] = chances(self.settled[touched]).mean(1)


def _settling(answers: Whole) -> Flags:
    return np.array([is_settling(int(count)) for count in answers], dtype=bool)
