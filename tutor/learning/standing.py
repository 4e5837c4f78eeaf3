"""Standing: a member's needle in one topic, the plain word for it, and the ledger of what moved it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from enum import StrEnum

from tutor.learning.difficulty import Composition, Difficulties, Difficulty
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
        stood: The expected score as last entered in the ledger.
        counted: Templates that counted on that day; each counts once a day.
        secured: Day on which it first was secure, or None.
        reviews: Days of practice since then.
    """

    weights: Weights
    answers: int
    days: int
    weeks: int
    last: date
    stood: float
    counted: tuple[str, ...] = ()
    secured: date | None = None
    reviews: int = 0

    @property
    def was_secure(self) -> bool:
        """Whether it has ever been secure."""
        return self.secured is not None

    def today(self, day: date) -> Weights:
        """Return the needle on a day, forgetting counted in."""
        return forgotten(self.weights, max(0, (day - self.last).days) / 7, self.weeks - 1)

    def score(self, difficulties: Sequence[float], day: date) -> Score:
        """Return the expected score on a day."""
        return expected_score(self.today(day), difficulties)

    def word(self, difficulties: Sequence[float], day: date) -> Word:
        """Return the plain word on a day."""
        return self.word_of(self.score(difficulties, day))

    def word_of(self, score: Score) -> Word:
        """Return the plain word for the score of a day."""
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
        low, high: The 80 % band afterwards.
        issue: The question behind it, or "".
    """

    topic: str
    at: datetime
    says: str
    before: float
    after: float
    low: float
    high: float
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
        template: The template.
        title: Its title, for the ledger.
        level: The trainer's level.
        share: Marks earned of those available, 0 to 1.
        hinted: Whether there was help: a hint, or a worked example beside it.
        at: When.
        day: The club's day at that moment.
        issue: The question.
        guess: Chance of a right guess.
        slip: Sentence fragment for a named slip, or "".
    """

    topic: str
    template: str
    title: str
    level: int
    share: float
    hinted: bool
    at: datetime
    day: date
    issue: str
    guess: float = GUESS
    slip: str = ""

    @property
    def power(self) -> float:
        """Weight of the evidence."""
        return HINT_POWER if self.hinted else 1.0


@dataclass(frozen=True, slots=True)
class Credited:
    """What a marked question leaves behind.

    Attributes:
        standing: The member's standing in the topic.
        entries: The ledger's new sentences.
        difficulties: The topic's difficulties.
    """

    standing: Standing
    entries: tuple[LedgerEntry, ...]
    difficulties: Difficulties


def credited(
    standing: Standing | None,
    evidence: Evidence,
    difficulties: Difficulties,
    bank: Composition,
    other_means: Callable[[], Sequence[float]] = tuple,
) -> Credited:
    """Let a marked question move a needle: the one pure function behind every standing.

    Args:
        standing: Before, or None for an untouched topic.
        evidence: What the question says.
        difficulties: Of the topic's templates.
        bank: The topic's templates with their levels.
        other_means: Gives the mean ability in the member's other topics; asked for an untouched topic only.
    """
    curve = difficulties.curve(bank)
    book = _Book(evidence.topic, evidence.at)
    if standing is None:
        weights = prior(other_means())
        book.enter("Where everybody starts, with a look at your other topics.", 0.0, expected_score(weights, curve))
        standing = Standing(weights=weights, answers=0, days=0, weeks=0, last=evidence.day, stood=book.stood)
        days, weeks = 1, 1
    else:
        book.stood = standing.stood
        # A clock that was put back must not count time twice.
        evidence = replace(evidence, day=max(evidence.day, standing.last))
        weights = _caught_up(standing, curve, evidence.day, book)
        days = standing.days + (evidence.day != standing.last)
        weeks = standing.weeks + (_week(evidence.day) != _week(standing.last))
        if evidence.day == standing.last and evidence.template in standing.counted:
            book.enter(_again(evidence), book.stood, expected_score(weights, curve), evidence.issue)
            return Credited(replace(standing, stood=book.stood), tuple(book.entries), difficulties)
    difficulty = difficulties.of(evidence.template, evidence.level)
    after = learnt(answered(weights, difficulty.value, evidence.share, guess=evidence.guess, power=evidence.power))
    moved = difficulty.answered(weights, evidence.share, guess=evidence.guess, power=evidence.power)
    score = expected_score(after, curve)
    book.enter(_says(evidence, difficulty), book.stood, score, evidence.issue)
    counted = standing.counted if evidence.day == standing.last else ()
    answers = standing.answers + 1
    secured = standing.secured or (evidence.day if is_secure(score, answers, days) else None)
    now = Standing(
        weights=after,
        answers=answers,
        days=days,
        weeks=weeks,
        last=evidence.day,
        stood=book.stood,
        counted=(*counted, evidence.template),
        secured=secured,
        reviews=standing.reviews + (standing.was_secure and evidence.day != standing.last),
    )
    return Credited(now, tuple(book.entries), difficulties.with_one(evidence.template, moved))


@dataclass(slots=True)
class _Book:
    """The ledger being written: each entry begins where the last one ended."""

    topic: str
    at: datetime
    stood: float = 0.0
    entries: list[LedgerEntry] = field(default_factory=list)

    def enter(self, says: str, before: float, score: Score, issue: str = "") -> None:
        """Write one entry."""
        self.entries.append(
            LedgerEntry(
                topic=self.topic,
                at=self.at,
                says=says,
                before=before,
                after=score.mean,
                low=score.low,
                high=score.high,
                issue=issue,
            )
        )
        self.stood = score.mean


def _caught_up(standing: Standing, curve: Sequence[float], day: date, book: _Book) -> Weights:
    """Return the needle on a day; enter what moved it since: the bank's difficulties, and the time away."""
    bank = expected_score(standing.weights, curve)
    if bank.mean != book.stood:
        easier = bank.mean > book.stood
        turned = "easier" if easier else "harder"
        book.enter(f"The questions of this topic turned out {turned} than they were taken for.", book.stood, bank)
    weights = standing.today(day)
    today = expected_score(weights, curve)
    if today.mean != book.stood:
        book.enter(_away(standing.last, day), book.stood, today)
    return weights


def since(standing: Standing, topic: str, curve: Sequence[float], at: datetime, day: date) -> tuple[LedgerEntry, ...]:
    """Return the entries that a ledger would get today, so that what is shown today adds up."""
    book = _Book(topic, at, standing.stood)
    _caught_up(standing, curve, day, book)
    return tuple(book.entries)


def other_means(standings: Iterable[Standing], day: date) -> tuple[float, ...]:
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


def _again(evidence: Evidence) -> str:
    return f"Once more on the same day: {evidence.title}. Good practice; it counts again tomorrow."


def _says(evidence: Evidence, difficulty: Difficulty) -> str:
    hard = "a hard one" if difficulty.value >= 0.5 else "an easy one" if difficulty.value <= -1.0 else "one"
    after = " with help" if evidence.hinted else ""
    if evidence.share >= 1.0:
        return f"Solved {hard}{after}: {evidence.title}."
    if evidence.share > 0:
        return f"Part of {hard} right{after}: {evidence.title}."
    slip = f" ({evidence.slip})" if evidence.slip else ""
    return f"Missed {hard}{after}: {evidence.title}{slip}."
