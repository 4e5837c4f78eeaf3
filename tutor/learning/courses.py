"""Courses and lessons, read from a bank's `courses/` folder, and the shelf from which questions are drawn."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from tutor.circuits.errors import CircuitError
from tutor.circuits.source import Source, read_source
from tutor.errors import Fault, FaultyFileError
from tutor.learning.errors import UnknownError
from tutor.learning.needle import DIFFICULTY_OF_LEVEL
from tutor.questions.bank import COURSES, Library, Topic, read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.question import Question
from tutor.questions.template import Template

_log = logging.getLogger(__name__)

DEFAULT_TEST = 5


@dataclass(frozen=True, slots=True)
class Lesson:
    """One tutorial with its quiz.

    Attributes:
        name: Its key, unique over all courses.
        title: For people.
        words: What the lesson walks through.
        course: Its course.
        topics: What it practises.
        questions: How many questions a test of it has.
    """

    name: str
    title: str
    words: str
    course: str
    topics: tuple[str, ...]
    questions: int = DEFAULT_TEST


@dataclass(frozen=True, slots=True)
class Course:
    """Lessons in order."""

    name: str
    title: str
    words: str
    lessons: tuple[Lesson, ...]


@dataclass(slots=True)
class Shelf:
    """Everything that can be asked: templates by lesson and topic, ready to be drawn.

    Attributes:
        library: The templates.
        courses: In order.
        cache: Compiled templates.
        faults: What could not be read; it hides nothing else.
    """

    library: Library
    courses: tuple[Course, ...]
    cache: CompiledCache
    faults: tuple[Fault, ...] = ()
    _by_topic: dict[str, tuple[Template, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for template in sorted(self.library.templates.values(), key=lambda t: (t.level, t.name)):
            self._by_topic[template.topic] = (*self._by_topic.get(template.topic, ()), template)

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """Every lesson, course by course."""
        return tuple(lesson for course in self.courses for lesson in course.lessons)

    def lesson(self, name: str) -> Lesson:
        """Return a lesson; raises UnknownError with near names."""
        for lesson in self.lessons:
            if lesson.name == name:
                return lesson
        raise UnknownError("lesson", name, _near(name, (lesson.name for lesson in self.lessons)))

    def course(self, name: str) -> Course:
        """Return a course; raises UnknownError with near names."""
        for course in self.courses:
            if course.name == name:
                return course
        raise UnknownError("course", name, _near(name, (course.name for course in self.courses)))

    def topic(self, name: str) -> Topic:
        """Return a topic; one that no bank defines is called by its key."""
        return self.library.topics.get(name) or Topic(name, name.replace("-", " ").capitalize())

    def templates(self, lesson: Lesson) -> tuple[Template, ...]:
        """Return a lesson's templates, topic by topic, the easier first."""
        return tuple(template for topic in lesson.topics for template in self._by_topic.get(topic, ()))

    def difficulties(self, topic: str) -> tuple[float, ...]:
        """Return the difficulties of a topic's templates, in logits."""
        found = tuple(DIFFICULTY_OF_LEVEL[template.level] for template in self._by_topic.get(topic, ()))
        return found or (0.0,)

    def template(self, name: str) -> Template:
        """Return a template; raises UnknownError with near names."""
        template = self.library.templates.get(name)
        if template is None:
            raise UnknownError("template", name, _near(name, self.library.templates))
        return template

    def draw(self, template: Template, serial: int) -> Question:
        """Draw a question.

        Raises:
            QuestionError, CircuitError: If this template cannot be drawn; the fault is logged.
        """
        try:
            return draw(self.cache.compiled(template), serial)
        except (QuestionError, CircuitError):
            _log.warning("template %s cannot be drawn with serial %s", template.name, serial)
            raise


def _near(name: str, known: Iterable[str]) -> tuple[str, ...]:
    return tuple(get_close_matches(name, list(known), n=3))


def read_shelf(folders: Iterable[Path], cache: Path | None) -> Shelf:
    """Read banks and their courses.

    Args:
        folders: Folders of banks.
        cache: Folder for compiled templates, or None.
    """
    folders = tuple(folders)
    library = read_library(folders)
    courses: list[Course] = []
    faults = list(library.faults)
    for path in sorted(p for folder in folders for p in folder.glob(f"*/{COURSES}/*.yaml")):
        shown = f"{path.parent.parent.name}/{COURSES}/{path.name}"
        try:
            course = read_course(read_source(path, shown))
        except FaultyFileError as error:
            faults.extend(error.faults)
            continue
        faults.extend(_unknown_topics(course, library, shown))
        courses.append(course)
    courses.sort(key=lambda course: min((_place(lesson) for lesson in course.lessons), default=""))
    return Shelf(library, tuple(courses), CompiledCache(cache), tuple(faults))


def _place(lesson: Lesson) -> str:
    return lesson.name


def _unknown_topics(course: Course, library: Library, shown: str) -> list[Fault]:
    known = {template.topic for template in library.templates.values()} | set(library.topics)
    return [
        Fault(shown, 0, lesson.name, f"nobody defined the topic {topic!r}")
        for lesson in course.lessons
        for topic in lesson.topics
        if topic not in known
    ]


def read_course(source: Source) -> Course:
    """Read a course file.

    Raises:
        FaultyFileError: With every fault.
    """
    data = source.data
    if not isinstance(data, Mapping):
        raise FaultyFileError([source.fault((), "a course file holds `course:`, `title:` and `lessons:`")])
    faults = [
        source.fault((key,), "unknown key; known are course, title, words, lessons")
        for key in data
        if key not in ("course", "title", "words", "lessons")
    ]
    faults += [source.fault((k,), "it is missing; give it") for k in ("course", "title", "lessons") if not data.get(k)]
    name = str(data.get("course") or "")
    raw = data.get("lessons")
    lessons = [
        _read_lesson(source, name, index, lesson, faults)
        for index, lesson in enumerate(raw if isinstance(raw, list) else [])
    ]
    if faults:
        raise FaultyFileError(faults)
    return Course(name, str(data["title"]), str(data.get("words") or "").strip(), tuple(lessons))


def _read_lesson(source: Source, course: str, index: int, raw: Any, faults: list[Fault]) -> Lesson:
    path = ("lessons", index)
    if (
        not isinstance(raw, Mapping)
        or not raw.get("lesson")
        or not raw.get("title")
        or not isinstance(raw.get("topics"), list)
    ):
        faults.append(source.fault(path, "a lesson has `lesson:`, `title:` and a list of `topics:`"))
        return Lesson("", "", "", course, ())
    test = raw.get("test")
    questions = DEFAULT_TEST
    if isinstance(test, Mapping) and test.get("questions"):
        text = str(test["questions"])
        if not text.isdigit() or not 1 <= int(text) <= 30:
            faults.append(source.fault((*path, "test", "questions"), f"found {text!r}; 1 to 30 questions are a test"))
        else:
            questions = int(text)
    return Lesson(
        str(raw["lesson"]),
        str(raw["title"]),
        str(raw.get("words") or "").strip(),
        course,
        tuple(str(topic) for topic in raw["topics"]),
        questions,
    )
