"""The tables of rounds: addresses, papers, the outbox, what came in."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, ForeignKey, Index, Integer, LargeBinary, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from tutor.store.tables import Table

_NUMBER = BigInteger().with_variant(Integer, "sqlite")


class AddressRow(Table):
    """Where a member is reached."""

    __tablename__ = "addresses"
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    email: Mapped[str] = mapped_column(String(254), index=True)
    post: Mapped[str] = mapped_column(String(10))


class RoundRow(Table):
    """One mailing of papers."""

    __tablename__ = "rounds"
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    lesson: Mapped[str] = mapped_column(String(100))
    topics: Mapped[list[Any]] = mapped_column(JSON)
    templates: Mapped[list[Any]] = mapped_column(JSON)
    common: Mapped[bool]
    note: Mapped[str] = mapped_column(Text)
    made: Mapped[datetime]
    closes: Mapped[datetime | None]


class RoundPaperRow(Table):
    """One member's paper of a round."""

    __tablename__ = "round_papers"
    code: Mapped[str] = mapped_column(String(12), primary_key=True)
    round_id: Mapped[str] = mapped_column(ForeignKey("rounds.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    post: Mapped[str] = mapped_column(String(10))
    issues: Mapped[str] = mapped_column(Text)  # ids in order, separated by blanks
    place: Mapped[int]
    answered: Mapped[datetime | None]
    late: Mapped[bool] = mapped_column(default=False)


class LetterRow(Table):
    """A mail in the outbox."""

    __tablename__ = "letters"
    id: Mapped[int] = mapped_column(_NUMBER, primary_key=True, autoincrement=True)
    paper: Mapped[str] = mapped_column(ForeignKey("round_papers.code", ondelete="CASCADE"), index=True)
    kind: Mapped[str] = mapped_column(String(10))
    state: Mapped[str] = mapped_column(String(20))
    message_id: Mapped[str] = mapped_column(String(200), unique=True)
    recipient: Mapped[str] = mapped_column(String(254))
    made: Mapped[datetime]
    claimed: Mapped[datetime | None]
    sent: Mapped[datetime | None]
    tries: Mapped[int] = mapped_column(default=0)
    says: Mapped[str] = mapped_column(String(500), default="")
    answers_to: Mapped[str] = mapped_column(String(500), default="")
    raw: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    __table_args__ = (Index("ix_letters_state_id", "state", "id"),)


class ReplyRow(Table):
    """A message that came in."""

    __tablename__ = "replies"
    id: Mapped[int] = mapped_column(_NUMBER, primary_key=True, autoincrement=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    source: Mapped[str] = mapped_column(String(100))
    arrived: Mapped[datetime]
    dated: Mapped[datetime]
    message_id: Mapped[str] = mapped_column(String(500))
    sender: Mapped[str] = mapped_column(String(254))
    subject: Mapped[str] = mapped_column(String(300))
    text: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(20))
    paper: Mapped[str] = mapped_column(String(12), index=True)
    why: Mapped[str] = mapped_column(String(500))
    found: Mapped[dict[str, Any]]
    unsure: Mapped[dict[str, Any]]
    raw: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)
    __table_args__ = (Index("ix_replies_state_id", "state", "id"),)


class MailboxRow(Table):
    """How far a mailbox has been read."""

    __tablename__ = "mailboxes"
    name: Mapped[str] = mapped_column(String(200), primary_key=True)
    validity: Mapped[int] = mapped_column(BigInteger)
    number: Mapped[int] = mapped_column(BigInteger)
