"""The shelf from which questions are drawn: courses, lessons, topics and the templates of all banks."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path

from tutor.circuits.errors import CircuitError
from tutor.circuits.source import read_source
from tutor.errors import Fault, FaultyFileError
from tutor.learning.course_files import read_course
from tutor.learning.difficulty import Composition
from tutor.learning.errors import UnknownError
from tutor.learning.lessons import MIXED, Course, Lesson
from tutor.questions.bank import COURSES, Library, Topic, read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.question import Question
from tutor.questions.template import Template

__all__ = ["Course", "Lesson", "Shelf", "read_shelf"]

_log = logging.getLogger(__name__)


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
    _of_banks: Mapping[str, Template] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._of_banks = dict(self.library.templates)
        self.arrange({})

    def arrange(self, published: Mapping[str, Template]) -> None:
        """Put what the club published beside the banks' templates, in the place of those of the same name."""
        templates = {**self._of_banks, **published}
        by_topic: dict[str, tuple[Template, ...]] = {}
        for template in sorted(templates.values(), key=lambda t: (t.level, t.name)):
            by_topic[template.topic] = (*by_topic.get(template.topic, ()), template)
        # Whole new tables, so that whoever is reading meanwhile sees the old shelf or the new one.
        self.library = replace(self.library, templates=templates)
        self._by_topic = by_topic

    def of_bank(self, name: str) -> Template | None:
        """Return the template that a bank's file gives under a name, whatever was published in its place."""
        return self._of_banks.get(name)

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

    def lesson_called(self, name: str) -> Lesson:
        """Return a lesson for the records' sake: one that was taken off the shelf is called by its key."""
        if not name:
            return MIXED
        found = next((lesson for lesson in self.lessons if lesson.name == name), None)
        return found or Lesson(name, name.replace("-", " ").capitalize(), "", "", ())

    def of_topic(self, topic: str) -> tuple[Template, ...]:
        """Return a topic's templates, the easier first."""
        return self._by_topic.get(topic, ())

    def composition(self, topic: str) -> Composition:
        """Return a topic's templates with their levels, in the order of their names."""
        return tuple(sorted((template.name, template.level) for template in self.of_topic(topic)))

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
    # Lessons carry their place in their key: a1 …, b1 …, c1 ….
    courses.sort(key=lambda course: min((lesson.name for lesson in course.lessons), default=""))
    return Shelf(library, tuple(courses), CompiledCache(cache), tuple(faults))


def _unknown_topics(course: Course, library: Library, shown: str) -> list[Fault]:
    known = {template.topic for template in library.templates.values()} | set(library.topics)
    return [
        Fault(shown, 0, lesson.name, f"nobody defined the topic {topic!r}")
        for lesson in course.lessons
        for topic in lesson.topics
        if topic not in known
    ]
