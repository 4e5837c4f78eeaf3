"""Issuing: a question is drawn with a serial that the member has not had, and stored with all that is shown."""

from __future__ import annotations

import logging
from typing import Protocol

from tutor.circuits.errors import CircuitError
from tutor.learning.courses import Shelf
from tutor.learning.fading import steps_shown
from tutor.learning.ports import Chance, Clock, Work
from tutor.learning.records import Issue, Member
from tutor.questions.errors import QuestionError
from tutor.questions.question import Question
from tutor.questions.template import Template

_log = logging.getLogger(__name__)

TRIES = 20


class Desk(Protocol):
    """What issuing needs: clock, chance and shelf."""

    @property
    def clock(self) -> Clock:
        """Tells the time."""
        ...

    @property
    def chance(self) -> Chance:
        """Gives serials and handles."""
        ...

    @property
    def shelf(self) -> Shelf:
        """Holds the templates."""
        ...


def issue_question(
    work: Work,
    desk: Desk,
    member: Member,
    *,
    lesson: str,
    template: Template,
    paper: str = "",
    why: str = "",
    example_at: float | None = None,
) -> Issue | None:
    """Draw a question and store it.

    Args:
        work: The transaction.
        desk: Clock, chance and shelf.
        member: To whom.
        lesson: In which lesson; "" for mixed practice.
        template: The template.
        paper: The test that it belongs to, or "".
        why: Why it is asked.
        example_at: Where the member stands in a kind of problem that is new to them: the lower, the more of a worked
            example with other values is shown beside it. None for no example.
    Returns:
        The question, or None when it cannot be drawn; the fault is in the log.
    """
    used = set(work.questions.serials(member.id, template.name))
    try:
        question = _fresh(desk, template, used)
        example, steps = None, 0
        if question is not None and example_at is not None and question.solution:
            steps = steps_shown(example_at, len(question.solution))
            example = _fresh(desk, template, used | {question.serial}) if steps else None
    except (QuestionError, CircuitError):
        _log.exception("template %s left out", template.name)
        return None
    if question is None:
        return None
    issue = Issue(
        id=desk.chance.handle(),
        member=member.id,
        lesson=lesson,
        paper=paper,
        question=question,
        at=desk.clock.now(),
        why=why,
        example=example,
        example_steps=steps if example is not None else 0,
    )
    work.questions.add(issue)
    work.tallies.note_issued(member.id, template.name, template.topic, issue.at)
    return issue


def _fresh(desk: Desk, template: Template, used: set[int]) -> Question | None:
    """Draw with a serial that is not used yet."""
    for _ in range(TRIES):
        serial = desk.chance.serial()
        if serial not in used:
            return desk.shelf.draw(template, serial)
    return None
