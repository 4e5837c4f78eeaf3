"""Ports: what the use cases need of storage, clock, chance and passwords; `bootstrap` joins adapters to them."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Protocol

from tutor.learning.ports.courses import Courses
from tutor.learning.ports.doors import Doors, Trail
from tutor.learning.ports.people import People
from tutor.learning.ports.questions import Papers, Questions
from tutor.learning.ports.rounds import Letters, Replies, Rounds
from tutor.learning.ports.standings import Standings
from tutor.learning.ports.tallies import Tallies
from tutor.learning.ports.workshop import Workshop
from tutor.learning.ports.world import Chance, Clock, Passwords

__all__ = [
    "Chance",
    "Clock",
    "Courses",
    "Doors",
    "Letters",
    "Papers",
    "Passwords",
    "People",
    "Questions",
    "Records",
    "Replies",
    "Rounds",
    "Standings",
    "Tallies",
    "Trail",
    "Work",
    "Workshop",
]


class Work(Protocol):
    """One transaction: everything in it is stored, or nothing."""

    @property
    def people(self) -> People: ...

    @property
    def doors(self) -> Doors: ...

    @property
    def trail(self) -> Trail: ...

    @property
    def questions(self) -> Questions: ...

    @property
    def papers(self) -> Papers: ...

    @property
    def standings(self) -> Standings: ...

    @property
    def tallies(self) -> Tallies: ...

    @property
    def courses(self) -> Courses: ...

    @property
    def workshop(self) -> Workshop: ...

    @property
    def rounds(self) -> Rounds: ...

    @property
    def letters(self) -> Letters: ...

    @property
    def replies(self) -> Replies: ...


class Records(Protocol):
    """The club's records."""

    def look(self) -> AbstractContextManager[Work]:
        """Begin a transaction that only reads."""
        ...

    def work(self) -> AbstractContextManager[Work]:
        """Begin a transaction; it is committed when the block ends, and rolled back when it raises."""
        ...
