"""Plans of lessons and courses, members' own notes, calendar addresses."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from tutor.learning.plans import CoursePlan, LessonPlan, Note, read_rules, rules_data
from tutor.store.course_tables import CoursePlanRow, FeedRow, LessonPlanRow, NoteRow


class SqlCourses:
    """The adapter of `learning.ports.Courses`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def plans(self) -> Mapping[str, LessonPlan]:
        return {row.lesson: _plan(row) for row in self._session.scalars(select(LessonPlanRow))}

    def plan(self, lesson: str) -> LessonPlan | None:
        row = self._session.get(LessonPlanRow, lesson)
        return None if row is None else _plan(row)

    def put_plan(self, plan: LessonPlan) -> None:
        row = self._session.get(LessonPlanRow, plan.lesson) or LessonPlanRow(lesson=plan.lesson)
        row.starts, row.minutes, row.place, row.recording = plan.starts, plan.minutes, plan.place, plan.recording
        row.test = None if plan.test is None else rules_data(plan.test)
        self._session.add(row)
        self._session.flush()

    def course_plans(self) -> Mapping[str, CoursePlan]:
        return {row.course: CoursePlan(row.course, row.ends) for row in self._session.scalars(select(CoursePlanRow))}

    def put_course_plan(self, plan: CoursePlan) -> None:
        row = self._session.get(CoursePlanRow, plan.course) or CoursePlanRow(course=plan.course)
        row.ends = plan.ends
        self._session.add(row)
        self._session.flush()

    def note(self, member: int, lesson: str) -> Note | None:
        row = self._session.get(NoteRow, (member, lesson))
        return None if row is None else Note(row.lesson, row.text, row.at)

    def put_note(self, member: int, note: Note) -> None:
        row = self._session.get(NoteRow, (member, note.lesson)) or NoteRow(member_id=member, lesson=note.lesson)
        row.text, row.at = note.text, note.at
        self._session.add(row)
        self._session.flush()

    def feed(self, member: int) -> str | None:
        row = self._session.get(FeedRow, member)
        return None if row is None else row.token

    def put_feed(self, member: int, token: str) -> None:
        row = self._session.get(FeedRow, member) or FeedRow(member_id=member)
        row.token = token
        self._session.add(row)
        self._session.flush()

    def feed_owner(self, token: str) -> int | None:
        return self._session.scalar(select(FeedRow.member_id).where(FeedRow.token == token))


def _plan(row: LessonPlanRow) -> LessonPlan:
    return LessonPlan(
        lesson=row.lesson,
        starts=row.starts,
        minutes=row.minutes,
        place=row.place,
        recording=row.recording,
        test=None if row.test is None else read_rules(row.test),
    )
