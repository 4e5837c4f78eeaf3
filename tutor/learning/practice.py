"""Practice: a question with values of one's own, hints, an answer marked at once, the worked solution, new values."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass

from tutor.circuits.errors import CircuitError
from tutor.learning.courses import Lesson, Shelf
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.ports import Chance, Clock, Records, Work
from tutor.learning.progress import credit
from tutor.learning.records import Attempt, Issue, Member
from tutor.questions.errors import QuestionError
from tutor.questions.marking import mark
from tutor.questions.marks import Mark
from tutor.questions.template import Template

_log = logging.getLogger(__name__)

LONGEST_KEY = 64


@dataclass(frozen=True, slots=True)
class Choice:
    """The template that is asked next, and why.

    Attributes:
        template: The template.
        why: One sentence.
    """

    template: Template
    why: str


@dataclass(frozen=True, slots=True)
class Submission:
    """What became of submitted answers.

    Attributes:
        mark: The mark.
        attempt: The attempt, or None when the answers went back: nothing typed, or something unreadable.
    """

    mark: Mark
    attempt: Attempt | None


@dataclass(frozen=True, slots=True)
class Practice:
    """The use cases of practising."""

    records: Records
    clock: Clock
    chance: Chance
    shelf: Shelf

    def next(self, member: Member, lesson: Lesson) -> Choice:
        """Choose what to ask next in a lesson, and say why.

        Something new comes first, from another topic than the last question where there is a choice; then what was
        answered longest ago. Templates that failed come before those that were solved.

        Raises:
            UnknownError: If the lesson has nothing to ask.
        """
        templates = self.shelf.templates(lesson)
        if not templates:
            raise UnknownError("question in lesson", lesson.name)
        with self.records.look() as work:
            lines = work.questions.history(member.id, lesson=lesson.name, limit=500)
        last_topic = lines[0].topic if lines else ""
        seen = {line.template: line for line in reversed(lines)}
        new = [template for template in templates if template.name not in seen]
        if new:
            chosen = next((t for t in new if t.topic != last_topic), new[0])
            return Choice(chosen, "You have not met this one yet.")
        order = sorted(templates, key=lambda t: (seen[t.name].solved, seen[t.name].at))
        chosen = next((t for t in order if t.topic != last_topic), order[0])
        if not seen[chosen.name].solved:
            return Choice(chosen, "This one was not solved yet.")
        return Choice(chosen, "It is the longest since you solved this one.")

    def issue(self, member: Member, lesson: Lesson, template: Template | None = None) -> Issue:
        """Issue a question with new values.

        Args:
            member: To whom.
            lesson: In which lesson.
            template: Which one, or None for the next.
        Raises:
            UnknownError: If nothing of the lesson can be asked.
        """
        chosen = template or self.next(member, lesson).template
        candidates = [chosen, *(t for t in self.shelf.templates(lesson) if t is not chosen and template is None)]
        for candidate in candidates:
            with self.records.work() as work:
                issue = issue_question(work, self, member, lesson.name, candidate)
                if issue is not None:
                    return issue
        raise UnknownError("question in lesson", lesson.name)

    def again(self, member: Member, issue: str) -> Issue:
        """Issue the same template with new values."""
        old = self.get(member, issue)
        template = self.shelf.template(old.question.template)
        return self.issue(member, self.shelf.lesson(old.lesson), template)

    def get(self, member: Member, issue: str) -> Issue:
        """Return a member's own question.

        Raises:
            UnknownError: If there is none, or it is somebody else's: the two look alike from outside.
        """
        with self.records.look() as work:
            found = work.questions.get(issue)
        if found is None or found.member != member.id:
            raise UnknownError("question", issue)
        return found

    def take_hint(self, member: Member, issue: str) -> Issue:
        """Show one more hint."""
        found = self._practised(member, issue)
        if found.hints < len(found.question.hints):
            with self.records.work() as work:
                work.questions.note_hint(issue, found.hints + 1)
        return self.get(member, issue)

    def open_solution(self, member: Member, issue: str) -> Issue:
        """Open the worked solution; answers after it are no longer taken."""
        self._practised(member, issue)
        with self.records.work() as work:
            work.questions.open_solution(issue, self.clock.now())
        return self.get(member, issue)

    def _practised(self, member: Member, issue: str) -> Issue:
        found = self.get(member, issue)
        if found.paper:
            raise ClosedError("This question belongs to a test: hints and solutions open when the paper is handed in.")
        return found

    def submit(self, member: Member, issue: str, key: str, answers: Mapping[str, str]) -> Submission:
        """Mark answers and store the attempt.

        Args:
            member: Whose question it is.
            issue: The question.
            key: The form's own key; the same form sent twice is one attempt.
            answers: Ask → as typed.
        Raises:
            UnknownError: If the question is not this member's.
            ClosedError: If the solution is open already, or the question belongs to a test.
            AskError: If something is answered that is not asked.
        """
        key = key[:LONGEST_KEY]
        self._practised(member, issue)
        with self.records.work() as work:
            known = work.questions.attempt(issue, key)
            if known is not None:
                return Submission(known.mark, known)
            found = work.questions.get(issue, lock=True)
            assert found is not None
            if found.opened is not None:
                raise ClosedError("The worked solution is open; take new values to try again.")
            result = mark(found.question, answers)
            if result.is_blank or result.unreadable:
                return Submission(result, None)
            attempt = work.questions.add_attempt(issue, member.id, key, answers, result, self.clock.now())
            if not found.attempts:
                credit(work, self.shelf, member, found, attempt)
        return Submission(attempt.mark, attempt)


def issue_question(
    work: Work, practice: Practice, member: Member, lesson: str, template: Template, paper: str = ""
) -> Issue | None:
    """Draw a question with a serial that the member has not had, and store it; None when it cannot be drawn."""
    used = work.questions.serials(member.id, template.name)
    for _ in range(20):
        serial = practice.chance.serial()
        if serial in used:
            continue
        try:
            question = practice.shelf.draw(template, serial)
        except (QuestionError, CircuitError):
            _log.exception("template %s left out", template.name)
            return None
        issue = Issue(
            id=practice.chance.handle(),
            member=member.id,
            lesson=lesson,
            paper=paper,
            question=question,
            at=practice.clock.now(),
        )
        work.questions.add(issue)
        return issue
    return None
