"""The class room: how the members of a club stand, who needs help and with what. For trainers and organisers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from tutor.learning.courses import Shelf
from tutor.learning.errors import PlanError, UnknownError
from tutor.learning.lessons import Course, Lesson
from tutor.learning.ports import Clock, Records, Work
from tutor.learning.progress import Progress, TopicProgress, topic_progress
from tutor.learning.records import Group, IssueLine, Member, Paper
from tutor.learning.standing import Standing, Word
from tutor.learning.tallies import PracticeDay, SlipTally
from tutor.questions.bank import Topic

AT_ONCE = 50
STUCK_ANSWERS, STUCK_BELOW = 5, 0.5
"""Somebody is stuck in a topic when five answers or more have left the needle in the lower half (ours)."""

AWAY_DAYS = 21
REPEATED = 2


@dataclass(frozen=True, slots=True)
class Row:
    """One member in the class: a cell for every topic, None where it is not tried."""

    member: Member
    cells: tuple[TopicProgress, ...]
    last: date | None


@dataclass(frozen=True, slots=True)
class ClassPage:
    """Some members by the topics of a course.

    Attributes:
        course: The course.
        topics: Its topics, in order.
        rows: The members.
        group: Of which group, or None for everybody.
        after: Where the next page begins, or None.
    """

    course: Course
    topics: tuple[Topic, ...]
    rows: tuple[Row, ...]
    group: Group | None
    after: tuple[str, int] | None


@dataclass(frozen=True, slots=True)
class Need:
    """A member who needs help, and with what.

    Attributes:
        member: Who.
        stuck: Topics that do not rise.
        slips: Slips made again and again, not overcome.
        away: Days since the last practice, when it is long; else 0.
    """

    member: Member
    stuck: tuple[TopicProgress, ...]
    slips: tuple[SlipTally, ...]
    away: int

    @property
    def weight(self) -> tuple[int, int, int]:
        """How pressing it is."""
        return len(self.stuck), sum(slip.times for slip in self.slips), self.away


@dataclass(frozen=True, slots=True)
class SharedSlip:
    """A slip that several members have open."""

    title: str
    template: str
    words: str
    members: int
    times: int


@dataclass(frozen=True, slots=True)
class MemberPage:
    """One member, for a trainer.

    Attributes:
        member: Who.
        topics: How they stand, tried topics only.
        slips: The slips they made, open ones first.
        days: Days of practice.
        papers: Tests handed in.
        history: What was issued lately.
    """

    member: Member
    topics: tuple[TopicProgress, ...]
    slips: tuple[SlipTally, ...]
    days: tuple[PracticeDay, ...]
    papers: tuple[Paper, ...]
    history: tuple[IssueLine, ...]


@dataclass(frozen=True, slots=True)
class ClassRoom:
    """The use cases of looking at a class."""

    records: Records
    clock: Clock
    shelf: Shelf
    progress: Progress

    def page(self, course: str, group: int | None = None, after: tuple[str, int] | None = None) -> ClassPage:
        """Return some members by the topics of a course.

        Args:
            course: The course.
            group: A group's number, or None for everybody.
            after: Name and number of the last member of the page before.
        Raises:
            UnknownError: If there is no such course or group.
        """
        found = self.shelf.course(course)
        with self.records.look() as work:
            chosen = _group(work, group)
            members = work.people.page(group=group, after=after, limit=AT_ONCE + 1)
            rows = self._rows(work, members[:AT_ONCE], _topics(found))
        last = members[AT_ONCE - 1] if len(members) > AT_ONCE else None
        topics = tuple(self.shelf.topic(name) for name in _topics(found))
        return ClassPage(found, topics, rows, chosen, (last.name, last.id) if last is not None else None)

    def everybody(self, course: str, group: int | None = None) -> Iterator[Row]:
        """Return all members by the topics of a course, for an export."""
        after: tuple[str, int] | None = None
        while True:
            page = self.page(course, group, after)
            yield from page.rows
            after = page.after
            if after is None:
                return

    def _rows(self, work: Work, members: Sequence[Member], topics: Sequence[str]) -> tuple[Row, ...]:
        difficulties = work.standings.all_difficulties()
        standings = work.standings.of_members([member.id for member in members])
        curves = {topic: self.progress.curve(topic, difficulties) for topic in topics}
        day = self.clock.day(self.clock.now())
        rows = []
        for member in members:
            own = standings[member.id]
            cells = tuple(topic_progress(self.shelf.topic(t), own.get(t), curves[t], day) for t in topics)
            rows.append(Row(member, cells, _last(own.values())))
        return tuple(rows)

    def groups(self) -> Sequence[Group]:
        """Return the groups of the club."""
        with self.records.look() as work:
            return work.people.groups()

    # -- help ----------------------------------------------------------------------------------------------------------
    def needs(self, group: int | None = None) -> list[Need]:
        """Return who needs help and with what, the most pressing first."""
        found = []
        day = self.clock.day(self.clock.now())
        topics = tuple(dict.fromkeys(topic for lesson in self.shelf.lessons for topic in lesson.topics))
        for members in self._pages(group):
            with self.records.look() as work:
                rows = self._rows(work, members, topics)
                slips = work.tallies.slips_of([member.id for member in members])
            for row in rows:
                need = _need(row, slips.get(row.member.id, ()), day)
                if need is not None:
                    found.append(need)
        return sorted(found, key=lambda need: need.weight, reverse=True)

    def shared_slips(self, group: int | None = None) -> list[SharedSlip]:
        """Return the open slips that two members or more share, the most frequent first: what to go through again."""
        members: Counter[tuple[str, str]] = Counter()
        times: Counter[tuple[str, str]] = Counter()
        told: dict[tuple[str, str], SlipTally] = {}
        for page in self._pages(group):
            with self.records.look() as work:
                slips = work.tallies.slips_of([member.id for member in page])
            for slip in (slip for own in slips.values() for slip in own):
                key = (slip.template, slip.slip)
                members[key] += 1
                times[key] += slip.times
                told[key] = slip
        shared = [
            SharedSlip(told[key].title, key[0], told[key].words, count, times[key])
            for key, count in members.items()
            if count > 1
        ]
        return sorted(shared, key=lambda slip: (-slip.members, -slip.times, slip.title, slip.words))

    def _pages(self, group: int | None) -> Iterator[Sequence[Member]]:
        after: tuple[str, int] | None = None
        while True:
            with self.records.look() as work:
                _group(work, group)
                members = work.people.page(group=group, after=after, limit=AT_ONCE)
            if not members:
                return
            yield members
            after = (members[-1].name, members[-1].id)

    # -- one member ----------------------------------------------------------------------------------------------------
    def member(self, member: int) -> MemberPage:
        """Return one member.

        Raises:
            UnknownError: If there is no such member.
        """
        with self.records.look() as work:
            found = work.people.by_id(member)
            if found is None:
                raise UnknownError("member", str(member))
            papers = work.papers.of_member(member)
        return MemberPage(
            found,
            tuple(topic for topic in self.progress.topics(found) if topic.word is not Word.NOT_TRIED),
            tuple(self.progress.slips(found)),
            tuple(self.progress.days(found)),
            tuple(paper for paper in papers if paper.handed_in is not None),
            tuple(self.progress.history(found, limit=40)),
        )

    def papers(self, lesson: Lesson) -> list[tuple[Member, Paper]]:
        """Return the papers of a lesson that were handed in, with their members, the latest first."""
        with self.records.look() as work:
            papers = work.papers.handed_in(lesson.name)
            people = {member.id: member for member in work.people.everybody()}
        return [(people[paper.member], paper) for paper in papers]

    # -- groups --------------------------------------------------------------------------------------------------------
    def make_group(self, name: str) -> Group:
        """Make a group.

        Raises:
            PlanError: If the name is empty or too long.
            GroupTakenError: If there is one of that name.
        """
        name = " ".join(name.split())
        if not 1 <= len(name) <= 100:
            raise PlanError("A group's name has 1 to 100 characters.")
        with self.records.work() as work:
            return work.people.add_group(name)

    def set_group(self, group: int, members: Iterable[int]) -> None:
        """Say who belongs to a group; people that do not exist are left out."""
        with self.records.work() as work:
            _group(work, group)
            known = {member.id for member in work.people.everybody()}
            work.people.set_group(group, frozenset(members) & known)

    def drop_group(self, group: int) -> None:
        """Drop a group; its members stay."""
        with self.records.work() as work:
            _group(work, group)
            work.people.drop_group(group)


def _topics(course: Course) -> tuple[str, ...]:
    return tuple(dict.fromkeys(topic for lesson in course.lessons for topic in lesson.topics))


def _group(work: Work, group: int | None) -> Group | None:
    if group is None:
        return None
    found = next((one for one in work.people.groups() if one.id == group), None)
    if found is None:
        raise UnknownError("group", str(group))
    return found


def _last(standings: Iterable[Standing]) -> date | None:
    return max((standing.last for standing in standings), default=None)


def _need(row: Row, slips: Sequence[SlipTally], day: date) -> Need | None:
    stuck = tuple(
        cell
        for cell in row.cells
        if cell.answers >= STUCK_ANSWERS and cell.score is not None and cell.score.mean < STUCK_BELOW
    )
    repeated = tuple(slip for slip in slips if slip.times >= REPEATED)
    days = 0 if row.last is None else (day - row.last).days
    away = days if days >= AWAY_DAYS else 0
    return Need(row.member, stuck, repeated, away) if stuck or repeated or away else None
