"""The tables of a club's records, as typed SQLAlchemy models. Nothing above this package sees them."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Date,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class UtcDateTime(TypeDecorator[datetime]):
    """An aware time, kept in UTC without its zone, which SQLite cannot keep."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Store in UTC; a naive time is a mistake of the caller."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone cannot be stored")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Return an aware time."""
        return None if value is None else value.replace(tzinfo=UTC)


class Table(DeclarativeBase):
    """Base of all tables."""

    type_annotation_map = {datetime: UtcDateTime, date: Date, dict[str, Any]: JSON, list[float]: JSON}  # noqa: RUF012


class MemberRow(Table):
    """Somebody with an account."""

    __tablename__ = "members"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    sign_in: Mapped[str] = mapped_column(String(80), unique=True)
    name: Mapped[str] = mapped_column(String(200))
    role: Mapped[str] = mapped_column(String(20))
    password: Mapped[str] = mapped_column(String(300))
    joined: Mapped[datetime]
    closed: Mapped[datetime | None]
    second: Mapped[str] = mapped_column(String(64), default="")  # secret of the second factor
    second_step: Mapped[int] = mapped_column(BigInteger, default=0)  # the last step whose code was taken


class JoinCodeRow(Table):
    """A join code."""

    __tablename__ = "join_codes"
    code: Mapped[str] = mapped_column(String(40), primary_key=True)
    role: Mapped[str] = mapped_column(String(20))
    uses: Mapped[int]
    expires: Mapped[datetime]


class SignedInRow(Table):
    """A browser that is signed in."""

    __tablename__ = "signed_in"
    token_hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    made: Mapped[datetime]
    expires: Mapped[datetime]
    seen: Mapped[datetime | None]
    browser: Mapped[str] = mapped_column(String(200), default="")


class ResetCodeRow(Table):
    """A code with which a member sets a new password, once."""

    __tablename__ = "reset_codes"
    code_hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    expires: Mapped[datetime]


class RecoveryCodeRow(Table):
    """A code that stands in for the second factor, once."""

    __tablename__ = "recovery_codes"
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    code_hash: Mapped[str] = mapped_column(String(64), primary_key=True)


class ActRow(Table):
    """Something done to an account. Numbers only: no name outlives its member."""

    __tablename__ = "acts"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    at: Mapped[datetime] = mapped_column(index=True)
    actor: Mapped[int | None]  # no foreign key: what was done stays when who did it is erased
    act: Mapped[str] = mapped_column(String(40))
    whom: Mapped[int | None]
    detail: Mapped[str] = mapped_column(String(200), default="")


class FailureRow(Table):
    """A sign-in that failed."""

    __tablename__ = "sign_in_failures"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    account: Mapped[str] = mapped_column(String(80))
    address: Mapped[str] = mapped_column(String(80))
    at: Mapped[datetime]
    __table_args__ = (Index("ix_sign_in_failures_account_address_at", "account", "address", "at"),)


class IssueRow(Table):
    """A question issued, with everything that was shown and its key."""

    __tablename__ = "issues"
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"))
    lesson: Mapped[str] = mapped_column(String(100))
    paper: Mapped[str] = mapped_column(String(64), index=True)
    template: Mapped[str] = mapped_column(String(100))
    title: Mapped[str] = mapped_column(String(200))
    release: Mapped[str] = mapped_column(String(40))
    serial: Mapped[int] = mapped_column(BigInteger)
    topic: Mapped[str] = mapped_column(String(100))
    question: Mapped[dict[str, Any]]
    at: Mapped[datetime]
    hints: Mapped[int] = mapped_column(default=0)
    opened: Mapped[datetime | None]
    why: Mapped[str] = mapped_column(String(300), default="")
    example: Mapped[dict[str, Any] | None]
    example_steps: Mapped[int] = mapped_column(default=0)
    __table_args__ = (
        Index("ix_issues_member_at", "member_id", "at"),
        Index("ix_issues_member_template", "member_id", "template"),
        Index("ix_issues_member_lesson_at", "member_id", "lesson", "at"),
        Index("ix_issues_template_at", "template", "at"),
    )


class AttemptRow(Table):
    """A submission of answers, marked."""

    __tablename__ = "attempts"
    id: Mapped[int] = mapped_column(BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True)
    issue_id: Mapped[str] = mapped_column(ForeignKey("issues.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    key: Mapped[str] = mapped_column(String(80))
    answers: Mapped[dict[str, Any]]
    mark: Mapped[dict[str, Any]]
    marks: Mapped[int]
    of: Mapped[int]
    at: Mapped[datetime]
    sure: Mapped[int | None]
    __table_args__ = (UniqueConstraint("issue_id", "key", name="uq_attempts_issue_key"),)


class PaperRow(Table):
    """A test of one member."""

    __tablename__ = "papers"
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"))
    lesson: Mapped[str] = mapped_column(String(100))
    begun: Mapped[datetime]
    handed_in: Mapped[datetime | None]
    issues: Mapped[str] = mapped_column(Text)  # ids in order, separated by blanks
    marks: Mapped[int | None]
    of: Mapped[int] = mapped_column(default=0)
    __table_args__ = (
        Index("ix_papers_member_lesson", "member_id", "lesson"),
        Index("ix_papers_lesson_handed_in", "lesson", "handed_in"),
    )


class DraftRow(Table):
    """What has been typed for one question of a paper so far."""

    __tablename__ = "drafts"
    paper_id: Mapped[str] = mapped_column(ForeignKey("papers.id", ondelete="CASCADE"), primary_key=True)
    issue_id: Mapped[str] = mapped_column(ForeignKey("issues.id", ondelete="CASCADE"), primary_key=True)
    answers: Mapped[dict[str, Any]]
