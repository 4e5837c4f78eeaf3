"""Tests: a paper drawn for one member, filled in at leisure, handed in once, marked as a whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from tutor.learning.crediting import credit
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.issuing import issue_question
from tutor.learning.lessons import Lesson
from tutor.learning.plans import PaperRules
from tutor.learning.ports import Work
from tutor.learning.practice import Practice
from tutor.learning.records import Issue, Member, Paper
from tutor.questions.marking import LONGEST, mark
from tutor.questions.template import Template

Typed = Mapping[str, Mapping[str, str]]
"""Question id → ask → as typed."""


@dataclass(frozen=True, slots=True)
class Clash:
    """A field that was filled in differently on two devices; the later one stands.

    Attributes:
        issue, ask: Which field.
        other: What the other device had typed.
    """

    issue: str
    ask: str
    other: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A paper with its questions.

    Attributes:
        paper: The paper.
        issues: Its questions, in order.
        rules: The rules of the test.
        solutions_open: Whether the worked solutions may be read.
        clashes: Fields that another device had filled in differently.
    """

    paper: Paper
    issues: tuple[Issue, ...]
    rules: PaperRules
    solutions_open: bool = False
    clashes: tuple[Clash, ...] = ()

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
class Offer:
    """Whether a test can be begun now.

    Attributes:
        rules: Its rules.
        sat: Papers that the member has handed in.
        open: The paper that is begun and not handed in, or None.
        refusal: Why none can be begun, in words; "" when one can.
    """

    rules: PaperRules
    sat: tuple[Paper, ...]
    open: Paper | None
    refusal: str


@dataclass(frozen=True, slots=True)
class Tests:
    """The use cases of tests."""

    practice: Practice

    def offer(self, member: Member, lesson: Lesson) -> Offer:
        """Tell whether a member can sit the test of a lesson now."""
        self.papers(member)  # hands in what a closing time has overtaken
        with self.practice.records.look() as work:
            return self._offer(work, member, lesson)

    def _offer(self, work: Work, member: Member, lesson: Lesson) -> Offer:
        rules = _rules(work, lesson)
        own = [paper for paper in work.papers.of_member(member.id) if paper.lesson == lesson.name]
        unfinished = next((paper for paper in own if paper.handed_in is None), None)
        sat = tuple(paper for paper in own if paper.handed_in is not None)
        refusal = "" if unfinished else _refusal(rules, len(sat), self.practice.clock.now())
        return Offer(rules, sat, unfinished, refusal)

    def begin(self, member: Member, lesson: Lesson) -> Sheet:
        """Begin a test of a lesson, or go on with the one that is open.

        Raises:
            UnknownError: If the lesson has nothing to ask.
            ClosedError: If it is outside its time, or was sat as often as the rules allow.
        """
        self.papers(member)
        with self.practice.records.work() as work:
            work.people.lock(member.id)
            offer = self._offer(work, member, lesson)
            if offer.open is not None:
                return self._sheet(work, self._own(work, member, offer.open.id))
            if offer.refusal:
                raise ClosedError(offer.refusal)
            paper = self.practice.chance.handle()
            issues = self._drawn(work, member, lesson, offer.rules, paper)
            if not issues:
                raise UnknownError("question in lesson", lesson.name)
            found = Paper(
                id=paper,
                member=member.id,
                lesson=lesson.name,
                begun=self.practice.clock.now(),
                handed_in=None,
                issues=tuple(issue.id for issue in issues),
            )
            work.papers.add(found)
        return self.sheet(member, found.id)

    def _drawn(self, work: Work, member: Member, lesson: Lesson, rules: PaperRules, paper: str) -> list[Issue]:
        """Draw the questions: first what the rules count out by topic, then all topics taking turns."""
        issues: list[Issue] = []
        left = dict(rules.topics)
        waiting: list[Template] = []

        def take(template: Template) -> bool:
            issue = issue_question(work, self.practice, member, lesson=lesson.name, template=template, paper=paper)
            issues.extend([issue] if issue is not None else [])
            return issue is not None

        for template in self._templates(lesson, rules):
            if left.get(template.topic, 0) > 0:
                left[template.topic] -= take(template)
            elif template.topic not in rules.topics:
                waiting.append(template)
        for template in waiting:
            if len(issues) >= rules.questions:
                break
            take(template)
        return issues

    def _templates(self, lesson: Lesson, rules: PaperRules) -> Sequence[Template]:
        """Return a test's templates in an order nobody can guess, topics taking turns."""
        shelf = self.practice.shelf
        topics = dict.fromkeys((*lesson.topics, *rules.topics))
        by_topic = {topic: [t for t in shelf.of_topic(topic) if t.level in rules.levels] for topic in topics}
        mixed = [self._mixed(templates) for templates in by_topic.values()]
        longest = max((len(templates) for templates in mixed), default=0)
        return [templates[i] for i in range(longest) for templates in mixed if i < len(templates)]

    def _mixed(self, templates: list[Template]) -> list[Template]:
        keyed = [(self.practice.chance.serial(), template.name, template) for template in templates]
        return [template for _, _, template in sorted(keyed, key=lambda entry: entry[:2])]

    def sheet(self, member: Member, paper: str) -> Sheet:
        """Return a member's own paper with its questions; one that its closing time has overtaken is handed in."""
        with self.practice.records.look() as work:
            found = self._sheet(work, self._own(work, member, paper))
        if self._is_overtaken(found.paper, found.rules):
            return self.hand_in(member, paper)
        return found

    def _own(self, work: Work, member: Member, paper: str) -> Paper:
        found = work.papers.get(paper)
        if found is None or found.member != member.id:
            raise UnknownError("paper", paper)
        return found

    def _sheet(self, work: Work, paper: Paper) -> Sheet:
        issues = [work.questions.get(issue) for issue in paper.issues]
        rules = _rules(work, self.practice.shelf.lesson_called(paper.lesson))
        handed = paper.handed_in
        is_open = handed is not None and rules.solutions_from(handed) <= self.practice.clock.now()
        return Sheet(paper, tuple(issue for issue in issues if issue is not None), rules, is_open)

    def _is_overtaken(self, paper: Paper, rules: PaperRules) -> bool:
        return paper.handed_in is None and rules.closes is not None and rules.closes <= self.practice.clock.now()

    def papers(self, member: Member) -> Sequence[Paper]:
        """Return a member's papers, the latest first; those that their closing time has overtaken are handed in."""
        with self.practice.records.look() as work:
            found = work.papers.of_member(member.id)
            unfinished = [paper for paper in found if paper.handed_in is None]
            rules = {p.id: _rules(work, self.practice.shelf.lesson_called(p.lesson)) for p in unfinished}
        overtaken = [paper for paper in unfinished if self._is_overtaken(paper, rules[paper.id])]
        if not overtaken:
            return found
        for paper in overtaken:
            self.hand_in(member, paper.id)
        with self.practice.records.look() as work:
            return work.papers.of_member(member.id)

    def save(self, member: Member, paper: str, answers: Typed, was: Typed | None = None) -> Sheet:
        """Keep what has been typed so far.

        Args:
            member: Whose paper it is.
            paper: The paper.
            answers: What stands in the fields.
            was: What stood there when the page was made; a field that has not changed since leaves what another
                device typed meanwhile. Without it every field counts as typed just now.
        Raises:
            ClosedError: If the paper is handed in.
        """
        self.sheet(member, paper)  # which hands it in when its time is over
        clashes: list[Clash] = []
        with self.practice.records.work() as work:
            work.people.lock(member.id)
            found = self._sheet(work, self._own(work, member, paper))
            if found.paper.handed_in is not None:
                raise ClosedError("This paper was handed in; nothing can be changed any more.")
            for issue in found.issues:
                if issue.id in answers:
                    seen = None if was is None else was.get(issue.id, {})
                    kept = _merged(issue, found.draft(issue), answers[issue.id], seen, clashes)
                    work.papers.save(paper, issue.id, kept)
        return replace(self.sheet(member, paper), clashes=tuple(clashes))

    def hand_in(self, member: Member, paper: str) -> Sheet:
        """Hand a paper in and mark it; a second time changes nothing.

        What cannot be read earns nothing here: the fields were shown for review before.
        """
        with self.practice.records.work() as work:
            work.people.lock(member.id)
            found = self._sheet(work, self._own(work, member, paper))
            now = self.practice.clock.now()
            if self._is_overtaken(found.paper, found.rules):
                now = found.rules.closes or now
            if work.papers.hand_in(paper, now):
                self._mark(work, member, found, now)
        return self.sheet(member, paper)

    def _mark(self, work: Work, member: Member, sheet: Sheet, now: datetime) -> None:
        earned = 0
        for issue in sheet.issues:
            answers = sheet.draft(issue)
            result = mark(issue.question, answers)
            attempt = work.questions.add_attempt(issue.id, member.id, f"paper {sheet.paper.id}", answers, result, now)
            work.questions.open_solution(issue.id, sheet.rules.solutions_from(now))
            credit(work, self.practice.shelf, self.practice.clock, member.id, issue, attempt)
            earned += result.marks
        work.papers.put_marks(sheet.paper.id, earned, sheet.of)


def _rules(work: Work, lesson: Lesson) -> PaperRules:
    """Return the rules of a lesson's test: those that the club planned, else those of the course file."""
    plan = work.courses.plan(lesson.name)
    return plan.test if plan is not None and plan.test is not None else lesson.test


def _refusal(rules: PaperRules, sat: int, now: datetime) -> str:
    if rules.opens is not None and now < rules.opens:
        return "This test is not open yet."
    if rules.closes is not None and now >= rules.closes:
        return "This test is closed."
    if rules.sittings and sat >= rules.sittings:
        often = "once" if rules.sittings == 1 else f"{rules.sittings} times"
        return f"This test can be sat {often}, and you have done so."
    return ""


def _merged(
    issue: Issue,
    stored: Mapping[str, str],
    typed: Mapping[str, str],
    was: Mapping[str, str] | None,
    clashes: list[Clash],
) -> dict[str, str]:
    """Return the fields of a question after saving; a field typed on two devices is noted as a clash."""
    kept = dict(stored)
    for ask in issue.question.asks:
        if ask.name not in typed:
            continue
        new, now = typed[ask.name][:LONGEST], stored.get(ask.name, "")
        before = None if was is None else was.get(ask.name, "")
        if new in (before, now):
            continue
        if before is not None and now and now != before:
            clashes.append(Clash(issue.id, ask.name, now))
        kept[ask.name] = new
    return kept
