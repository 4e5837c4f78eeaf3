"""Making a round: what is asked, of whom, and each member's own paper with its own serials and code."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from tutor.learning.courses import Shelf
from tutor.learning.errors import UnknownError
from tutor.learning.issuing import issue_question
from tutor.learning.plans import LEVELS
from tutor.learning.ports import Chance, Clock, Work
from tutor.learning.practice import Practice
from tutor.learning.records import Issue, Member
from tutor.learning.round_records import Address, By, Round, RoundPaper, RoundSheet
from tutor.learning.rounds.codes import code_of
from tutor.learning.rounds.errors import RoundError
from tutor.questions.template import Template

MOST_QUESTIONS = 12
PAPER_OF_ROUND = "round "
"""What an issue's paper begins with when it belongs to a round; the code follows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPlan:
    """What an organiser wants.

    Attributes:
        title: For people.
        lesson: Whose topics it is about, or "".
        topics: Topics beside those of the lesson.
        questions: How many.
        levels: Levels that are asked.
        members: Ids of the members.
        groups: Ids of groups whose members get it too.
        closes: Closing time, or None.
        common: Whether everybody has the same values.
        note: A word for the head of the paper.
    """

    title: str
    lesson: str = ""
    topics: tuple[str, ...] = ()
    questions: int = 3
    levels: tuple[int, ...] = LEVELS
    members: tuple[int, ...] = ()
    groups: tuple[int, ...] = ()
    closes: datetime | None = None
    common: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class RoundMaking:
    """The use cases of making rounds and looking them up."""

    practice: Practice

    def make(self, plan: RoundPlan) -> Round:
        """Make a round with a paper for every member.

        Raises:
            RoundError: If the plan cannot be; says why.
            UnknownError: If a lesson, group or member does not exist.
        """
        _check(plan, self.practice.clock.now())
        with self.practice.records.work() as work:
            members = _members(work, plan)
            if not members:
                raise RoundError("A round needs at least one member or group.")
            serials: dict[str, int] = {}
            round_ = self._round(plan)
            work.rounds.add(round_)
            addresses = work.rounds.addresses()
            for member in members:
                work.people.lock(member.id)
                self._paper(work, round_, member, addresses.get(member.id, Address(member.id)), serials)
        return round_

    def _round(self, plan: RoundPlan) -> Round:
        templates = self._templates(plan)
        if not templates:
            raise RoundError("Nothing is asked about these topics on these levels; choose others.")
        return Round(
            id=self.practice.chance.handle(),
            title=plan.title.strip(),
            lesson=plan.lesson,
            topics=self._topics(plan),
            templates=tuple(template.name for template in templates),
            common=plan.common,
            note=plan.note.strip(),
            made=self.practice.clock.now(),
            closes=plan.closes,
        )

    def _topics(self, plan: RoundPlan) -> tuple[str, ...]:
        lesson = self.practice.shelf.lesson(plan.lesson) if plan.lesson else None
        return tuple(dict.fromkeys((*(lesson.topics if lesson else ()), *plan.topics)))

    def _templates(self, plan: RoundPlan) -> list[Template]:
        """Return what is asked: topics taking turns, within a topic in an order nobody can guess."""
        found: dict[str, list[Template]] = {}
        for topic in self._topics(plan):
            fitting = [t for t in self.practice.shelf.of_topic(topic) if t.level in plan.levels]
            keyed = sorted((self.practice.chance.serial(), template.name, template) for template in fitting)
            found[topic] = [template for _, _, template in keyed]
        longest = max((len(templates) for templates in found.values()), default=0)
        turns = [templates[i] for i in range(longest) for templates in found.values() if i < len(templates)]
        return sorted(turns[: plan.questions], key=lambda template: template.level)

    def _paper(self, work: Work, round_: Round, member: Member, address: Address, serials: dict[str, int]) -> None:
        code = self._fresh_code(work)
        issues: list[Issue] = []
        for name in round_.templates:
            desk = _CommonDesk(self.practice, serials.get(name)) if round_.common else self.practice
            template = self.practice.shelf.template(name)
            issue = issue_question(
                work, desk, member, lesson=round_.lesson, template=template, paper=PAPER_OF_ROUND + code
            )
            if issue is None:
                raise RoundError(
                    f"The question {template.title!r} cannot be drawn; take it out of its bank, or mend it."
                )
            serials.setdefault(name, issue.question.serial)
            issues.append(issue)
        by = By.MAIL if address.by is By.MAIL and address.email else By.PAPER
        work.rounds.add_paper(
            RoundPaper(code=code, round=round_.id, member=member.id, by=by, issues=tuple(issue.id for issue in issues))
        )

    def _fresh_code(self, work: Work) -> str:
        while True:
            code = code_of(self.practice.chance.serial())
            if code is not None and not work.rounds.has_code(code):
                return code

    def all(self) -> Sequence[Round]:
        """Return the rounds, the latest first."""
        with self.practice.records.look() as work:
            return work.rounds.all()

    def get(self, round_: str) -> Round:
        """Return a round; raises UnknownError."""
        with self.practice.records.look() as work:
            found = work.rounds.get(round_)
        if found is None:
            raise UnknownError("round", round_)
        return found

    def sheets(self, round_: str) -> Sequence[RoundSheet]:
        """Return the papers of a round with all that belongs to them; raises UnknownError."""
        with self.practice.records.look() as work:
            papers = work.rounds.papers(self.get(round_).id)
            return [sheet_of(work, paper) for paper in papers]


@dataclass(frozen=True, slots=True)
class _CommonDesk:
    """A desk that draws with the serial of the first paper; anew where a member has had that one."""

    practice: Practice
    serial_: int | None
    _used: list[int] = field(default_factory=list)

    @property
    def clock(self) -> Clock:
        return self.practice.clock

    @property
    def chance(self) -> Chance:
        return self  # type: ignore[return-value]  # the part of it that issuing needs

    @property
    def shelf(self) -> Shelf:
        return self.practice.shelf

    def handle(self) -> str:
        return self.practice.chance.handle()

    def serial(self) -> int:
        if self.serial_ is None or self._used:
            return self.practice.chance.serial()
        self._used.append(self.serial_)
        return self.serial_


def sheet_of(work: Work, paper: RoundPaper) -> RoundSheet:
    """Return a paper with its round, member, address and questions."""
    round_, member = work.rounds.get(paper.round), work.people.by_id(paper.member)
    assert round_ is not None
    assert member is not None
    address = work.rounds.addresses().get(paper.member, Address(paper.member))
    issues = [work.questions.get(issue) for issue in paper.issues]
    return RoundSheet(
        round=round_,
        paper=paper,
        member=member,
        address=address,
        issues=tuple(issue for issue in issues if issue is not None),
    )


def _check(plan: RoundPlan, now: datetime) -> None:
    if not plan.title.strip() or len(plan.title) > 200:
        raise RoundError("A round needs a title of up to 200 characters.")
    if not 1 <= plan.questions <= MOST_QUESTIONS:
        raise RoundError(f"A paper holds 1 to {MOST_QUESTIONS} questions; {plan.questions} are wanted.")
    if not plan.lesson and not plan.topics:
        raise RoundError("A round is about a lesson or about topics; choose at least one.")
    if plan.closes is not None and plan.closes <= now:
        raise RoundError("The closing time is over already; give a later one.")
    if len(plan.note) > 2000:
        raise RoundError("The word at the head of the paper may have 2000 characters.")


def _members(work: Work, plan: RoundPlan) -> list[Member]:
    wanted = dict.fromkeys(plan.members)
    wanted.update(dict.fromkeys(_in_groups(work, plan.groups)))
    found = [(number, work.people.by_id(number)) for number in sorted(wanted)]
    unknown = next((str(number) for number, member in found if member is None), None)
    if unknown is not None:
        raise UnknownError("member", unknown)
    return sorted((member for _, member in found if member is not None), key=lambda member: member.name.casefold())


def _in_groups(work: Work, wanted: Sequence[int]) -> Iterator[int]:
    groups = {group.id: group for group in work.people.groups()}
    for number in wanted:
        if number not in groups:
            raise UnknownError("group", str(number))
        yield from groups[number].members
