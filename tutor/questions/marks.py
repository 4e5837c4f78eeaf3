"""Marks: the verdict on each answer, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from tutor.questions.text import Filled, filled_from_data, filled_to_data


class Verdict(StrEnum):
    """What became of one answer."""

    RIGHT = "right"
    RIGHT_UNIT_WRONG = "right-unit-wrong"
    FOLLOW_THROUGH = "follow-through"
    SLIP = "slip"
    WRONG = "wrong"
    UNREADABLE = "unreadable"
    BLANK = "blank"

    @property
    def words(self) -> str:
        """What a member is told, on a page or by mail."""
        return _WORDS[self]


_WORDS = {
    Verdict.RIGHT: "Right",
    Verdict.RIGHT_UNIT_WRONG: "Right figure, wrong unit",
    Verdict.FOLLOW_THROUGH: "Right, carried on",
    Verdict.SLIP: "Not yet",
    Verdict.WRONG: "Not yet",
    Verdict.UNREADABLE: "Not understood",
    Verdict.BLANK: "Left open",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AskMark:
    """The mark for one ask.

    Attributes:
        verdict: What became of it.
        marks: Earned.
        of: Available.
        typed: As typed.
        read: How it was read, for people; "" when it was not.
        value: What was read in SI units, or None.
        unit: Symbol of the unit that was read.
        slip: Key of the named slip, or "".
        says: Why.
        topic: The topic that it credits.
    """

    verdict: Verdict
    marks: int
    of: int
    typed: str
    topic: str
    read: str = ""
    value: float | str | None = None
    unit: str = ""
    slip: str = ""
    says: Filled = ()

    @property
    def share(self) -> float:
        """Marks earned of those available, from 0 to 1."""
        return self.marks / self.of

    def to_data(self) -> dict[str, Any]:
        """Return plain data for storing."""
        return {
            "verdict": self.verdict.value,
            "marks": self.marks,
            "of": self.of,
            "typed": self.typed,
            "topic": self.topic,
            "read": self.read,
            "value": self.value,
            "unit": self.unit,
            "slip": self.slip,
            "says": filled_to_data(self.says),
        }

    @staticmethod
    def from_data(data: Mapping[str, Any]) -> AskMark:
        """Return the mark that was stored."""
        plain = dict(data) | {"verdict": Verdict(data["verdict"]), "says": filled_from_data(data["says"])}
        return AskMark(**plain)


@dataclass(frozen=True, slots=True)
class Mark:
    """The mark for a question.

    Attributes:
        asks: Ask → its mark, in the question's order.
    """

    asks: Mapping[str, AskMark]

    @property
    def marks(self) -> int:
        """Marks earned."""
        return sum(mark.marks for mark in self.asks.values())

    @property
    def of(self) -> int:
        """Marks available."""
        return sum(mark.of for mark in self.asks.values())

    @property
    def is_full(self) -> bool:
        """Whether every mark was earned."""
        return self.marks == self.of

    @property
    def unreadable(self) -> tuple[str, ...]:
        """Asks whose answers could not be read; the answers then go back and cost nothing."""
        return tuple(name for name, mark in self.asks.items() if mark.verdict is Verdict.UNREADABLE)

    def only_unreadable(self) -> Mapping[str, AskMark]:
        """Return the marks of the asks that could not be read."""
        return {name: self.asks[name] for name in self.unreadable}

    @property
    def is_blank(self) -> bool:
        """Whether nothing was answered at all."""
        return all(mark.verdict is Verdict.BLANK for mark in self.asks.values())

    def to_data(self) -> dict[str, Any]:
        """Return plain data for storing."""
        return {name: mark.to_data() for name, mark in self.asks.items()}

    @staticmethod
    def from_data(data: Mapping[str, Any]) -> Mark:
        """Return the mark that was stored."""
        return Mark({name: AskMark.from_data(mark) for name, mark in data.items()})
