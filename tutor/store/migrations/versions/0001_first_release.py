"""The tables of the first release."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "join_codes",
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("uses", sa.Integer(), nullable=False),
        sa.Column("expires", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("code"),
    )
    op.create_table(
        "members",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sign_in", sa.String(length=80), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("password", sa.String(length=300), nullable=False),
        sa.Column("joined", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("sign_in"),
    )
    op.create_table(
        "sign_in_failures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account", sa.String(length=80), nullable=False),
        sa.Column("address", sa.String(length=80), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(
        "ix_sign_in_failures_account_address_at", "sign_in_failures", ["account", "address", "at"], unique=False
    )
    op.create_table(
        "issues",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("lesson", sa.String(length=100), nullable=False),
        sa.Column("paper", sa.String(length=64), nullable=False),
        sa.Column("template", sa.String(length=100), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("release", sa.String(length=40), nullable=False),
        sa.Column("serial", sa.BigInteger(), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("question", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("hints", sa.Integer(), nullable=False),
        sa.Column("opened", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_issues_member_at", "issues", ["member_id", "at"], unique=False)
    op.create_index("ix_issues_member_lesson_at", "issues", ["member_id", "lesson", "at"], unique=False)
    op.create_index("ix_issues_member_template", "issues", ["member_id", "template"], unique=False)
    op.create_index(op.f("ix_issues_paper"), "issues", ["paper"], unique=False)
    op.create_table(
        "ledger",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("says", sa.String(length=300), nullable=False),
        sa.Column("before", sa.Float(precision=53), nullable=False),
        sa.Column("after", sa.Float(precision=53), nullable=False),
        sa.Column("issue", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_ledger_member_topic_id", "ledger", ["member_id", "topic", "id"], unique=False)
    op.create_table(
        "papers",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("lesson", sa.String(length=100), nullable=False),
        sa.Column("begun", sa.DateTime(), nullable=False),
        sa.Column("handed_in", sa.DateTime(), nullable=True),
        sa.Column("issues", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_papers_member_lesson", "papers", ["member_id", "lesson"], unique=False)
    op.create_table(
        "signed_in",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("expires", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_index(op.f("ix_signed_in_member_id"), "signed_in", ["member_id"], unique=False)
    op.create_table(
        "standings",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("weights", sa.JSON(), nullable=False),
        sa.Column("answers", sa.Integer(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("weeks", sa.Integer(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("was_secure", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "topic"),
    )
    op.create_table(
        "attempts",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("issue_id", sa.String(length=64), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("mark", sa.JSON(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("of", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["issue_id"], ["issues.id"], ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("issue_id", "key", name="uq_attempts_issue_key"),
    )
    op.create_index(op.f("ix_attempts_member_id"), "attempts", ["member_id"], unique=False)
    op.create_table(
        "drafts",
        sa.Column("paper_id", sa.String(length=64), nullable=False),
        sa.Column("issue_id", sa.String(length=64), nullable=False),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["issue_id"], ["issues.id"], ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["paper_id"], ["papers.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("paper_id", "issue_id"),
    )
