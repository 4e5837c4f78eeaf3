"""The tables of the workshop: drafts, their history, releases, proofs, and marks as they were before a correction."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, ForeignKey, Index, Integer, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from tutor.store.tables import Table

_NUMBER = BigInteger().with_variant(Integer, "sqlite")


class WorkshopDraftRow(Table):
    """A template that is being made."""

    __tablename__ = "workshop_drafts"
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    data: Mapped[dict[str, Any]]
    version: Mapped[int]
    origin: Mapped[str] = mapped_column(String(100))
    owner_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    made: Mapped[datetime]
    changed: Mapped[datetime]
    changed_by: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    trashed: Mapped[datetime | None]


class WorkshopVersionRow(Table):
    """A draft as it stood after one change."""

    __tablename__ = "workshop_versions"
    draft_id: Mapped[str] = mapped_column(ForeignKey("workshop_drafts.id", ondelete="CASCADE"), primary_key=True)
    version: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    data: Mapped[dict[str, Any]]
    by_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    at: Mapped[datetime]
    says: Mapped[str] = mapped_column(String(300))
    parent: Mapped[int]


class WorkshopReleaseRow(Table):
    """A release; never changed but for its withdrawal."""

    __tablename__ = "workshop_releases"
    id: Mapped[int] = mapped_column(_NUMBER, primary_key=True, autoincrement=True)
    draft: Mapped[str] = mapped_column(String(64), index=True)  # no reference: a release outlives its draft
    name: Mapped[str] = mapped_column(String(100), index=True)
    release: Mapped[str] = mapped_column(String(40))
    data: Mapped[dict[str, Any]]
    file: Mapped[str] = mapped_column(Text)
    by_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    at: Mapped[datetime]
    says: Mapped[list[str]] = mapped_column(JSON)
    proof: Mapped[dict[str, Any]]
    withdrawn: Mapped[datetime | None]


class WorkshopProofRow(Table):
    """A proof that was begun, and what came out."""

    __tablename__ = "workshop_proofs"
    release: Mapped[str] = mapped_column(String(40), primary_key=True)
    begun: Mapped[datetime]
    proof: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))


class OldMarkRow(Table):
    """A mark as it was before it was corrected."""

    __tablename__ = "old_marks"
    id: Mapped[int] = mapped_column(_NUMBER, primary_key=True, autoincrement=True)
    attempt_id: Mapped[int] = mapped_column(ForeignKey("attempts.id", ondelete="CASCADE"))
    mark: Mapped[dict[str, Any]]
    release: Mapped[str] = mapped_column(String(40))
    at: Mapped[datetime]
    by_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    __table_args__ = (Index("ix_old_marks_attempt_id", "attempt_id"),)
