"""Everything that the records hold about one member, and wiping what a deleted member leaves in a database's file.

Tables are found by what points at a member, so that a new table belongs to the export without a word here.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Engine, Table, or_, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from tutor.store.errors import StoreError
from tutor.store.schema import metadata

SECRET = {"password", "second", "second_step", "token_hash", "code_hash", "token"}  # keys to doors, told to nobody
BYTES = {"raw"}  # messages as they travelled; their words stand beside
UNSEEN = {"question", "example"}  # they hold the key, which nobody gets before answering


def everything_of(session: Session, member: int) -> Mapping[str, list[dict[str, Any]]]:
    """Return table → rows of a member, without what opens doors and without keys of questions not yet answered."""
    found = {}
    for table in metadata.sorted_tables:
        mine = _mine(table, member)
        if mine is not None:
            rows = session.execute(select(table).where(mine).order_by(*table.primary_key.columns))
            found[table.name] = [_row(row._mapping) for row in rows]
    answered = {row["issue_id"] for row in found["attempts"]}
    for issue in found["issues"]:
        if issue["id"] not in answered and issue["opened"] is None:
            for name in UNSEEN:
                issue.pop(name)
    return found


def _mine(table: Table, member: int) -> ColumnElement[bool] | None:
    tables, columns = metadata.tables, table.columns
    if table.name == "members":
        return columns["id"] == member
    if "member_id" in columns:
        return columns["member_id"] == member
    if table.name == "drafts":
        papers = tables["papers"]
        return columns["paper_id"].in_(select(papers.c.id).where(papers.c.member_id == member))
    if table.name == "groups":
        belongs = tables["group_members"]
        return columns["id"].in_(select(belongs.c.group_id).where(belongs.c.member_id == member))
    if table.name == "sign_in_failures":
        members = tables["members"]
        return columns["account"].in_(select(members.c.sign_in).where(members.c.id == member))
    if table.name == "acts":
        return or_(columns["actor"] == member, columns["whom"] == member)
    if table.name == "old_marks":
        attempts = tables["attempts"]
        return columns["attempt_id"].in_(select(attempts.c.id).where(attempts.c.member_id == member))
    if table.name in ("letters", "replies"):
        papers = tables["round_papers"]
        return columns["paper"].in_(select(papers.c.code).where(papers.c.member_id == member))
    made = [key.parent for key in table.foreign_keys if key.column.table.name == "members"]
    return or_(*(column == member for column in made)) if made else None


def _row(row: Mapping[Any, Any]) -> dict[str, Any]:
    return {str(name): _plain(value) for name, value in row.items() if name not in SECRET and name not in BYTES}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date | datetime) else value


def wipe(engine: Engine) -> None:
    """Let nothing of deleted rows stay in the database's own files. PostgreSQL does it by itself, in time.

    Raises:
        StoreError: If somebody is at work in the database just now.
    """
    if engine.dialect.name != "sqlite":
        return
    connection = engine.raw_connection()
    try:
        cursor = connection.cursor()
        cursor.execute("VACUUM")
        (busy, *_), *_ = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
        if busy:
            raise StoreError(
                "The rows are deleted, but others were reading, so that traces may stay in club.sqlite-wal"
            )
    except (DBAPIError, engine.dialect.loaded_dbapi.OperationalError) as error:
        raise StoreError(f"The rows are deleted, but traces stay in the database's file ({error})") from error
    finally:
        connection.close()
