"""`what_next.choose` over all members at once, and the orders of practice that it is compared with.

Tests draw random states and hold the choices equal to those of the pure function.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from tutor.learning import needle
from tutor.learning.simulation.arrays import Flags, Floats, Whole
from tutor.learning.simulation.needles import DUE_AGAIN, NEVER, NOT_TRIED, SECURE, Needles, chances
from tutor.learning.what_next import GAPS, RECENT, REVIEW_EVERY, TARGET, WINDOW, Order

__all__ = ["DUE_AGAIN", "Blocked", "Chosen", "Diary", "RandomOrder", "Schedule", "choose_all"]

Choice = tuple[Whole, Whole]
"""Topics and templates, each of shape (members,)."""


class Diary:
    """When each member was asked each template: step by step, and on which day.

    Args:
        shape: (members, topics, templates).
    """

    def __init__(self, shape: tuple[int, int, int]) -> None:
        self.step = np.full(shape, NEVER)
        self.day = np.full(shape, NEVER)
        self.last_topic = np.full(shape[0], NEVER)
        self.asked = 0
        self._all = np.arange(shape[0])

    def enter(self, topics: Whole, templates: Whole, day: int) -> None:
        """Note what everybody is asked."""
        rows = (self._all, topics, templates)
        self.step[rows], self.day[rows] = self.asked, day
        self.last_topic = topics.copy()
        self.asked += 1

    def rested(self) -> Flags:
        """Return which templates are not among the last few that a member met, shape (members, topics, templates)."""
        flat = self.step.reshape(len(self.step), -1)
        last = max(0, flat.shape[1] - RECENT)
        latest = np.partition(flat, last, axis=1)[:, last]
        rested: Flags = ((flat == NEVER) | (flat < latest[:, None])).reshape(self.step.shape)
        return rested


class Schedule(Protocol):
    """An order of practice."""

    def choose(self, needles: Needles, diary: Diary, day: int, chance: np.random.Generator) -> Choice:
        """Return what each member is asked next."""


@dataclass(frozen=True, slots=True)
class RandomOrder:
    """Any topic, any template."""

    def choose(self, needles: Needles, diary: Diary, day: int, chance: np.random.Generator) -> Choice:  # noqa: ARG002
        """Return what each member is asked next."""
        members, topics, templates = diary.step.shape
        return chance.integers(0, topics, members), chance.integers(0, templates, members)


@dataclass(frozen=True, slots=True)
class Blocked:
    """One topic after another, each for as many weeks as all topics get in half a year; any template."""

    weeks: int = 24

    def choose(self, needles: Needles, diary: Diary, day: int, chance: np.random.Generator) -> Choice:  # noqa: ARG002
        """Return what each member is asked next."""
        members, topics, templates = diary.step.shape
        topic = (day // 7 * topics // self.weeks) % topics
        return np.full(members, topic), chance.integers(0, templates, members)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the site asks: `what_next.choose` in the given order."""

    order: Order

    def choose(self, needles: Needles, diary: Diary, day: int, chance: np.random.Generator) -> Choice:
        """Return what each member is asked next."""
        lots = chance.integers(0, 2**31, len(diary.step))
        nothing = np.zeros((needles.topics, needles.topics), dtype=bool)
        return choose_all(needles, diary, day, lots, self.order, nothing)


def choose_all(needles: Needles, diary: Diary, day: int, lots: Whole, order: Order, needs: Flags) -> Choice:
    """Return what `what_next.choose` would ask each member.

    Args:
        needles: Everybody's standings.
        diary: What everybody was asked before.
        day: Today.
        lots: A number for each member, shape (members,).
        order: Which topics come first.
        needs: Which topics (columns) are to be known before which (rows).
    """
    topics = _topics(needles, diary, day, lots, order, needs)
    return topics, _templates(needles, diary, day, topics)


def _topics(needles: Needles, diary: Diary, day: int, lots: Whole, order: Order, needs: Flags) -> Whole:
    words = needles.words(day)
    done = words == SECURE
    is_last = np.arange(needles.topics) == diary.last_topic[:, None]
    overdue = np.where(done & ~is_last, (day - needles.last) / np.array(GAPS)[np.minimum(needles.reviews, 2)], 0.0)
    review, is_due = overdue.argmax(1), overdue.max(1) >= 1
    none_open = done.all(1)
    reviews = is_due & ((diary.asked % REVIEW_EVERY == REVIEW_EVERY - 1) | none_open)
    if order is Order.NEAREST:
        rested = np.where(is_last, np.iinfo(np.int64).max, needles.last).argmin(1)
    else:
        rested = np.where(is_last, np.inf, needles.scores(day)).argmin(1)
    opened = _among_open(~done, words, is_last, needles.scores(day), lots, order, needs)
    return np.where(reviews, review, np.where(none_open, rested, opened))


def _among_open(
    is_open: Flags, words: Whole, is_last: Flags, scores: Floats, lots: Whole, order: Order, needs: Flags
) -> Whole:
    ready = is_open & ~((words == NOT_TRIED).astype(int) @ needs.T.astype(int)).astype(bool)
    ready = np.where(ready.any(1, keepdims=True), ready, is_open)
    towards = -scores if order is Order.NEAREST else scores - (words == NOT_TRIED)
    ranked = np.argsort(np.where(ready, towards, np.inf), axis=1, kind="stable")
    place = np.argsort(ranked, axis=1, kind="stable")
    window = ready & (place < (WINDOW if order is Order.NEAREST else 1))
    others = window & ~is_last
    others = np.where(others.any(1, keepdims=True), others, ready & ~is_last)
    others = np.where(others.any(1, keepdims=True), others, window)
    # The places of those to choose from come first; where nothing is open, any answer will do, nobody looks at it.
    among = np.sort(np.where(others, place, words.shape[1] - 1), axis=1)
    pick = lots % np.maximum(others.sum(1), 1) if order is Order.NEAREST else np.zeros_like(lots)
    who = np.arange(len(lots))
    chosen: Whole = ranked[who, among[who, pick]]
    return chosen


def _templates(needles: Needles, diary: Diary, day: int, topics: Whole) -> Whole:
    """Return the template of each chosen topic whose predicted success is nearest to the target, rested ones first."""
    who = np.arange(len(topics))
    plain = np.array(needle.prior())
    weights = np.where(needles.tried[who, topics, None], needles.today(day)[who, topics], plain)
    curves = chances(needles.difficulty)
    far = np.round(np.abs(np.einsum("ng,njg->nj", weights, curves[topics]) - TARGET), 6)
    tired = ~diary.rested()[who, topics]
    today = diary.day[who, topics] == day
    chosen: Whole = (far + 2.0 * today + 4.0 * tired).argmin(1)
    return chosen
