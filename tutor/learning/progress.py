"""Progress: how a member stands, what moved the needles, what is due, which slips were made and overcome."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tutor.learning.courses import Shelf
from tutor.learning.difficulty import Difficulties
from tutor.learning.lessons import Lesson
from tutor.learning.needle import Score
from tutor.learning.ports import Clock, Records
from tutor.learning.records import IssueLine, Member
from tutor.learning.standing import LedgerEntry, Standing, Word, since
from tutor.learning.tallies import Forecasts, PracticeDay, SlipTally
from tutor.learning.what_next import gap
from tutor.questions.bank import Topic

SPAN = timedelta(days=400)
"""How far back the course of a needle is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TopicProgress:
    """How a member stands in one topic.

    Attributes:
        topic: The topic.
        word: The plain word.
        score: Expected score with its band, or None when not tried.
        answers: Problems answered.
        last: Day of the last answer, or None.
        due: Day on which it is due for another look, for what was secure; else None.
    """

    topic: Topic
    word: Word
    score: Score | None = None
    answers: int = 0
    last: date | None = None
    due: date | None = None


def topic_progress(topic: Topic, standing: Standing | None, curve: Sequence[float], day: date) -> TopicProgress:
    """Tell how a standing looks on a day.

    Args:
        topic: The topic.
        standing: The standing, or None when it is not tried.
        curve: Settled difficulties of the topic's bank.
        day: The day.
    """
    if standing is None:
        return TopicProgress(topic=topic, word=Word.NOT_TRIED)
    score = standing.score(curve, day)
    return TopicProgress(
        topic=topic,
        word=standing.word_of(score),
        score=score,
        answers=standing.answers,
        last=standing.last,
        due=standing.last + timedelta(days=gap(standing.reviews)) if standing.was_secure else None,
    )


def by_due_day(topics: Iterable[TopicProgress]) -> list[TopicProgress]:
    """Return the topics that were secure, those that are due for another look first."""
    secured = [progress for progress in topics if progress.due is not None]
    return sorted(secured, key=lambda progress: (progress.due or date.max, progress.topic.name))


@dataclass(frozen=True, slots=True)
class Point:
    """A needle at one time, with its band."""

    at: datetime
    score: Score


@dataclass(frozen=True, slots=True)
class TopicStory:
    """One topic of a member, told whole.

    Attributes:
        progress: How they stand today.
        ledger: What moved the needle, the latest first; the entries add up to it.
        course: The needle over time, ending today.
    """

    progress: TopicProgress
    ledger: tuple[LedgerEntry, ...]
    course: tuple[Point, ...]


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
            difficulties = work.standings.all_difficulties()
        if lesson is None:
            names |= dict.fromkeys(standings)
        day = self.clock.day(self.clock.now())
        return [
            topic_progress(self.shelf.topic(name), standings.get(name), self.curve(name, difficulties), day)
            for name in names
        ]

    def curve(self, topic: str, difficulties: Mapping[str, Difficulties]) -> tuple[float, ...]:
        """Return the settled difficulties of a topic's bank."""
        return difficulties.get(topic, Difficulties()).curve(self.shelf.composition(topic))

    def story(self, member: Member, topic: str, limit: int = 50) -> TopicStory:
        """Return one topic of a member, told whole."""
        now = self.clock.now()
        day = self.clock.day(now)
        with self.records.look() as work:
            standing = work.standings.of_member(member.id).get(topic)
            curve = work.standings.difficulties(topic).curve(self.shelf.composition(topic))
            ledger = list(work.standings.ledger(member.id, topic, limit))
            course = work.standings.course_of(member.id, topic, now - SPAN)
        progress = topic_progress(self.shelf.topic(topic), standing, curve, day)
        # One point a day is enough to see where it went.
        days = {self.clock.day(entry.at): entry for entry in course}
        points = [Point(entry.at, Score(entry.after, entry.low, entry.high)) for entry in days.values()]
        if standing is not None:
            # What time and the bank did since the last answer is not in the records yet; with it the entries add up.
            today = since(standing, topic, curve, now, day)
            ledger = [*reversed(today), *ledger]
            points.append(Point(now, progress.score or standing.score(curve, day)))
        return TopicStory(progress, tuple(ledger), tuple(points))

    def ledger(self, member: Member, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        """Return what moved a needle, the latest first."""
        return self.story(member, topic, limit).ledger

    def days(self, member: Member, weeks: int = 26) -> Sequence[PracticeDay]:
        """Return the days on which a member practised, of the last weeks."""
        today = self.clock.day(self.clock.now())
        with self.records.look() as work:
            return work.tallies.days(member.id, today - timedelta(weeks=weeks))

    def slips(self, member: Member) -> Sequence[SlipTally]:
        """Return the slips that a member made, the open ones first."""
        with self.records.look() as work:
            return work.tallies.slips(member.id)

    def forecasts(self, member: Member) -> Sequence[Forecasts]:
        """Return how often a member was right, by how sure they said to be."""
        with self.records.look() as work:
            return work.tallies.forecasts(member.id)

    def history(
        self, member: Member, limit: int = 50, before: datetime | None = None, lesson: str = ""
    ) -> Sequence[IssueLine]:
        """Return the questions that were issued to a member, the latest first."""
        with self.records.look() as work:
            return work.questions.history(member.id, lesson=lesson, limit=limit, before=before)
