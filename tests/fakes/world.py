"""Clock, chance and passwords for tests: set, counted, and quick."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo


@dataclass
class FakeClock:
    time: datetime = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)
    zone: tzinfo = UTC

    def now(self) -> datetime:
        return self.time

    def day(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()

    def pass_by(self, **time: float) -> None:
        self.time += timedelta(**time)


@dataclass
class FakeChance:
    count: int = 0
    serials: list[int] = field(default_factory=list)

    def _next(self) -> int:
        self.count += 1
        return self.count

    def token(self) -> str:
        return f"token-{self._next()}"

    def handle(self) -> str:
        return f"handle-{self._next()}"

    def serial(self) -> int:
        return self.serials.pop(0) if self.serials else 1000 + self._next()

    def code(self) -> str:
        return f"CODE{self._next():06d}"


class FakePasswords:
    """Reversed text for a hash: nothing to wait for."""

    def __init__(self) -> None:
        self.wasted = 0

    def hashed(self, password: str) -> str:
        return f"new:{password[::-1]}"

    def fits(self, stored: str, password: str) -> bool:
        return stored.partition(":")[2] == password[::-1]

    def is_weak(self, stored: str) -> bool:
        return stored.startswith("old:")

    def waste_time(self) -> None:
        self.wasted += 1
