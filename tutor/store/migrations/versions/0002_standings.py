"""Standings that can be made anew from evidence, learnt difficulties, tallies, plans, notes and groups.

Needles of before stay as they stood; their ledgers go on from there. Evidence is kept from this revision on.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_EXACT = sa.Float(precision=53)


def upgrade() -> None:
    """Make the new tables, and carry the standings over."""
    _new_tables()
    # Plain ALTER TABLE for tables that others point at: SQLite's way of rebuilding a table would empty those.
    op.add_column("attempts", sa.Column("sure", sa.Integer(), nullable=True))
    op.add_column("issues", sa.Column("why", sa.String(length=300), nullable=False, server_default=""))
    op.add_column("issues", sa.Column("example", sa.JSON(), nullable=True))
    op.add_column("issues", sa.Column("example_steps", sa.Integer(), nullable=False, server_default="0"))
    op.create_index("ix_issues_template_at", "issues", ["template", "at"], unique=False)
    op.add_column("papers", sa.Column("marks", sa.Integer(), nullable=True))
    op.add_column("papers", sa.Column("of", sa.Integer(), nullable=False, server_default="0"))
    op.create_index("ix_papers_lesson_handed_in", "papers", ["lesson", "handed_in"], unique=False)
    _carry_over()


def _carry_over() -> None:
    with op.batch_alter_table("ledger") as ledger:
        ledger.add_column(sa.Column("low", _EXACT, nullable=True))
        ledger.add_column(sa.Column("high", _EXACT, nullable=True))
    op.execute("UPDATE ledger SET low = after, high = after")
    with op.batch_alter_table("ledger") as ledger:
        ledger.alter_column("low", existing_type=_EXACT, nullable=False)
        ledger.alter_column("high", existing_type=_EXACT, nullable=False)
        ledger.alter_column("says", existing_type=sa.String(length=300), type_=sa.String(length=400))
    with op.batch_alter_table("standings") as standings:
        standings.add_column(sa.Column("stood", _EXACT, nullable=False, server_default="0"))
        standings.add_column(sa.Column("counted", sa.JSON(), nullable=False, server_default="[]"))
        standings.add_column(sa.Column("secured", sa.Date(), nullable=True))
        standings.add_column(sa.Column("reviews", sa.Integer(), nullable=False, server_default="0"))
    op.execute("UPDATE standings SET secured = last WHERE was_secure")
    op.execute(
        "UPDATE standings SET stood = coalesce((SELECT after FROM ledger WHERE ledger.member_id = standings.member_id "
        "AND ledger.topic = standings.topic ORDER BY ledger.id DESC LIMIT 1), 0)"
    )
    with op.batch_alter_table("standings") as standings:
        standings.drop_column("was_secure")


def _new_tables() -> None:
    op.create_table(
        "compositions",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("templates", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "course_plans",
        sa.Column("course", sa.String(length=100), nullable=False),
        sa.Column("ends", sa.Date(), nullable=True),
        sa.PrimaryKeyConstraint("course"),
    )
    op.create_table(
        "difficulties",
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("template", sa.String(length=100), nullable=False),
        sa.Column("value", sa.Float(precision=53), nullable=False),
        sa.Column("variance", sa.Float(precision=53), nullable=False),
        sa.Column("answers", sa.Integer(), nullable=False),
        sa.Column("settled", sa.Float(precision=53), nullable=False),
        sa.PrimaryKeyConstraint("topic", "template"),
    )
    op.create_table(
        "groups",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("name"),
    )
    op.create_table(
        "lesson_plans",
        sa.Column("lesson", sa.String(length=100), nullable=False),
        sa.Column("starts", sa.DateTime(), nullable=True),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=False),
        sa.Column("recording", sa.String(length=500), nullable=False),
        sa.Column("test", sa.JSON(), nullable=True),
        sa.PrimaryKeyConstraint("lesson"),
    )
    op.create_table(
        "feeds",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id"),
        sa.UniqueConstraint("token"),
    )
    op.create_table(
        "forecasts",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("sure", sa.Integer(), nullable=False),
        sa.Column("answers", sa.Integer(), nullable=False),
        sa.Column("right", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "sure"),
    )
    op.create_table(
        "group_members",
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["group_id"], ["groups.id"], ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("group_id", "member_id"),
    )
    op.create_index("ix_group_members_member_id", "group_members", ["member_id"], unique=False)

    op.create_table(
        "met",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("template", sa.String(length=100), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.Column("last", sa.DateTime(), nullable=False),
        sa.Column("answered", sa.Date(), nullable=True),
        sa.Column("solved", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "template"),
    )
    op.create_table(
        "notes",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("lesson", sa.String(length=100), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "lesson"),
    )
    op.create_table(
        "practice_days",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("questions", sa.Integer(), nullable=False),
        sa.Column("solved", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "day"),
    )
    op.create_table(
        "slips",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("template", sa.String(length=100), nullable=False),
        sa.Column("slip", sa.String(length=100), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("says", sa.JSON(), nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.Column("last", sa.DateTime(), nullable=False),
        sa.Column("overcome", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("member_id", "template", "slip"),
    )
    op.create_table(
        "facts",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("attempt_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("issue_id", sa.String(length=64), nullable=False),
        sa.Column("topic", sa.String(length=100), nullable=False),
        sa.Column("template", sa.String(length=100), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("share", sa.Float(precision=53), nullable=False),
        sa.Column("guess", sa.Float(precision=53), nullable=False),
        sa.Column("hinted", sa.Boolean(), nullable=False),
        sa.Column("slip", sa.String(length=100), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("bank", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempts.id"], ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["bank"],
            ["compositions.id"],
        ),
        sa.ForeignKeyConstraint(["member_id"], ["members.id"], ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_facts_attempt_id", "facts", ["attempt_id"], unique=False)
    op.create_index("ix_facts_member_id", "facts", ["member_id"], unique=False)
    op.create_index("ix_facts_template_id", "facts", ["template", "id"], unique=False)
