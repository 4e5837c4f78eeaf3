"""Rounds by mail and paper: addresses, rounds, papers, the outbox, replies."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the new tables."""
    op.create_table(
        "addresses",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("post", sa.String(length=10), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id"),
    )
    op.create_index("ix_addresses_email", "addresses", ["email"], unique=False)
    op.create_table(
        "rounds",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("lesson", sa.String(length=100), nullable=False),
        sa.Column("topics", sa.JSON(), nullable=False),
        sa.Column("templates", sa.JSON(), nullable=False),
        sa.Column("common", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("closes", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "round_papers",
        sa.Column("code", sa.String(length=12), nullable=False),
        sa.Column("round_id", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("post", sa.String(length=10), nullable=False),
        sa.Column("issues", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("answered", sa.DateTime(), nullable=True),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["round_id"], ["rounds.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("code"),
    )
    op.create_index("ix_round_papers_member_id", "round_papers", ["member_id"], unique=False)
    op.create_index("ix_round_papers_round_id", "round_papers", ["round_id"], unique=False)
    _post()


def _post() -> None:
    op.create_table(
        "letters",
        sa.Column("id", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("paper", sa.String(length=12), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("message_id", sa.String(length=200), nullable=False),
        sa.Column("recipient", sa.String(length=254), nullable=False),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("claimed", sa.DateTime(), nullable=True),
        sa.Column("sent", sa.DateTime(), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("says", sa.String(length=500), nullable=False),
        sa.Column("answers_to", sa.String(length=500), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=True),
        sa.ForeignKeyConstraint(["paper"], ["round_papers.code"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("message_id"),
    )
    op.create_index("ix_letters_paper", "letters", ["paper"], unique=False)
    op.create_index("ix_letters_state_id", "letters", ["state", "id"], unique=False)
    op.create_table(
        "replies",
        sa.Column("id", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("source", sa.String(length=100), nullable=False),
        sa.Column("arrived", sa.DateTime(), nullable=False),
        sa.Column("dated", sa.DateTime(), nullable=False),
        sa.Column("message_id", sa.String(length=500), nullable=False),
        sa.Column("sender", sa.String(length=254), nullable=False),
        sa.Column("subject", sa.String(length=300), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("paper", sa.String(length=12), nullable=False),
        sa.Column("why", sa.String(length=500), nullable=False),
        sa.Column("found", sa.JSON(), nullable=False),
        sa.Column("unsure", sa.JSON(), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("digest"),
    )
    op.create_index("ix_replies_paper", "replies", ["paper"], unique=False)
    op.create_index("ix_replies_state_id", "replies", ["state", "id"], unique=False)
    op.create_table(
        "mailboxes",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("validity", sa.BigInteger(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("name"),
    )
