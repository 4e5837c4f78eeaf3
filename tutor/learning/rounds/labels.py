"""What each ask is called on a paper: 1, 2, or 3a and 3b where a question asks several things."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tutor.learning.records import Issue
from tutor.questions.marking import letter_of
from tutor.questions.question import DrawnAsk


@dataclass(frozen=True, slots=True)
class AskPlace:
    """One ask on a paper.

    Attributes:
        label: As it is printed: "2" or "3b".
        number: Of the question, from 1.
        letter: Of the ask, or "" where the question asks one thing only.
        issue: The question issued.
        ask: The ask.
    """

    label: str
    number: int
    letter: str
    issue: Issue
    ask: DrawnAsk


def places_of(issues: Iterable[Issue]) -> tuple[AskPlace, ...]:
    """Return the asks of a paper in order, each with its label."""
    return tuple(
        AskPlace(f"{number}{letter}", number, letter, issue, ask)
        for number, issue in enumerate(issues, start=1)
        for index, ask in enumerate(issue.question.asks, start=1)
        for letter in [letter_of(index) if len(issue.question.asks) > 1 else ""]
    )
