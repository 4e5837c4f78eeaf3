"""Plans: what a club adds to the courses on its shelf: dates, recordings, the rules of a test, own notes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from tutor.learning.errors import PlanError

DEFAULT_TEST = 5
MOST_QUESTIONS = 30
LEVELS = (1, 2, 3, 4)


class SolutionsOpen(StrEnum):
    """When the worked solutions of a test open."""

    HANDED_IN = "handed in"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRules:
    """The rules of a lesson's test.

    Attributes:
        questions: How many questions.
        topics: Topic → how many of these are to be about it; what is not named takes turns.
        levels: Levels that are asked.
        sittings: How often a member may sit it; 0 for as often as they like.
        opens, closes: Time window, or None.
        solutions: When the worked solutions open.
    """

    questions: int = DEFAULT_TEST
    topics: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}), hash=False)
    levels: tuple[int, ...] = LEVELS
    sittings: int = 0
    opens: datetime | None = None
    closes: datetime | None = None
    solutions: SolutionsOpen = SolutionsOpen.HANDED_IN

    def solutions_from(self, handed_in: datetime) -> datetime:
        """Return when the solutions of a paper open."""
        if self.solutions is SolutionsOpen.CLOSED and self.closes is not None:
            return max(self.closes, handed_in)
        return handed_in


_KEYS = ("questions", "topics", "levels", "sittings", "opens", "closes", "solutions")


def read_rules(data: Mapping[str, Any]) -> PaperRules:
    """Read the rules of a test.

    Args:
        data: Keys as the attributes of `PaperRules`; times as ISO 8601 with their offset.
    Raises:
        PlanError: Says which key is wrong and what would do.
    """
    if not isinstance(data, Mapping):
        raise PlanError(f"found {data!r}; the rules of a test are keys and values, such as `questions: 5`")
    unknown = [str(key) for key in data if key not in _KEYS]
    if unknown:
        raise PlanError(f"unknown key {unknown[0]!r}; known are {', '.join(_KEYS)}")
    topics = _topic_counts(data.get("topics") or {})
    least = max(sum(topics.values()), 1)
    questions = _whole(data, "questions", max(DEFAULT_TEST, least), least, MOST_QUESTIONS)
    opens, closes = _moment(data, "opens"), _moment(data, "closes")
    if opens is not None and closes is not None and closes <= opens:
        raise PlanError(f"closes: {closes:%d %B %Y %H:%M} is not after it opens; give a later time")
    wanted = str(data.get("solutions") or SolutionsOpen.HANDED_IN.value)
    if wanted not in list(SolutionsOpen):
        raise PlanError(f"solutions: found {wanted!r}; they open when it is `handed in` or `closed`")
    if wanted == SolutionsOpen.CLOSED and closes is None:
        raise PlanError("solutions: they cannot open when the test closes while no closing time is set")
    return PaperRules(
        questions=questions,
        topics=topics,
        levels=_levels(data.get("levels")),
        sittings=_whole(data, "sittings", 0, 0, 99),
        opens=opens,
        closes=closes,
        solutions=SolutionsOpen(wanted),
    )


def rules_data(rules: PaperRules) -> dict[str, Any]:
    """Return the rules as data from which `read_rules` makes them again."""
    return {
        "questions": rules.questions,
        "topics": dict(rules.topics),
        "levels": list(rules.levels),
        "sittings": rules.sittings,
        "opens": rules.opens.isoformat() if rules.opens else None,
        "closes": rules.closes.isoformat() if rules.closes else None,
        "solutions": rules.solutions.value,
    }


def _whole(data: Mapping[str, Any], key: str, default: int, least: int, most: int) -> int:
    value = data.get(key, default)
    text = str(value)
    if isinstance(value, bool) or not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
        raise PlanError(f"{key}: found {value!r}; a whole number from {least} to {most} is wanted")
    return int(text)


def _topic_counts(raw: Any) -> Mapping[str, int]:
    if not isinstance(raw, Mapping):
        raise PlanError(f"topics: found {raw!r}; give topics with their counts, such as `dividers: 3`")
    return MappingProxyType({str(topic): _whole(raw, topic, 0, 0, MOST_QUESTIONS) for topic in raw})


def _levels(raw: Any) -> tuple[int, ...]:
    if raw is None:
        return LEVELS
    levels = sorted({int(level) for level in raw if str(level).isdigit()}) if isinstance(raw, list | tuple) else []
    if not levels or not set(levels) <= set(LEVELS):
        raise PlanError(f"levels: found {raw!r}; give some of 1, 2, 3, 4")
    return tuple(levels)


def _moment(data: Mapping[str, Any], key: str) -> datetime | None:
    value = data.get(key)
    if value in (None, ""):
        return None
    try:
        found = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise PlanError(f"{key}: found {value!r}; a time with its offset is wanted, such as 2026-03-02T19:30+00:00")
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonPlan:
    """What a club has planned for a lesson.

    Attributes:
        lesson: The lesson.
        starts: When it is held, or None.
        minutes: How long it lasts.
        place: Where, in words.
        recording: Address of its recording, wherever the club keeps it, or "".
        test: Rules of its test, or None for those of the course file.
    """

    lesson: str
    starts: datetime | None = None
    minutes: int = 90
    place: str = ""
    recording: str = ""
    test: PaperRules | None = None


@dataclass(frozen=True, slots=True)
class CoursePlan:
    """What a club has planned for a course.

    Attributes:
        course: The course.
        ends: Its last day; in the weeks before it practice goes weakest first. None while there is no end.
    """

    course: str
    ends: date | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """A member's own note on a lesson; nobody else reads it.

    Attributes:
        lesson: The lesson.
        text: The note.
        at: When it was last written.
    """

    lesson: str
    text: str
    at: datetime
