"""The sample lesson: what a stranger may try. A pure choice from the shelf; nothing about a sample is ever stored."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.learning.courses import Shelf
from tutor.learning.lessons import Lesson
from tutor.questions.template import Template

MOST = 4
"""Templates of a sample lesson: enough to see what it is like."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The sample lesson.

    Attributes:
        lesson: The lesson.
        templates: What is asked in it, the easier first; never empty.
    """

    lesson: Lesson
    templates: tuple[Template, ...]


def sample_of(shelf: Shelf) -> Sample | None:
    """Return the first lesson that shows what the club does: questions about a circuit that is drawn.

    A lesson with several such questions goes before one that has but one; None where no lesson has any.
    """
    found = [
        Sample(lesson, tuple(template for template in shelf.templates(lesson) if template.network is not None)[:MOST])
        for lesson in shelf.lessons
    ]
    filled = [sample for sample in found if sample.templates]
    return next((sample for sample in filled if len(sample.templates) > 1), filled[0] if filled else None)
