"""Accounts that can be closed, second factors, sign-ins that tell their browser, codes, and the log of acts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns and tables."""
    # Plain ALTER TABLE: SQLite's way of rebuilding a table would empty those that point at it.
    op.add_column("members", sa.Column("closed", sa.DateTime(), nullable=True))
    op.add_column("members", sa.Column("second", sa.String(length=64), nullable=False, server_default=""))
    op.add_column("members", sa.Column("second_step", sa.BigInteger(), nullable=False, server_default="0"))
    op.add_column("signed_in", sa.Column("seen", sa.DateTime(), nullable=True))
    op.add_column("signed_in", sa.Column("browser", sa.String(length=200), nullable=False, server_default=""))
    op.create_table(
        "reset_codes",
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("expires", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("code_hash"),
    )
    op.create_index("ix_reset_codes_member_id", "reset_codes", ["member_id"], unique=False)
    op.create_table(
        "recovery_codes",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "code_hash"),
    )
    op.create_table(
        "acts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("actor", sa.Integer(), nullable=True),
        sa.Column("act", sa.String(length=40), nullable=False),
        sa.Column("whom", sa.Integer(), nullable=True),
        sa.Column("detail", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_acts_at", "acts", ["at"], unique=False)
