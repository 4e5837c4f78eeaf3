"""Course work: what a club plans for its lessons, a member's own notes, the calendar, the certificate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tutor.learning.courses import Shelf
from tutor.learning.errors import PlanError, UnknownError
from tutor.learning.lessons import Course, Lesson
from tutor.learning.plans import CoursePlan, LessonPlan, Note
from tutor.learning.ports import Chance, Clock, Records
from tutor.learning.progress import Progress, TopicProgress
from tutor.learning.records import Member
from tutor.learning.standing import Word
from tutor.questions.bank import Topic

LONGEST_NOTE = 10_000
LONGEST_LESSON = 24 * 60
RECORDING_SCHEMES = ("https://", "http://")


@dataclass(frozen=True, slots=True)
class LessonPage:
    """A lesson with what the club planned for it and how a member stands in it.

    Attributes:
        lesson: The lesson.
        plan: Dates, place, recording.
        topics: How the member stands in its topics.
        needs: Topics of other lessons that it builds on.
    """

    lesson: Lesson
    plan: LessonPlan
    topics: tuple[TopicProgress, ...]
    needs: tuple[Topic, ...]

    @property
    def done(self) -> bool:
        """Whether all its topics are secure."""
        return bool(self.topics) and all(topic.word is Word.SECURE for topic in self.topics)


@dataclass(frozen=True, slots=True)
class CoursePage:
    """A course as a member sees it."""

    course: Course
    plan: CoursePlan
    lessons: tuple[LessonPage, ...]

    @property
    def topics(self) -> tuple[TopicProgress, ...]:
        """Every topic of the course once, in order."""
        found = {topic.topic.name: topic for lesson in self.lessons for topic in lesson.topics}
        return tuple(found.values())

    @property
    def secure(self) -> int:
        """How many of its topics are secure."""
        return sum(topic.word is Word.SECURE for topic in self.topics)


@dataclass(frozen=True, slots=True)
class Certificate:
    """What a member has shown in a course.

    Attributes:
        member: Who.
        course: The course.
        shown: Topics that were shown secure, with the day on which they first were and whether they are today.
        topics: How many topics the course has.
        lessons: Titles of the lessons whose topics were all shown secure.
        on: The club's day.
    """

    member: Member
    course: Course
    shown: tuple[tuple[Topic, date, bool], ...]
    topics: int
    lessons: tuple[str, ...]
    on: date

    @property
    def complete(self) -> bool:
        """Whether every topic of the course was shown secure."""
        return len(self.shown) == self.topics > 0


@dataclass(frozen=True, slots=True)
class Event:
    """A lesson, or the time of a test, in a calendar.

    Attributes:
        uid: Name that stays when the time changes.
        title: What it is.
        words: More of it.
        starts, ends: When.
        place: Where, in words.
    """

    uid: str
    title: str
    words: str
    starts: datetime
    ends: datetime
    place: str


@dataclass(frozen=True, slots=True)
class CourseWork:
    """The use cases around courses."""

    records: Records
    clock: Clock
    chance: Chance
    shelf: Shelf
    progress: Progress

    # -- looking -------------------------------------------------------------------------------------------------------
    def course(self, member: Member, name: str) -> CoursePage:
        """Return a course as a member sees it.

        Raises:
            UnknownError: If there is no such course.
        """
        course = self.shelf.course(name)
        topics = {progress.topic.name: progress for progress in self.progress.topics(member)}
        with self.records.look() as work:
            plans = work.courses.plans()
            plan = work.courses.course_plans().get(name) or CoursePlan(name)
        lessons = tuple(self._lesson(lesson, plans, topics) for lesson in course.lessons)
        return CoursePage(course, plan, lessons)

    def lesson(self, member: Member, lesson: Lesson) -> LessonPage:
        """Return a lesson as a member sees it."""
        topics = {progress.topic.name: progress for progress in self.progress.topics(member, lesson)}
        with self.records.look() as work:
            plans = work.courses.plans()
        return self._lesson(lesson, plans, topics)

    def _lesson(
        self, lesson: Lesson, plans: Mapping[str, LessonPlan], topics: Mapping[str, TopicProgress]
    ) -> LessonPage:
        needs = dict.fromkeys(need for topic in lesson.topics for need in self.shelf.topic(topic).needs)
        return LessonPage(
            lesson,
            plans.get(lesson.name) or LessonPlan(lesson=lesson.name),
            tuple(topics[topic] for topic in lesson.topics),
            tuple(self.shelf.topic(need) for need in needs if need not in lesson.topics),
        )

    def coming(self) -> list[tuple[Lesson, LessonPlan]]:
        """Return the lessons that are still to be held, the next first."""
        now = self.clock.now()
        with self.records.look() as work:
            plans = work.courses.plans()
        coming = [(lesson, plans[lesson.name]) for lesson in self.shelf.lessons if lesson.name in plans]
        dated = [(p.starts, lesson, p) for lesson, p in coming if p.starts is not None and _end(p) > now]
        return [(lesson, plan) for _, lesson, plan in sorted(dated, key=lambda entry: (entry[0], entry[1].name))]

    # -- planning ------------------------------------------------------------------------------------------------------
    def plan_lesson(self, plan: LessonPlan) -> None:
        """Store what is planned for a lesson.

        Raises:
            UnknownError: If there is no such lesson.
            PlanError: If its recording is no web address, or it lasts longer than a day.
        """
        lesson = self.shelf.lesson(plan.lesson)
        if plan.recording and not plan.recording.startswith(RECORDING_SCHEMES):
            raise PlanError(f"The recording {plan.recording!r} is no web address; it begins with https://")
        if not 1 <= plan.minutes <= LONGEST_LESSON:
            raise PlanError(f"A lesson of {plan.minutes} minutes cannot be; give 1 to {LONGEST_LESSON}.")
        known = {*lesson.topics, *self.shelf.library.topics}
        for topic in plan.test.topics if plan.test is not None else ():
            if topic not in known:
                raise PlanError(f"The test asks for a topic {topic!r}, which nobody defined.")
        with self.records.work() as work:
            work.courses.put_plan(plan)

    def plan_of(self, lesson: Lesson) -> LessonPlan:
        """Return what is planned for a lesson."""
        with self.records.look() as work:
            return work.courses.plan(lesson.name) or LessonPlan(lesson=lesson.name)

    def plan_course(self, plan: CoursePlan) -> None:
        """Store what is planned for a course."""
        self.shelf.course(plan.course)
        with self.records.work() as work:
            work.courses.put_course_plan(plan)

    # -- notes ---------------------------------------------------------------------------------------------------------
    def note(self, member: Member, lesson: Lesson) -> Note | None:
        """Return a member's own note on a lesson."""
        with self.records.look() as work:
            return work.courses.note(member.id, lesson.name)

    def write_note(self, member: Member, lesson: Lesson, text: str) -> None:
        """Keep a member's own note on a lesson; nobody else reads it.

        Raises:
            PlanError: If it is too long to be kept whole.
        """
        if len(text) > LONGEST_NOTE:
            raise PlanError(f"The note has {len(text)} characters; {LONGEST_NOTE} are kept. Shorten it.")
        with self.records.work() as work:
            work.courses.put_note(member.id, Note(lesson.name, text.strip(), self.clock.now()))

    # -- certificate ---------------------------------------------------------------------------------------------------
    def certificate(self, member: Member, name: str) -> Certificate:
        """Return what a member has shown secure in a course."""
        page = self.course(member, name)
        with self.records.look() as work:
            standings = work.standings.of_member(member.id)
        shown = []
        for progress in page.topics:
            standing = standings.get(progress.topic.name)
            if standing is not None and standing.secured is not None:
                shown.append((progress.topic, standing.secured, progress.word is Word.SECURE))
        names = {topic.name for topic, _, _ in shown}
        whole = [one.lesson.title for one in page.lessons if one.lesson.topics and names.issuperset(one.lesson.topics)]
        on = self.clock.day(self.clock.now())
        return Certificate(member, page.course, tuple(shown), len(page.topics), tuple(whole), on)

    # -- calendar ------------------------------------------------------------------------------------------------------
    def feed(self, member: Member) -> str | None:
        """Return the token of a member's calendar address, or None while they have none."""
        with self.records.look() as work:
            return work.courses.feed(member.id)

    def new_feed(self, member: Member) -> str:
        """Make a member's calendar address, or a new one in place of one that got about."""
        token = self.chance.token()
        with self.records.work() as work:
            work.courses.put_feed(member.id, token)
        return token

    def calendar(self, token: str) -> Sequence[Event]:
        """Return the lessons and tests of all courses.

        Raises:
            UnknownError: If nobody has such an address.
        """
        with self.records.look() as work:
            if work.courses.feed_owner(token) is None:
                raise UnknownError("calendar", token[:8])
            plans = work.courses.plans()
        return [event for lesson in self.shelf.lessons for event in _events(lesson, plans.get(lesson.name))]


def _end(plan: LessonPlan) -> datetime:
    assert plan.starts is not None
    return plan.starts + timedelta(minutes=plan.minutes)


def _events(lesson: Lesson, plan: LessonPlan | None) -> list[Event]:
    if plan is None:
        return []
    events = []
    if plan.starts is not None:
        words = " ".join((lesson.words, f"Recording: {plan.recording}" if plan.recording else "")).strip()
        events.append(Event(f"lesson-{lesson.name}", lesson.title, words, plan.starts, _end(plan), plan.place))
    if plan.test is not None and plan.test.closes is not None:
        closes = plan.test.closes
        title = f"Test closes: {lesson.title}"
        events.append(Event(f"test-{lesson.name}", title, "", closes - timedelta(minutes=30), closes, ""))
    return events
