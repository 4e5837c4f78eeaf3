"""Crediting: what a stored attempt does to needles, ledgers, difficulties and tallies, in the same transaction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tutor.learning.courses import Shelf
from tutor.learning.needle import GUESS
from tutor.learning.ports import Clock, Work
from tutor.learning.records import Attempt, Issue
from tutor.learning.standing import Evidence, credited, other_means
from tutor.learning.tallies import SlipTally
from tutor.questions.marks import AskMark


@dataclass(frozen=True, slots=True)
class TopicShare:
    """What one attempt earned in one topic.

    Attributes:
        topic: The topic.
        share: Marks earned of those available, 0 to 1.
        slip: The first named slip in words, or "".
    """

    topic: str
    share: float
    slip: str


def topic_shares(asks: Mapping[str, AskMark]) -> list[TopicShare]:
    """Return what an attempt earned in every topic that its asks credit."""
    marks: dict[str, list[int]] = {}
    slips: dict[str, str] = {}
    for ask in asks.values():
        pair = marks.setdefault(ask.topic, [0, 0])
        pair[0] += ask.marks
        pair[1] += ask.of
        if ask.slip and ask.topic not in slips:
            slips[ask.topic] = ask.slip.replace("-", " ")
    return [TopicShare(topic, earned / of, slips.get(topic, "")) for topic, (earned, of) in marks.items()]


def guess_chance(issue: Issue, topic: str) -> float:
    """Return the chance of guessing right: that of the easiest ask to guess among those of the topic."""
    asks = [ask for ask in issue.question.asks if ask.topic == topic]
    guesses = [1 / len(ask.options) for ask in asks if ask.options]
    guesses += [1 / 3 for ask in asks if ask.kind == "change"]
    typed = [ask for ask in asks if not ask.options and ask.kind != "change"]
    return GUESS if typed or not guesses else min(guesses)


def evidence_of(issue: Issue, attempt: Attempt, clock: Clock) -> list[Evidence]:
    """Return what a first attempt says about each topic that it credits."""
    question = issue.question
    return [
        Evidence(
            topic=share.topic,
            template=question.template,
            title=question.title,
            level=question.level,
            share=share.share,
            hinted=issue.helped,
            at=attempt.at,
            day=clock.day(attempt.at),
            issue=issue.id,
            guess=guess_chance(issue, share.topic),
            slip=share.slip[:100],
        )
        for share in topic_shares(attempt.mark.asks)
    ]


def credit(work: Work, shelf: Shelf, clock: Clock, member: int, issue: Issue, attempt: Attempt) -> None:
    """Let a first attempt move the needles of the topics that its asks credit, each by its own share of marks.

    Args:
        work: The transaction in which the attempt was stored.
        shelf: Courses and templates.
        clock: The club's clock.
        member: Whose attempt it is.
        issue: The question as it stood before the attempt.
        attempt: The attempt.
    """
    if not issue.attempts and not attempt.mark.is_blank:
        found = evidence_of(issue, attempt, clock)
        work.standings.lock(member, [evidence.topic for evidence in found])
        for evidence in found:
            _move(work, shelf, member, attempt, evidence)
    _tally(work, clock, member, issue, attempt)


def _move(work: Work, shelf: Shelf, member: int, attempt: Attempt, evidence: Evidence) -> None:
    standings = work.standings.of_member(member)
    topic = evidence.topic
    bank = shelf.composition(topic)
    result = credited(
        standings.get(topic),
        evidence,
        work.standings.difficulties(topic),
        bank,
        lambda: other_means([s for t, s in standings.items() if t != topic], evidence.day),
    )
    work.standings.add_fact(member, attempt.id, evidence, bank)
    work.standings.put(member, topic, result.standing)
    work.standings.enter(member, result.entries)
    moved = result.difficulties.learnt.get(evidence.template)
    if moved is not None:
        work.standings.put_difficulty(topic, evidence.template, moved)


def _tally(work: Work, clock: Clock, member: int, issue: Issue, attempt: Attempt) -> None:
    question, tallies = issue.question, work.tallies
    full = attempt.mark.is_full
    if not issue.attempts and not attempt.mark.is_blank:
        day = clock.day(attempt.at)
        tallies.note_answered(member, question.template, day, full)
        tallies.count_day(member, day, full)
        if full:
            tallies.note_overcome(member, question.template, attempt.at)
    if attempt.sure is not None:
        tallies.count_forecast(member, attempt.sure, full)
    for ask in attempt.mark.asks.values():
        if ask.slip:
            tallies.note_slip(
                member,
                SlipTally(
                    template=question.template,
                    title=question.title,
                    topic=ask.topic,
                    slip=ask.slip,
                    says=ask.says,
                    times=1,
                    last=attempt.at,
                ),
            )
