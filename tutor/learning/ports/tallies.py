"""Port: tallies, counted at every mark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from tutor.learning.records import Sureness
from tutor.learning.tallies import Forecasts, Met, PracticeDay, SlipTally


class Tallies(Protocol):
    """What is counted, by member."""

    def met(self, member: int) -> Mapping[str, Met]:
        """Return the templates that a member has met, by name."""
        ...

    def note_issued(self, member: int, template: str, topic: str, at: datetime) -> None: ...

    def note_answered(self, member: int, template: str, day: date, solved: bool) -> None: ...

    def note_slip(self, member: int, slip: SlipTally) -> None:
        """Count a slip; one that was overcome is open again."""
        ...

    def note_overcome(self, member: int, template: str, at: datetime) -> None:
        """Close the open slips of a template that was solved at the first try."""
        ...

    def slips(self, member: int) -> Sequence[SlipTally]:
        """Return the slips of a member: the open ones first, then the latest first."""
        ...

    def slips_of(self, members: Sequence[int]) -> Mapping[int, Sequence[SlipTally]]:
        """Return the open slips of many members."""
        ...

    def count_day(self, member: int, day: date, solved: bool) -> None: ...

    def days(self, member: int, since: date) -> Sequence[PracticeDay]:
        """Return the days of practice since a day, in order."""
        ...

    def count_forecast(self, member: int, sure: Sureness, right: bool) -> None: ...

    def forecasts(self, member: int) -> Sequence[Forecasts]: ...
