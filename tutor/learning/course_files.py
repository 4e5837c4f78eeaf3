"""Reading course files: lessons in order, their topics, the rules of their tests."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tutor.circuits.source import Source
from tutor.errors import Fault, FaultyFileError
from tutor.learning.errors import PlanError
from tutor.learning.lessons import Course, Lesson
from tutor.learning.plans import PaperRules, read_rules

_COURSE_KEYS = ("course", "title", "words", "lessons")
_LESSON_KEYS = ("lesson", "title", "words", "topics", "test")
_Report = Callable[[tuple[str | int, ...], str], None]


def read_course(source: Source) -> Course:
    """Read a course file.

    Raises:
        FaultyFileError: With every fault.
    """
    data = source.data
    if not isinstance(data, Mapping):
        raise FaultyFileError([source.fault((), "a course file holds `course:`, `title:` and `lessons:`")])
    faults: list[Fault] = []

    def report(path: tuple[str | int, ...], says: str) -> None:
        faults.append(source.fault(path, says))

    _report_unknown(data, _COURSE_KEYS, (), report)
    for key in ("course", "title", "lessons"):
        if not data.get(key):
            report((key,), "it is missing; give it")
    name = str(data.get("course") or "")
    raw = data.get("lessons")
    lessons = [
        _read_lesson(lesson, name, ("lessons", place), report)
        for place, lesson in enumerate(raw if isinstance(raw, list) else [])
    ]
    if faults:
        raise FaultyFileError(faults)
    return Course(name, str(data["title"]), str(data.get("words") or "").strip(), tuple(lessons))


def _report_unknown(
    data: Mapping[Any, Any], known: tuple[str, ...], path: tuple[str | int, ...], report: _Report
) -> None:
    for key in data:
        if key not in known:
            report((*path, str(key)), f"unknown key; known are {', '.join(known)}")


def _read_lesson(raw: Any, course: str, path: tuple[str | int, ...], report: _Report) -> Lesson:
    whole = isinstance(raw, Mapping) and raw.get("lesson") and raw.get("title") and isinstance(raw.get("topics"), list)
    if not whole:
        report(path, "a lesson has `lesson:`, `title:` and a list of `topics:`")
        return Lesson("", "", "", course, ())
    _report_unknown(raw, _LESSON_KEYS, path, report)
    rules = PaperRules()
    try:
        rules = read_rules(raw.get("test") or {})
    except PlanError as error:
        report((*path, "test"), str(error))
    return Lesson(
        str(raw["lesson"]),
        str(raw["title"]),
        str(raw.get("words") or "").strip(),
        course,
        tuple(str(topic) for topic in raw["topics"]),
        rules,
    )
