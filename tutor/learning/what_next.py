"""What to ask next: a pure choice among topics and templates, with the reason in one sentence.

While lessons run, the topics nearest to secure come first, a window of three of them mixed; before an end date the
weakest come first. No two neighbours share a topic when two are open. One in six is a review of something secure that
is due. Within a topic the template is taken whose predicted success lies nearest to three in four and which was not
asked lately.

Source: the schedules and their window, share of reviews and target are those of the project's simulation; mixed order
after Rohrer et al. (2014-2020), the gaps after Cepeda et al. (2008), the target after Klinkenberg et al. (2011).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from tutor.learning.needle import GRID, GUESS, Weights, chance_right, prior
from tutor.learning.standing import Word

TARGET = 0.75
WINDOW = 3
REVIEW_EVERY = 6
RECENT = 8  # questions during which a template is not asked again if another will do
GAPS = (2, 10, 45)
"""Days after which something secure is looked at again: after a day or two, a week or two, a month or two."""


def gap(reviews: int) -> int:
    """Return after how many days something secure is looked at again, after so many reviews.

    >>> [gap(reviews) for reviews in range(5)]
    [2, 10, 45, 45, 45]
    """
    return GAPS[min(reviews, len(GAPS) - 1)]


class Order(StrEnum):
    """Which topics come first."""

    NEAREST = "nearest to secure"
    WEAKEST = "weakest first"


@dataclass(frozen=True, slots=True, kw_only=True)
class TopicView:
    """A topic as the choice sees it.

    Attributes:
        name: Its key.
        title: For the reason.
        needs: Topics to know first.
        weights: The needle today; None when not tried.
        mean: Expected score today.
        word: The plain word.
        last: Day of the last answer, or None.
        reviews: How often it was answered on different days since it became secure.
    """

    name: str
    title: str
    needs: tuple[str, ...]
    weights: Weights | None
    mean: float
    word: Word
    last: date | None = None
    reviews: int = 0

    @property
    def is_done(self) -> bool:
        """Whether it is secure for now."""
        return self.word is Word.SECURE


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateView:
    """A template as the choice sees it.

    Attributes:
        name: Its key.
        topic: Its topic.
        difficulty: In logits.
        ago: How many questions ago it was asked; None when never.
        today: Whether it was answered today.
    """

    name: str
    topic: str
    difficulty: float
    ago: int | None = None
    today: bool = False


@dataclass(frozen=True, slots=True)
class Next:
    """The choice: which template, and why."""

    template: str
    why: str


def choose(
    topics: Sequence[TopicView],
    templates: Sequence[TemplateView],
    *,
    day: date,
    asked: int = 0,
    last_topic: str = "",
    order: Order = Order.NEAREST,
    lot: int = 0,
) -> Next | None:
    """Choose what to ask next.

    Args:
        topics: The topics that may be asked, in the order of the lessons.
        templates: Their templates.
        day: Today.
        asked: Questions asked before, for the rhythm of reviews.
        last_topic: Topic of the last question.
        order: Which topics come first.
        lot: A number that nobody can guess; decides within the window.
    Returns:
        The choice, or None when there is nothing to ask.
    """
    stocked = {template.topic for template in templates}
    usable = [topic for topic in topics if topic.name in stocked]
    if not usable:
        return None
    topic, why = _topic(usable, day, asked, last_topic, order, lot)
    own = [template for template in templates if template.topic == topic.name]
    template = _template(topic, own)
    if template.ago is None and topic.word is not Word.NOT_TRIED:
        why += " This question is new to you."
    return Next(template.name, why)


def _topic(
    topics: list[TopicView], day: date, asked: int, last_topic: str, order: Order, lot: int
) -> tuple[TopicView, str]:
    review = _due(topics, day, last_topic)
    open_ones = [topic for topic in topics if not topic.is_done]
    if review is not None and (asked % REVIEW_EVERY == REVIEW_EVERY - 1 or not open_ones):
        return review, f"{review.title} was secure and is due for another look."
    if not open_ones:
        if order is Order.WEAKEST:
            lowest = min(topics, key=lambda topic: (topic.name == last_topic, topic.mean))
            return lowest, f"Everything here is secure; {_least(lowest, topics)}."
        rested = min(topics, key=lambda topic: (topic.name == last_topic, topic.last or date.min))
        return rested, f"Everything here is secure; {rested.title} rested longest."
    ready = _ready(open_ones, topics)
    ranked = sorted(ready, key=_nearness if order is Order.NEAREST else _weakness)
    window = ranked[:WINDOW] if order is Order.NEAREST else ranked[:1]
    others = [topic for topic in window if topic.name != last_topic]
    if not others:
        others = [topic for topic in ranked if topic.name != last_topic] or window
    chosen = others[lot % len(others)] if order is Order.NEAREST else others[0]
    return chosen, _reason(chosen, order, before=ranked[0])


def _nearness(topic: TopicView) -> float:
    return -topic.mean


def _weakness(topic: TopicView) -> tuple[bool, float]:
    """What was not tried comes before the weakest: what is expected there is a guess from other topics."""
    return topic.word is not Word.NOT_TRIED, topic.mean


def _least(lowest: TopicView, topics: list[TopicView]) -> str:
    if lowest.mean <= min(topic.mean for topic in topics):
        return f"{lowest.title} least so"
    return f"{lowest.title} least so after what you just had"


def _reason(topic: TopicView, order: Order, before: TopicView) -> str:
    if topic.word is Word.NOT_TRIED:
        return f"{topic.title} is new to you."
    if topic.word is Word.DUE_AGAIN:
        return f"{topic.title} was secure and has faded."
    if order is Order.WEAKEST:
        if before is not topic:
            return f"{topic.title} is where you stand lowest after {before.title}, which you just had."
        return f"{topic.title} is where you stand lowest."
    return f"{topic.title} is among the topics nearest to secure."


def _ready(open_ones: list[TopicView], topics: list[TopicView]) -> list[TopicView]:
    """Return the open topics whose prerequisites have been tried; all of them where none is ready."""
    untried = {topic.name for topic in topics if topic.word is Word.NOT_TRIED}
    ready = [topic for topic in open_ones if not untried.intersection(topic.needs)]
    return ready or open_ones


def _due(topics: list[TopicView], day: date, last_topic: str) -> TopicView | None:
    """Return the secure topic that is longest overdue, if one is due."""
    overdue = [
        ((day - topic.last).days / gap(topic.reviews), topic)
        for topic in topics
        if topic.is_done and topic.last is not None and topic.name != last_topic
    ]
    due = [(ratio, topic) for ratio, topic in overdue if ratio >= 1]
    return max(due, key=lambda pair: pair[0])[1] if due else None


def _template(topic: TopicView, templates: list[TemplateView]) -> TemplateView:
    """Return the template whose predicted success is nearest to the target, rested ones first."""
    weights = topic.weights or prior()

    def rank(template: TemplateView) -> tuple[bool, bool, float, str]:
        rested = template.ago is None or template.ago >= RECENT
        far = abs(predicted(weights, template.difficulty) - TARGET)
        return (not rested, template.today, round(far, 6), template.name)

    return min(templates, key=rank)


def predicted(weights: Weights, difficulty: float, guess: float = GUESS) -> float:
    """Return the predicted share of marks on a template."""
    return sum(weight * chance_right(theta, difficulty, guess) for weight, theta in zip(weights, GRID, strict=True))
