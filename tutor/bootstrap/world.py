"""Clock and chance of the real world."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo

_READABLE = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # without I, O, 0 and 1, which look alike


@dataclass(frozen=True, slots=True)
class SystemClock:
    """The adapter of `learning.ports.Clock`.

    Attributes:
        zone: The club's time zone, which says when its day ends.
    """

    zone: tzinfo = UTC

    def now(self) -> datetime:
        """Return the time in UTC."""
        return datetime.now(UTC)

    def day(self, at: datetime) -> date:
        """Return the club's day at a time."""
        return at.astimezone(self.zone).date()


class SystemChance:
    """The adapter of `learning.ports.Chance`."""

    def token(self) -> str:
        """Return 256 random bits."""
        return secrets.token_urlsafe(32)

    def handle(self) -> str:
        """Return 96 random bits."""
        return secrets.token_urlsafe(12)

    def serial(self) -> int:
        """Return a serial."""
        return secrets.randbelow(2**48)

    def code(self) -> str:
        """Return a join code of ten letters and figures."""
        return "".join(secrets.choice(_READABLE) for _ in range(10))
