"""Practice: a question with values of one's own, hints, an answer marked at once, the worked solution, new values."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.learning.choosing import Learner, begun, choose_for, learner, order_of
from tutor.learning.courses import Shelf
from tutor.learning.crediting import credit
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.issuing import issue_question
from tutor.learning.lessons import MIXED, Lesson
from tutor.learning.ports import Chance, Clock, Records, Work
from tutor.learning.records import Attempt, Issue, Member, Sureness
from tutor.questions.marking import mark
from tutor.questions.marks import Mark
from tutor.questions.template import Template

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

    def next(self, member: Member, lesson: Lesson = MIXED) -> Choice:
        """Choose what to ask next in a lesson, or over all open lessons, and say why.

        Raises:
            UnknownError: If there is nothing to ask.
        """
        with self.records.look() as work:
            _, choice = self._choice(work, member, lesson, frozenset())
        return choice

    def _choice(self, work: Work, member: Member, lesson: Lesson, without: frozenset[str]) -> tuple[Learner, Choice]:
        """Choose; the same state of the records gives the same choice, so that what is announced is what comes."""
        plans = work.courses.plans()
        now = self.clock.now()
        lessons = [lesson]
        if lesson is MIXED:
            starts = {name: plan.starts for name, plan in plans.items()}
            lessons = [one for one in self.shelf.lessons if (starts.get(one.name) or now) <= now]
        topics = list(dict.fromkeys(topic for one in lessons for topic in one.topics))
        day = self.clock.day(now)
        known = learner(work, member.id, topics, day)
        if lesson is MIXED:
            topics = begun(known, self.shelf, topics)
        asked = sum(met.times for met in known.met.values())
        lot = zlib.crc32(f"{member.id} {asked}".encode())
        order = order_of(lessons, work.courses.course_plans(), day)
        found = choose_for(known, self.shelf, topics, order, lot, without)
        if found is None:
            raise UnknownError("question in lesson", lesson.name or lesson.title)
        return known, Choice(self.shelf.template(found.template), found.why)

    def issue(self, member: Member, lesson: Lesson = MIXED, template: Template | None = None) -> Issue:
        """Issue a question with new values; the first of its kind comes with a worked example beside it.

        Args:
            member: To whom.
            lesson: In which lesson; mixed practice over all open ones when left out.
            template: Which one, or None for the next.
        Raises:
            UnknownError: If nothing of the lesson can be asked.
        """
        without: frozenset[str] = frozenset()
        while True:
            with self.records.work() as work:
                work.people.lock(member.id)
                if template is not None:
                    topics: Sequence[str] = (template.topic,)
                    known = learner(work, member.id, topics, self.clock.day(self.clock.now()))
                    choice = Choice(template, "")
                else:
                    known, choice = self._choice(work, member, lesson, without)
                issue = self._issued(work, member, lesson, choice, known)
            if issue is not None:
                return issue
            # A template that cannot be drawn is passed over; the fault is in the log.
            if template is not None:
                raise UnknownError("question in lesson", lesson.name or lesson.title)
            without |= {choice.template.name}

    def _issued(self, work: Work, member: Member, lesson: Lesson, choice: Choice, known: Learner) -> Issue | None:
        template = choice.template
        standing = None if template.name in known.met else known.mean(template.topic, self.shelf)
        return issue_question(
            work, self, member, lesson=lesson.name, template=template, why=choice.why, example_at=standing
        )

    def again(self, member: Member, issue: str) -> Issue:
        """Issue the same template with new values."""
        old = self.get(member, issue)
        template = self.shelf.template(old.question.template)
        return self.issue(member, self.shelf.lesson_called(old.lesson), template)

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

    def submit(
        self, member: Member, issue: str, key: str, answers: Mapping[str, str], sure: Sureness | None = None
    ) -> Submission:
        """Mark answers and store the attempt.

        Args:
            member: Whose question it is.
            issue: The question.
            key: The form's own key; the same form sent twice is one attempt.
            answers: Ask → as typed.
            sure: How sure the member says to be, if they say it.
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
            attempt = work.questions.add_attempt(issue, member.id, key, answers, result, self.clock.now(), sure)
            if all(attempt.id != earlier.id for earlier in found.attempts):
                credit(work, self.shelf, self.clock, member.id, found, attempt)
        return Submission(attempt.mark, attempt)
