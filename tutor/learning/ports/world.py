"""Ports to the world: clock, chance, passwords."""

from __future__ import annotations

from datetime import date, datetime
from typing import Protocol


class Clock(Protocol):
    """Tells the time."""

    def now(self) -> datetime:
        """Return the time, aware, in UTC."""
        ...

    def day(self, at: datetime) -> date:
        """Return the club's day at a time: what counts as *today* changes at the club's own midnight."""
        ...


class Chance(Protocol):
    """Makes what nobody can guess."""

    def token(self) -> str:
        """Return 256 random bits as text that may stand in an address."""
        ...

    def handle(self) -> str:
        """Return a short name for something stored, 96 random bits."""
        ...

    def serial(self) -> int:
        """Return a serial nobody has seen."""
        ...

    def code(self) -> str:
        """Return a join code that can be read aloud."""
        ...


class Passwords(Protocol):
    """Hashes passwords."""

    def hashed(self, password: str) -> str:
        """Return the hash to store."""
        ...

    def fits(self, stored: str, password: str) -> bool:
        """Tell whether a password belongs to a stored hash."""
        ...

    def is_weak(self, stored: str) -> bool:
        """Tell whether a stored hash was made with weaker settings than today's."""
        ...

    def waste_time(self) -> None:
        """Spend the time of one check, so that an unknown name answers no quicker than a known one."""
        ...
