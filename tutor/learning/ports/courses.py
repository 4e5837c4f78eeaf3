"""Port: what a club plans for its courses, members' own notes, and the private address of a calendar."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from tutor.learning.plans import CoursePlan, LessonPlan, Note


class Courses(Protocol):
    """Plans of lessons and courses, notes, calendar addresses."""

    def plans(self) -> Mapping[str, LessonPlan]:
        """Return every lesson's plan by the lesson's name."""
        ...

    def plan(self, lesson: str) -> LessonPlan | None: ...

    def put_plan(self, plan: LessonPlan) -> None: ...

    def course_plans(self) -> Mapping[str, CoursePlan]: ...

    def put_course_plan(self, plan: CoursePlan) -> None: ...

    def note(self, member: int, lesson: str) -> Note | None: ...

    def put_note(self, member: int, note: Note) -> None: ...

    def feed(self, member: int) -> str | None:
        """Return the token of a member's calendar address, or None."""
        ...

    def put_feed(self, member: int, token: str) -> None: ...

    def feed_owner(self, token: str) -> int | None: ...
