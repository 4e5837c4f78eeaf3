"""The tables of what a club adds to its courses: plans, notes, calendar addresses, groups."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Integer, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from tutor.store.tables import Table


class LessonPlanRow(Table):
    """What is planned for a lesson."""

    __tablename__ = "lesson_plans"
    lesson: Mapped[str] = mapped_column(String(100), primary_key=True)
    starts: Mapped[datetime | None]
    minutes: Mapped[int]
    place: Mapped[str] = mapped_column(String(200))
    recording: Mapped[str] = mapped_column(String(500))
    test: Mapped[dict[str, Any] | None] = mapped_column(JSON)


class CoursePlanRow(Table):
    """What is planned for a course."""

    __tablename__ = "course_plans"
    course: Mapped[str] = mapped_column(String(100), primary_key=True)
    ends: Mapped[date | None]


class NoteRow(Table):
    """A member's own note on a lesson."""

    __tablename__ = "notes"
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    lesson: Mapped[str] = mapped_column(String(100), primary_key=True)
    text: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime]


class FeedRow(Table):
    """The private address of a member's calendar; it opens nothing but the dates of lessons."""

    __tablename__ = "feeds"
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    token: Mapped[str] = mapped_column(String(64), unique=True)


class GroupRow(Table):
    """Members who are looked at together."""

    __tablename__ = "groups"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    name: Mapped[str] = mapped_column(String(100), unique=True)


class GroupMemberRow(Table):
    """Who belongs to a group."""

    __tablename__ = "group_members"
    group_id: Mapped[int] = mapped_column(ForeignKey("groups.id", ondelete="CASCADE"), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True, index=True)
