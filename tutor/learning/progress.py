"""Progress: what a marked question does to the standings, and how a member stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tutor.learning.courses import Lesson, Shelf
from tutor.learning.needle import DIFFICULTY_OF_LEVEL, GUESS, Score
from tutor.learning.ports import Clock, Records, Work
from tutor.learning.records import Attempt, Issue, IssueLine, Member
from tutor.learning.standing import Evidence, LedgerEntry, Standing, Word, moved, other_means
from tutor.questions.bank import Topic
from tutor.questions.marks import AskMark


def credit(work: Work, shelf: Shelf, member: Member, issue: Issue, attempt: Attempt) -> None:
    """Let a first attempt move the needles of the topics that its asks credit, each by its own share of marks."""
    for topic, share, slip in shares(attempt.mark.asks):
        standings = work.standings.of_member(member.id)
        others = other_means([s for t, s in standings.items() if t != topic], attempt.at.date())
        evidence = Evidence(
            topic=topic,
            share=share,
            difficulty=DIFFICULTY_OF_LEVEL[issue.question.level],
            hinted=issue.hints > 0,
            at=attempt.at,
            issue=issue.id,
            guess=_guess(issue, topic),
            slip=slip,
        )
        standing, entries = moved(standings.get(topic), evidence, shelf.difficulties(topic), others)
        work.standings.put(member.id, topic, standing)
        for entry in entries:
            work.standings.enter(member.id, entry)


def shares(asks: Mapping[str, AskMark]) -> list[tuple[str, float, str]]:
    """Return (topic, share of marks, slip's key in words) for every topic that some asks credit."""
    marks: dict[str, list[int]] = {}
    slips: dict[str, str] = {}
    for ask in asks.values():
        pair = marks.setdefault(ask.topic, [0, 0])
        pair[0] += ask.marks
        pair[1] += ask.of
        if ask.slip and ask.topic not in slips:
            slips[ask.topic] = ask.slip.replace("-", " ")
    return [(topic, earned / available, slips.get(topic, "")) for topic, (earned, available) in marks.items()]


def _guess(issue: Issue, topic: str) -> float:
    """Return the chance of guessing right: that of the easiest ask to guess among those of the topic."""
    guesses = [1 / len(ask.options) for ask in issue.question.asks if ask.topic == topic and ask.options]
    guesses += [1 / 3 for ask in issue.question.asks if ask.topic == topic and ask.kind == "change"]
    numbers = [
        ask for ask in issue.question.asks if ask.topic == topic and ask.kind in ("number", "preferred", "reading")
    ]
    return GUESS if numbers or not guesses else min(guesses)


@dataclass(frozen=True, slots=True)
class TopicProgress:
    """How a member stands in one topic.

    Attributes:
        topic: The topic.
        word: The plain word.
        score: Expected score with its band, or None when not tried.
        answers: Problems answered.
        last: When last.
    """

    topic: Topic
    word: Word
    score: Score | None
    answers: int = 0
    last: datetime | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """The use cases of looking back."""

    records: Records
    clock: Clock
    shelf: Shelf

    def topics(self, member: Member, lesson: Lesson | None = None) -> list[TopicProgress]:
        """Return how a member stands in every topic of a lesson, or of all lessons in order."""
        lessons = [lesson] if lesson is not None else list(self.shelf.lessons)
        names = dict.fromkeys(topic for one in lessons for topic in one.topics)
        with self.records.look() as work:
            standings = work.standings.of_member(member.id)
        if lesson is None:
            names |= dict.fromkeys(standings)
        return [self._topic(name, standings.get(name)) for name in names]

    def _topic(self, name: str, standing: Standing | None) -> TopicProgress:
        topic = self.shelf.topic(name)
        if standing is None:
            return TopicProgress(topic, Word.NOT_TRIED, None)
        day = self.clock.now().date()
        difficulties = self.shelf.difficulties(name)
        last = datetime(standing.last.year, standing.last.month, standing.last.day, tzinfo=self.clock.now().tzinfo)
        return TopicProgress(
            topic, standing.word(difficulties, day), standing.score(difficulties, day), standing.answers, last
        )

    def ledger(self, member: Member, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        """Return what moved a needle, the latest first."""
        with self.records.look() as work:
            return work.standings.ledger(member.id, topic, limit)

    def history(self, member: Member, limit: int = 50, before: datetime | None = None) -> Sequence[IssueLine]:
        """Return the questions that were issued to a member, the latest first."""
        with self.records.look() as work:
            return work.questions.history(member.id, limit=limit, before=before)
