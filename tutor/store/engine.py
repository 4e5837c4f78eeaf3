"""The database itself: opening it with the settings that lose nothing.

SQLite serves a club on one machine; PostgreSQL one that has outgrown it. What differs between the two stands here and
in `upgrading`, `trouble` and `jobs`; everything else is the same SQL.
"""

from __future__ import annotations

import json
import os
import weakref
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url

from tutor.store.errors import StoreError
from tutor.store.upgrading import alembic_config, upgrade

__all__ = ["StoreError", "alembic_config", "connect", "open_database", "upgrade"]

WAIT_FOR_LOCK = 15
"""Seconds that a transaction waits for another one before the page says that the records are busy."""

_POSTGRES_OPTIONS = " ".join(
    (
        "-c synchronous_commit=on",
        f"-c lock_timeout={WAIT_FOR_LOCK}s",
        "-c statement_timeout=30s",
        # A worker that hangs between two statements must not hold its locks for ever.
        "-c idle_in_transaction_session_timeout=60s",
        "-c timezone=UTC",
    )
)


def open_database(url: str) -> Engine:
    """Open a club's database and bring its schema up to date.

    SQLite runs in write-ahead mode and syncs at every commit (`synchronous=FULL`), so that what was acknowledged
    survives a power cut; transactions that write begin by taking the write lock, so that none fails half-way for want
    of it. PostgreSQL must have `fsync`, `full_page_writes` and `synchronous_commit` on, which is how it comes.

    Args:
        url: An SQLAlchemy URL, such as `sqlite:////srv/club/club.sqlite` or `postgresql+psycopg://…`.
    Raises:
        StoreError: If the database cannot be reached, its settings do not take, or its schema is newer than this
            release.
    """
    engine = connect(url)
    upgrade(engine)
    _check_settings(engine)
    return engine


def connect(url: str) -> Engine:
    """Return an engine for a database as it is, without touching its schema."""
    sqlite = make_url(url).get_backend_name() == "sqlite"
    more: dict[str, Any] = {"connect_args": {"timeout": WAIT_FOR_LOCK}}
    if not sqlite:
        more = {
            "connect_args": {"connect_timeout": 5, "application_name": "quiescent", "options": _POSTGRES_OPTIONS},
            # A connection that died while it was idle is replaced before it is used, so that the site recovers by
            # itself when the server comes back.
            "pool_pre_ping": True,
        }
    engine = create_engine(
        url,
        json_serializer=lambda value: json.dumps(value, ensure_ascii=False, separators=(",", ":")),
        pool_timeout=WAIT_FOR_LOCK,
        **more,
    )
    if sqlite:
        event.listen(engine, "connect", _set_pragmas)
        event.listen(engine, "begin", _begin)
    _forget_in_children(engine)
    return engine


def _forget_in_children(engine: Engine) -> None:
    """Let a forked worker open connections of its own: two processes cannot share one."""
    known = weakref.ref(engine)

    def forget() -> None:
        found = known()
        if found is not None:
            found.dispose(close=False)

    if hasattr(os, "register_at_fork"):
        os.register_at_fork(after_in_child=forget)


def _set_pragmas(connection: Any, _record: Any) -> None:
    # The driver's own transactions are switched off; `_begin` opens them.
    connection.isolation_level = None
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "journal_size_limit=67108864"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", True)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _check_settings(engine: Engine) -> None:
    with engine.execution_options(writes=False).connect() as connection:
        if engine.dialect.name == "sqlite":
            _check_sqlite(connection)
        else:
            _check_postgres(connection)


def _check_sqlite(connection: Connection) -> None:
    mode = connection.execute(text("PRAGMA journal_mode")).scalar()
    synchronous = connection.execute(text("PRAGMA synchronous")).scalar()
    if (mode, synchronous) != ("wal", 2):
        raise StoreError(
            f"SQLite runs with journal mode {mode} and synchronous {synchronous}; write-ahead mode with full syncs is "
            "wanted (a network drive cannot do it; put the data folder on a disk of this machine)"
        )


def _check_postgres(connection: Connection) -> None:
    names = ("fsync", "full_page_writes", "synchronous_commit")
    found = {name: connection.execute(text(f"SHOW {name}")).scalar() for name in names}
    off = [name for name, value in found.items() if value in ("off", "local")]
    if off:
        raise StoreError(
            f"PostgreSQL runs with {' and '.join(off)} off, and would lose what was acknowledged in a power cut; "
            "switch it on in postgresql.conf"
        )
