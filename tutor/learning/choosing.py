"""Choosing: what a member is asked next, seen through their standings and what they have met."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tutor.learning.courses import Lesson, Shelf
from tutor.learning.difficulty import Difficulties
from tutor.learning.needle import expected_score, prior
from tutor.learning.plans import CoursePlan
from tutor.learning.ports import Work
from tutor.learning.standing import Standing, Word, other_means
from tutor.learning.tallies import Met
from tutor.learning.what_next import Next, Order, TemplateView, TopicView, choose

REVISION = timedelta(weeks=4)
"""Before the last day of a course the weakest topics come first."""


@dataclass(frozen=True, slots=True)
class Learner:
    """What is known of a member when something is chosen for them.

    Attributes:
        standings: Topic → standing.
        met: Template → how it was met.
        difficulties: Topic → what is learnt of its templates.
        day: Today.
    """

    standings: Mapping[str, Standing]
    met: Mapping[str, Met]
    difficulties: Mapping[str, Difficulties]
    day: date

    def mean(self, topic: str, shelf: Shelf) -> float:
        """Return the expected score in a topic today, whether it was tried or not."""
        curve = self.difficulties.get(topic, Difficulties()).curve(shelf.composition(topic))
        standing = self.standings.get(topic)
        if standing is not None:
            return standing.score(curve, self.day).mean
        return expected_score(prior(other_means(self.standings.values(), self.day)), curve).mean


def learner(work: Work, member: int, topics: Iterable[str], day: date) -> Learner:
    """Look up what is known of a member."""
    return Learner(
        work.standings.of_member(member),
        work.tallies.met(member),
        {topic: work.standings.difficulties(topic) for topic in topics},
        day,
    )


def order_of(lessons: Sequence[Lesson], plans: Mapping[str, CoursePlan], day: date) -> Order:
    """Return which topics come first: the weakest in the last weeks of a course, else those nearest to secure."""
    ends = [plan.ends for lesson in lessons if (plan := plans.get(lesson.course)) is not None and plan.ends is not None]
    return Order.WEAKEST if any(end - REVISION <= day <= end for end in ends) else Order.NEAREST


def begun(known: Learner, shelf: Shelf, topics: Sequence[str]) -> list[str]:
    """Return the topics of mixed practice: those that the member has begun, and the next one in the order of lessons.

    A topic whose prerequisites are untried waits; without this a member in the middle of the first lesson would be
    asked about the last.
    """
    tried = [topic for topic in topics if topic in known.standings]
    stocked = [topic for topic in topics if topic not in known.standings and shelf.of_topic(topic)]
    ready = [topic for topic in stocked if all(need in known.standings for need in shelf.topic(topic).needs)]
    return [*tried, *(ready or stocked)[:1]]


def choose_for(
    known: Learner, shelf: Shelf, topics: Sequence[str], order: Order, lot: int, without: frozenset[str] = frozenset()
) -> Next | None:
    """Choose a template for a member.

    Args:
        known: What is known of them.
        shelf: What can be asked.
        topics: Topics that may be asked, in the order of the lessons.
        order: Which topics come first.
        lot: A number that nobody can guess.
        without: Templates to leave out.
    """
    latest = sorted(known.met.values(), key=lambda met: met.last, reverse=True)
    ago = {met.template: place for place, met in enumerate(latest)}
    return choose(
        [_topic(known, shelf, topic) for topic in topics],
        [
            TemplateView(
                name=template.name,
                topic=topic,
                difficulty=known.difficulties[topic].of(template.name, template.level).value,
                ago=ago.get(template.name),
                today=template.name in known.met and known.met[template.name].answered == known.day,
            )
            for topic in topics
            for template in shelf.of_topic(topic)
            if template.name not in without
        ],
        day=known.day,
        asked=sum(met.times for met in known.met.values()),
        last_topic=latest[0].topic if latest else "",
        order=order,
        lot=lot,
    )


def _topic(known: Learner, shelf: Shelf, topic: str) -> TopicView:
    standing = known.standings.get(topic)
    curve = known.difficulties[topic].curve(shelf.composition(topic))
    return TopicView(
        name=topic,
        title=shelf.topic(topic).title,
        needs=shelf.topic(topic).needs,
        weights=standing.today(known.day) if standing is not None else None,
        mean=known.mean(topic, shelf),
        word=standing.word(curve, known.day) if standing is not None else Word.NOT_TRIED,
        last=standing.last if standing is not None else None,
        reviews=standing.reviews if standing is not None else 0,
    )
