"""Courses and lessons as they stand on the shelf."""

from __future__ import annotations

from dataclasses import dataclass, field

from tutor.learning.plans import PaperRules


@dataclass(frozen=True, slots=True)
class Lesson:
    """One tutorial with its quiz.

    Attributes:
        name: Its key, unique over all courses.
        title: For people.
        words: What the lesson walks through.
        course: Its course.
        topics: What it practises.
        test: Rules of its test, where the club has not planned others.
    """

    name: str
    title: str
    words: str
    course: str
    topics: tuple[str, ...]
    test: PaperRules = field(default_factory=PaperRules)


@dataclass(frozen=True, slots=True)
class Course:
    """Lessons in order."""

    name: str
    title: str
    words: str
    lessons: tuple[Lesson, ...]


MIXED = Lesson("", "Mixed practice", "Topics of all open lessons, taking turns.", "", ())
"""Practice across lessons; questions of it are stored under the lesson ""."""
