"""Standing: a member's needle in one topic, the plain word for it, and the ledger of what moved it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from tutor.learning.needle import (
    GUESS,
    HINT_POWER,
    Score,
    Weights,
    answered,
    expected_score,
    forgotten,
    learnt,
    mean_ability,
    prior,
)

SECURE_MEAN, SECURE_LOW, SECURE_ANSWERS, SECURE_DAYS = 0.80, 0.65, 4, 2
FADED = 0.72


class Word(StrEnum):
    """The plain words for a standing."""

    NOT_TRIED = "not tried"
    LEARNING = "learning"
    SECURE = "secure"
    DUE_AGAIN = "due again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What is known of a member in one topic.

    Attributes:
        weights: The needle as it stood after the last answer.
        answers: Problems answered.
        days: Different days of practice.
        weeks: Different weeks of practice.
        last: Day of the last answer.
        was_secure: Whether it has ever been secure.
    """

    weights: Weights
    answers: int
    days: int
    weeks: int
    last: date
    was_secure: bool = False

    def today(self, day: date) -> Weights:
        """Return the needle on a day, forgetting counted in."""
        return forgotten(self.weights, max(0, (day - self.last).days) / 7, self.weeks - 1)

    def score(self, difficulties: Sequence[float], day: date) -> Score:
        """Return the expected score on a day."""
        return expected_score(self.today(day), difficulties)

    def word(self, difficulties: Sequence[float], day: date) -> Word:
        """Return the plain word on a day."""
        score = self.score(difficulties, day)
        if is_secure(score, self.answers, self.days):
            return Word.SECURE
        if self.was_secure:
            return Word.SECURE if score.mean >= FADED else Word.DUE_AGAIN
        return Word.LEARNING


def is_secure(score: Score, answers: int, days: int) -> bool:
    """Tell whether a topic is secure: a high score, with little doubt, on enough problems and days."""
    return score.mean >= SECURE_MEAN and score.low >= SECURE_LOW and answers >= SECURE_ANSWERS and days >= SECURE_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerEntry:
    """One sentence of a ledger.

    Attributes:
        topic: The topic.
        at: When.
        says: What moved the needle.
        before, after: The expected score around it, from 0 to 1.
        issue: The question behind it, or "".
    """

    topic: str
    at: datetime
    says: str
    before: float
    after: float
    issue: str = ""

    @property
    def moved(self) -> float:
        """How far the needle moved."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What one marked question says about one topic.

    Attributes:
        topic: The topic.
        share: Marks earned of those available, 0 to 1.
        difficulty: Of the template, in logits.
        hinted: Whether a hint was taken.
        guess: Chance of a right guess.
        slip: Sentence fragment for a named slip, or "".
        at: When.
        issue: The question.
    """

    topic: str
    share: float
    difficulty: float
    hinted: bool
    at: datetime
    issue: str
    guess: float = GUESS
    slip: str = ""


def moved(
    standing: Standing | None, evidence: Evidence, difficulties: Sequence[float], other_means: Sequence[float] = ()
) -> tuple[Standing, tuple[LedgerEntry, ...]]:
    """Return the standing after a marked question, and the ledger's sentences.

    Args:
        standing: Before, or None for an untouched topic.
        evidence: What the question says.
        difficulties: Of the topic's bank, in logits.
        other_means: Mean ability in the member's other topics, for an untouched topic.
    """
    day = evidence.at.date()
    entries: list[LedgerEntry] = []

    def enter(says: str, before: float, after: float, issue: str = "") -> None:
        entries.append(
            LedgerEntry(topic=evidence.topic, at=evidence.at, says=says, before=before, after=after, issue=issue)
        )

    if standing is None:
        weights = prior(other_means)
        begun = expected_score(weights, difficulties).mean
        enter("Where everybody starts, with a look at your other topics.", 0.0, begun)
        days = weeks = 1
        answers, was_secure = 0, False
    else:
        weights = standing.today(day)
        before = expected_score(standing.weights, difficulties).mean
        after = expected_score(weights, difficulties).mean
        if after != before:
            enter(_away(standing.last, day), before, after)
        days = standing.days + (day != standing.last)
        weeks = standing.weeks + (_week(day) != _week(standing.last))
        answers, was_secure = standing.answers, standing.was_secure
    start = expected_score(weights, difficulties).mean
    power = HINT_POWER if evidence.hinted else 1.0
    weights = learnt(answered(weights, evidence.difficulty, evidence.share, guess=evidence.guess, power=power))
    score = expected_score(weights, difficulties)
    enter(_says(evidence), start, score.mean, evidence.issue)
    now = Standing(weights=weights, answers=answers + 1, days=days, weeks=weeks, last=day, was_secure=was_secure)
    secure = was_secure or is_secure(score, now.answers, now.days)
    return replace(now, was_secure=secure), tuple(entries)


def other_means(standings: Sequence[Standing], day: date) -> tuple[float, ...]:
    """Return the mean ability of each topic practised, on a day."""
    return tuple(mean_ability(standing.today(day)) for standing in standings)


def _week(day: date) -> tuple[int, int]:
    year, week, _ = day.isocalendar()
    return year, week


def _away(last: date, day: date) -> str:
    days = (day - last).days
    if days < 7:
        return "One day away." if days == 1 else f"{days} days away."
    weeks = round(days / 7)
    return "One week away." if weeks == 1 else f"{weeks} weeks away."


def _says(evidence: Evidence) -> str:
    hard = "a hard one" if evidence.difficulty >= 0.5 else "an easy one" if evidence.difficulty <= -1.0 else "one"
    after = " after a hint" if evidence.hinted else ""
    if evidence.share >= 1.0:
        return f"Solved {hard}{after}."
    if evidence.share > 0:
        return f"Part of {hard} right{after}."
    slip = f": {evidence.slip}" if evidence.slip else ""
    return f"Missed {hard}{after}{slip}."
