"""Tallies: what is counted at every mark, so that looking back costs the same after a year as after an evening.

Everything here follows from the attempts and could be counted again from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from tutor.questions.text import Filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """One template as a member has met it.

    Attributes:
        template, topic: Which.
        times: How often it was issued.
        last: When last.
        answered: Day of the last first answer, or None.
        solved: Whether that answer earned every mark.
    """

    template: str
    topic: str
    times: int
    last: datetime
    answered: date | None = None
    solved: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipTally:
    """A slip that a member made.

    Attributes:
        template, title, topic: In which question.
        slip: Its key.
        says: Its sentence, with the member's own figures.
        times: How often.
        last: When last.
        overcome: When the same question was next solved at the first try, or None.
    """

    template: str
    title: str
    topic: str
    slip: str
    says: Filled
    times: int
    last: datetime
    overcome: datetime | None = None

    @property
    def words(self) -> str:
        """The slip in words."""
        if self.slip in ("rises", "falls", "unchanged"):
            return f"said \N{LEFT DOUBLE QUOTATION MARK}{self.slip}\N{RIGHT DOUBLE QUOTATION MARK}"
        return self.slip.replace("-", " ").replace("_", " ")


@dataclass(frozen=True, slots=True)
class PracticeDay:
    """One day of practice.

    Attributes:
        day: The club's day.
        questions: Questions answered.
        solved: Of these, solved at the first try.
    """

    day: date
    questions: int
    solved: int


@dataclass(frozen=True, slots=True)
class Forecasts:
    """How often a member was right when they said to be so sure.

    Attributes:
        sure: 0 guessing, 1 fairly sure, 2 sure.
        answers: Answers with that forecast.
        right: Of these, with every mark.
    """

    sure: int
    answers: int
    right: int


@dataclass(frozen=True, slots=True)
class Practised:
    """A member's own days of practice, told by weeks.

    Attributes:
        week: Monday of the week.
        days: Days of practice in it.
        questions, solved: Counts.
    """

    week: date
    days: int
    questions: int
    solved: int


def by_week(days: Iterable[PracticeDay]) -> list[Practised]:
    """Return days of practice gathered by weeks, the latest first."""
    weeks: dict[tuple[int, int], list[PracticeDay]] = {}
    for day in days:
        year, week, _ = day.day.isocalendar()
        weeks.setdefault((year, week), []).append(day)
    return [
        Practised(
            date.fromisocalendar(year, week, 1),
            len(found),
            sum(day.questions for day in found),
            sum(day.solved for day in found),
        )
        for (year, week), found in sorted(weeks.items(), reverse=True)
    ]
