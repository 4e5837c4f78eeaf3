"""Simple predictions that anybody would try first; the model must beat the best of them."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from tutor.learning.needle import PRIOR_MEAN
from tutor.learning.simulation.arrays import Floats, Whole, logistic


class Baseline(Protocol):
    """Something that predicts shares of marks and looks at what came of it; arrays of shape (members,)."""

    def predict(self, topics: Whole, templates: Whole) -> Floats:
        """Return the share of marks expected of each member."""

    def look(self, topics: Whole, templates: Whole, shares: Floats) -> None:
        """Take in what each member earned."""


class ItemMean:
    """How all members did on the template so far; starts at one half with the weight of two answers."""

    def __init__(self, shape: tuple[int, int]) -> None:
        self._earned, self._count = np.ones(shape), np.full(shape, 2.0)

    def predict(self, topics: Whole, templates: Whole) -> Floats:
        """Return the mean of the template."""
        earned: Floats = self._earned[topics, templates]
        mean: Floats = earned / self._count[topics, templates]
        return mean

    def look(self, topics: Whole, templates: Whole, shares: Floats) -> None:
        """Count."""
        np.add.at(self._earned, (topics, templates), shares)
        np.add.at(self._count, (topics, templates), 1)


class TopicMean:
    """How the member did in the topic so far; starts at one half with the weight of two answers."""

    def __init__(self, members: int, topics: int) -> None:
        self._all = np.arange(members)
        self._earned, self._count = np.ones((members, topics)), np.full((members, topics), 2.0)

    def predict(self, topics: Whole, templates: Whole) -> Floats:  # noqa: ARG002 - templates do not matter here
        """Return the mean of the member in the topic."""
        earned: Floats = self._earned[self._all, topics]
        mean: Floats = earned / self._count[self._all, topics]
        return mean

    def look(self, topics: Whole, templates: Whole, shares: Floats) -> None:  # noqa: ARG002 - as above
        """Count."""
        self._earned[self._all, topics] += shares
        self._count[self._all, topics] += 1


class Elo:
    """Rasch on line with steps 1/(1 + 0.05 n) (after R. Pelánek 2016, from memory).

    Args:
        members: How many.
        labels: The trainer's difficulties, shape (topics, templates).
        learns: Whether the difficulties move too.
    """

    def __init__(self, members: int, labels: Floats, *, learns: bool) -> None:
        self._all = np.arange(members)
        self._ability = np.full((members, labels.shape[0]), PRIOR_MEAN)
        self._answers = np.zeros_like(self._ability)
        self._difficulty = labels.astype(float)
        self._asked = np.zeros_like(self._difficulty)
        self._learns = learns

    def predict(self, topics: Whole, templates: Whole) -> Floats:
        """Return the logistic of ability less difficulty."""
        return logistic(self._ability[self._all, topics] - self._difficulty[topics, templates])

    def look(self, topics: Whole, templates: Whole, shares: Floats) -> None:
        """Take a step on each side of the comparison."""
        surprise = shares - self.predict(topics, templates)
        rows, items = (self._all, topics), (topics, templates)
        self._ability[rows] += surprise / (1 + 0.05 * self._answers[rows])
        self._answers[rows] += 1
        if self._learns:
            step = surprise / (1 + 0.05 * self._asked[items])
            np.add.at(self._difficulty, items, -step)
            np.add.at(self._asked, items, 1)


class TwoStates:
    """Knowledge tracing with two states, known and not (A. T. Corbett and J. R. Anderson 1995).

    Known at first 0.3, learnt by an answer 0.1, guess 0.1, slip 0.1; at least half of the marks counts as right.
    """

    KNOWN, LEARNT, GUESS, SLIP = 0.3, 0.1, 0.1, 0.1

    def __init__(self, members: int, topics: int) -> None:
        self._all = np.arange(members)
        self._known = np.full((members, topics), self.KNOWN)

    def predict(self, topics: Whole, templates: Whole) -> Floats:  # noqa: ARG002 - templates do not matter here
        """Return the chance of a right answer."""
        known: Floats = self._known[self._all, topics]
        return known * (1 - self.SLIP) + (1 - known) * self.GUESS

    def look(self, topics: Whole, templates: Whole, shares: Floats) -> None:  # noqa: ARG002 - as above
        """Apply Bayes' rule, then learning."""
        known = self._known[self._all, topics]
        right = known * (1 - self.SLIP) / (known * (1 - self.SLIP) + (1 - known) * self.GUESS)
        wrong = known * self.SLIP / (known * self.SLIP + (1 - known) * (1 - self.GUESS))
        after = np.where(shares >= 0.5, right, wrong)
        self._known[self._all, topics] = after + (1 - after) * self.LEARNT


def baselines(members: int, labels: Floats) -> dict[str, Baseline]:
    """Return all baselines, for so many members and the labels of shape (topics, templates)."""
    topics = labels.shape[0]
    return {
        "template's mean": ItemMean((topics, labels.shape[1])),
        "member's topic mean": TopicMean(members, topics),
        "Elo": Elo(members, labels, learns=False),
        "Elo, both learnt": Elo(members, labels, learns=True),
        "two states": TwoStates(members, topics),
    }
