"""Ports: what the use cases need of storage, clock, chance and passwords; `bootstrap` joins adapters to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from typing import Protocol

from tutor.learning.records import Attempt, Issue, IssueLine, JoinCode, Member, Paper, Role, SignedIn
from tutor.learning.standing import LedgerEntry, Standing
from tutor.questions.marks import Mark


class Clock(Protocol):
    """Tells the time."""

    def now(self) -> datetime:
        """Return the time, aware, in UTC."""
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


class People(Protocol):
    """Members, join codes, and who is signed in."""

    def add(self, sign_in: str, name: str, role: Role, password: str, joined: datetime) -> Member:
        """Store a member; raises SignInTakenError."""
        ...

    def by_sign_in(self, sign_in: str) -> Member | None: ...

    def by_id(self, member: int) -> Member | None: ...

    def everybody(self) -> Sequence[Member]: ...

    def set_password(self, member: int, password: str) -> None: ...

    def add_code(self, code: JoinCode) -> None: ...

    def code(self, code: str) -> JoinCode | None: ...

    def use_code(self, code: str) -> bool:
        """Take one use of a code; False when none is left."""
        ...

    def sign_in(self, signed_in: SignedIn) -> None: ...

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        """Return a sign-in with its member."""
        ...

    def sign_out(self, token_hash: str) -> None: ...

    def note_failure(self, account: str, address: str, at: datetime) -> None: ...

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        """Return how many tries failed since a time and when the last one was."""
        ...

    def clear_failures(self, account: str) -> None: ...


class Questions(Protocol):
    """Questions issued, hints taken, attempts."""

    def add(self, issue: Issue) -> None: ...

    def get(self, issue: str, *, lock: bool = False) -> Issue | None:
        """Return a question; locked, nobody else changes it before this transaction ends."""
        ...

    def history(
        self, member: int, *, lesson: str = "", limit: int = 50, before: datetime | None = None
    ) -> Sequence[IssueLine]:
        """Return what was issued to a member, the latest first."""
        ...

    def serials(self, member: int, template: str) -> frozenset[int]: ...

    def note_hint(self, issue: str, hints: int) -> None:
        """Note that a member has taken this many hints; never fewer than before."""
        ...

    def open_solution(self, issue: str, at: datetime) -> None:
        """Note when the solution was first opened."""
        ...

    def attempt(self, issue: str, key: str) -> Attempt | None:
        """Return the attempt that a form's key made already."""
        ...

    def add_attempt(
        self, issue: str, member: int, key: str, answers: Mapping[str, str], mark: Mark, at: datetime
    ) -> Attempt: ...


class Papers(Protocol):
    """Tests."""

    def add(self, paper: Paper) -> None: ...

    def get(self, paper: str) -> Paper | None: ...

    def open_one(self, member: int, lesson: str) -> Paper | None:
        """Return the paper that a member has begun and not handed in."""
        ...

    def of_member(self, member: int) -> Sequence[Paper]: ...

    def save(self, paper: str, issue: str, answers: Mapping[str, str]) -> None: ...

    def hand_in(self, paper: str, at: datetime) -> bool:
        """Close a paper; False when it was closed already."""
        ...


class Standings(Protocol):
    """Needles and their ledgers."""

    def of_member(self, member: int) -> Mapping[str, Standing]: ...

    def put(self, member: int, topic: str, standing: Standing) -> None: ...

    def enter(self, member: int, entry: LedgerEntry) -> None: ...

    def ledger(self, member: int, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        """Return a topic's entries, the latest first."""
        ...


class Work(Protocol):
    """One transaction: everything in it is stored, or nothing."""

    @property
    def people(self) -> People: ...

    @property
    def questions(self) -> Questions: ...

    @property
    def papers(self) -> Papers: ...

    @property
    def standings(self) -> Standings: ...


class Records(Protocol):
    """The club's records."""

    def look(self) -> AbstractContextManager[Work]:
        """Begin a transaction that only reads."""
        ...

    def work(self) -> AbstractContextManager[Work]:
        """Begin a transaction; it is committed when the block ends, and rolled back when it raises."""
        ...
