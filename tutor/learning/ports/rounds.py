"""Port: rounds, their papers, addresses, the outbox, and what came in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol

from tutor.learning.round_records import (
    Address,
    Letter,
    LetterKind,
    LetterState,
    Reply,
    ReplyState,
    Round,
    RoundPaper,
)


class Rounds(Protocol):
    """Rounds and their papers."""

    def addresses(self) -> Mapping[int, Address]:
        """Return every member's address that is known, by member."""
        ...

    def put_address(self, address: Address) -> None: ...

    def add(self, round_: Round) -> None: ...

    def get(self, round_: str) -> Round | None: ...

    def all(self) -> Sequence[Round]:
        """Return the rounds, the latest first."""
        ...

    def add_paper(self, paper: RoundPaper) -> None: ...

    def has_code(self, code: str) -> bool: ...

    def paper(self, code: str) -> RoundPaper | None: ...

    def papers(self, round_: str) -> Sequence[RoundPaper]: ...

    def papers_of(self, member: int) -> Sequence[RoundPaper]:
        """Return a member's papers, the latest first."""
        ...

    def note_answered(self, code: str, at: datetime, *, late: bool) -> None:
        """Note when a paper was first answered; a second time changes nothing."""
        ...


class Letters(Protocol):
    """The outbox."""

    def add(
        self, *, paper: str, kind: LetterKind, state: LetterState, message_id: str, to: str, made: datetime,
        answers_to: str = "",
    ) -> Letter: ...  # fmt: skip

    def get(self, letter: int) -> Letter | None: ...

    def of_round(self, round_: str) -> Sequence[Letter]: ...

    def of_paper(self, code: str) -> Sequence[Letter]: ...

    def in_state(self, state: LetterState, limit: int = 1000) -> Sequence[Letter]:
        """Return letters in a state, the oldest first."""
        ...

    def by_message_id(self, message_ids: Sequence[str]) -> Sequence[Letter]: ...

    def move(
        self,
        letter: int,
        before: Sequence[LetterState],
        after: LetterState,
        *,
        says: str | None = None,
        claimed: datetime | None = None,
        sent: datetime | None = None,
    ) -> bool:
        """Move a letter on from one of some states; False when it is in none of them any more.

        A claim counts as one more try.
        """
        ...  # fmt: skip

    def put_raw(self, letter: int, raw: bytes) -> None:
        """Keep the message as it goes out."""
        ...

    def raw(self, letter: int) -> bytes: ...


class Replies(Protocol):
    """What came in."""

    def add(self, reply: Reply, raw: bytes) -> Reply | None:
        """Store a message, and return it with its number; None when it is stored already."""
        ...

    def get(self, reply: int) -> Reply | None: ...

    def raw(self, reply: int) -> bytes: ...

    def in_state(self, state: ReplyState, limit: int = 1000) -> Sequence[Reply]:
        """Return replies in a state, the oldest first."""
        ...

    def of_papers(self, codes: Sequence[str]) -> Sequence[Reply]: ...

    def put(self, reply: Reply) -> None:
        """Store what became of a reply."""
        ...

    def place(self, mailbox: str) -> tuple[int, int]:
        """Return the validity and number of the last message that was taken from a mailbox; noughts at first."""
        ...

    def put_place(self, mailbox: str, validity: int, number: int) -> None: ...
