"""The trainers' workshop: drafts with their history, releases, proofs, and marks as they were before a correction."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _member(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), sa.ForeignKey("members.id", ondelete="SET NULL"), nullable=True)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "workshop_drafts",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("origin", sa.String(length=100), nullable=False),
        _member("owner_id"),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("changed", sa.DateTime(), nullable=False),
        _member("changed_by"),
        sa.Column("trashed", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "workshop_versions",
        sa.Column("draft_id", sa.String(length=64), nullable=False),
        sa.Column("version", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        _member("by_id"),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("says", sa.String(length=300), nullable=False),
        sa.Column("parent", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["draft_id"], ["workshop_drafts.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("draft_id", "version"),
    )
    _releases()
    _marks()


def _releases() -> None:
    op.create_table(
        "workshop_releases",
        sa.Column("id", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("draft", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("release", sa.String(length=40), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        _member("by_id"),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("says", sa.JSON(), nullable=False),
        sa.Column("proof", sa.JSON(), nullable=False),
        sa.Column("withdrawn", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_workshop_releases_draft", "workshop_releases", ["draft"], unique=False)
    op.create_index("ix_workshop_releases_name", "workshop_releases", ["name"], unique=False)
    op.create_table(
        "workshop_proofs",
        sa.Column("release", sa.String(length=40), nullable=False),
        sa.Column("begun", sa.DateTime(), nullable=False),
        sa.Column("proof", sa.JSON(), nullable=True),
        sa.PrimaryKeyConstraint("release"),
    )


def _marks() -> None:
    op.create_table(
        "old_marks",
        sa.Column("id", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("attempt_id", _NUMBER, nullable=False),
        sa.Column("mark", sa.JSON(), nullable=False),
        sa.Column("release", sa.String(length=40), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        _member("by_id"),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempts.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_old_marks_attempt_id", "old_marks", ["attempt_id"], unique=False)
