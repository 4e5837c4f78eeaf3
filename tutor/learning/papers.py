"""Tests: a paper drawn for one member, filled in at leisure, handed in once, marked as a whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.learning.courses import Lesson
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.practice import Practice, issue_question
from tutor.learning.progress import credit
from tutor.learning.records import Issue, Member, Paper
from tutor.questions.marking import LONGEST, mark
from tutor.questions.template import Template


@dataclass(frozen=True, slots=True)
class Sheet:
    """A paper with its questions.

    Attributes:
        paper: The paper.
        issues: Its questions, in order.
    """

    paper: Paper
    issues: tuple[Issue, ...]

    @property
    def marks(self) -> int:
        """Marks earned; 0 before it is handed in."""
        return sum(issue.last.mark.marks for issue in self.issues if issue.last is not None)

    @property
    def of(self) -> int:
        """Marks available."""
        return sum(issue.question.marks for issue in self.issues)

    def draft(self, issue: Issue) -> Mapping[str, str]:
        """Return what has been typed for a question so far."""
        return self.paper.drafts.get(issue.id, {})

    @property
    def empty_fields(self) -> int:
        """How many asks have nothing typed."""
        return sum(
            not self.draft(issue).get(ask.name, "").strip() for issue in self.issues for ask in issue.question.asks
        )


@dataclass(frozen=True, slots=True)
class Tests:
    """The use cases of tests."""

    practice: Practice

    def begin(self, member: Member, lesson: Lesson) -> Sheet:
        """Begin a test of a lesson, or go on with the one that is open.

        Raises:
            UnknownError: If the lesson has nothing to ask.
        """
        records, clock, chance = self.practice.records, self.practice.clock, self.practice.chance
        with records.work() as work:
            found = work.papers.open_one(member.id, lesson.name)
            if found is None:
                paper = chance.handle()
                issues: list[Issue] = []
                for template in self._templates(lesson):
                    issue = issue_question(work, self.practice, member, lesson.name, template, paper)
                    issues += [issue] if issue is not None else []
                    if len(issues) == lesson.questions:
                        break
                if not issues:
                    raise UnknownError("question in lesson", lesson.name)
                found = Paper(
                    id=paper,
                    member=member.id,
                    lesson=lesson.name,
                    begun=clock.now(),
                    handed_in=None,
                    issues=tuple(issue.id for issue in issues),
                )
                work.papers.add(found)
        return self.sheet(member, found.id)

    def _templates(self, lesson: Lesson) -> Sequence[Template]:
        """Return a lesson's templates in an order nobody can guess, topics taking turns."""
        by_topic: dict[str, list[Template]] = {}
        for template in self.practice.shelf.templates(lesson):
            by_topic.setdefault(template.topic, []).append(template)
        mixed = {topic: self._mixed(templates) for topic, templates in by_topic.items()}
        longest = max((len(templates) for templates in mixed.values()), default=0)
        return [templates[i] for i in range(longest) for templates in mixed.values() if i < len(templates)]

    def _mixed(self, templates: list[Template]) -> list[Template]:
        keyed = [(self.practice.chance.serial(), template.name, template) for template in templates]
        return [template for _, _, template in sorted(keyed, key=lambda entry: entry[:2])]

    def sheet(self, member: Member, paper: str) -> Sheet:
        """Return a member's own paper with its questions."""
        with self.practice.records.look() as work:
            found = work.papers.get(paper)
            if found is None or found.member != member.id:
                raise UnknownError("paper", paper)
            issues = [work.questions.get(issue) for issue in found.issues]
        return Sheet(found, tuple(issue for issue in issues if issue is not None))

    def papers(self, member: Member) -> Sequence[Paper]:
        """Return a member's papers, the latest first."""
        with self.practice.records.look() as work:
            return work.papers.of_member(member.id)

    def save(self, member: Member, paper: str, answers: Mapping[str, Mapping[str, str]]) -> Sheet:
        """Keep what has been typed so far.

        Args:
            member: Whose paper it is.
            paper: The paper.
            answers: Question id → ask → as typed.
        Raises:
            ClosedError: If the paper is handed in.
        """
        sheet = self.sheet(member, paper)
        if sheet.paper.handed_in is not None:
            raise ClosedError("This paper was handed in; nothing can be changed any more.")
        with self.practice.records.work() as work:
            for issue in sheet.issues:
                typed = answers.get(issue.id)
                if typed is not None:
                    names = {ask.name for ask in issue.question.asks}
                    kept = {name: text[:LONGEST] for name, text in typed.items() if name in names}
                    work.papers.save(paper, issue.id, kept)
        return self.sheet(member, paper)

    def hand_in(self, member: Member, paper: str) -> Sheet:
        """Hand a paper in and mark it; a second time changes nothing.

        What cannot be read earns nothing here: the fields were shown for review before.
        """
        sheet = self.sheet(member, paper)
        now = self.practice.clock.now()
        with self.practice.records.work() as work:
            if not work.papers.hand_in(paper, now):
                return self.sheet(member, paper)
            for issue in sheet.issues:
                answers = sheet.draft(issue)
                result = mark(issue.question, answers)
                attempt = work.questions.add_attempt(issue.id, member.id, f"paper {paper}", answers, result, now)
                work.questions.open_solution(issue.id, now)
                if not result.is_blank:
                    credit(work, self.practice.shelf, member, issue, attempt)
        return self.sheet(member, paper)
