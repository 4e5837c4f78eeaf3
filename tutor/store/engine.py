"""The database itself: opening it with the settings that lose nothing, and bringing its schema up to date."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url

from tutor.errors import QuiescentError


class StoreError(QuiescentError):
    """A database that cannot be used; says what was found."""


def open_database(url: str) -> Engine:
    """Open a club's database and bring its schema up to date.

    SQLite runs in write-ahead mode and syncs at every commit (`synchronous=FULL`), so that what was acknowledged
    survives a power cut; transactions that write begin by taking the write lock, so that none fails half-way for want
    of it.

    Args:
        url: An SQLAlchemy URL, such as `sqlite:////srv/club/club.sqlite` or `postgresql+psycopg://…`.
    Raises:
        StoreError: If the settings do not take, or the schema is newer than this release.
    """
    sqlite = make_url(url).get_backend_name() == "sqlite"
    engine = create_engine(
        url,
        json_serializer=lambda value: json.dumps(value, ensure_ascii=False, separators=(",", ":")),
        connect_args={"timeout": 15} if sqlite else {},
        pool_pre_ping=not sqlite,
    )
    if sqlite:
        event.listen(engine, "connect", _set_pragmas)
        event.listen(engine, "begin", _begin)
    upgrade(engine)
    if sqlite:
        _check_pragmas(engine)
    return engine


def _set_pragmas(connection: Any, _record: Any) -> None:
    # The driver's own transactions are switched off; `_begin` opens them.
    connection.isolation_level = None
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", True)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _check_pragmas(engine: Engine) -> None:
    with engine.connect() as connection:
        mode = connection.execute(text("PRAGMA journal_mode")).scalar()
        synchronous = connection.execute(text("PRAGMA synchronous")).scalar()
    if (mode, synchronous) != ("wal", 2):
        raise StoreError(
            f"SQLite runs with journal mode {mode} and synchronous {synchronous}; write-ahead mode with full syncs is "
            "wanted (a network drive cannot do it; put the data folder on a disk of this machine)"
        )


def upgrade(engine: Engine) -> None:
    """Bring the schema to this release's.

    Raises:
        StoreError: If it is newer than this release knows.
    """
    from alembic import command
    from alembic.script import ScriptDirectory
    from alembic.util.exc import CommandError

    config = alembic_config()
    with engine.connect() as connection:
        config.attributes["connection"] = connection
        try:
            known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
            current = _current_revision(connection)
            if current is not None and current not in known:
                raise StoreError(
                    f"the database is at revision {current}, which this release does not know; upgrade Quiescent"
                )
            command.upgrade(config, "head")
        except CommandError as error:
            raise StoreError(f"the database cannot be upgraded: {error}") from error
        connection.commit()


def _current_revision(connection: Connection) -> str | None:
    from alembic.runtime.migration import MigrationContext

    revision: str | None = MigrationContext.configure(connection).get_current_revision()
    return revision


def alembic_config() -> Any:
    """Return Alembic's configuration for the shipped migrations."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(resources.files("tutor.store") / "migrations"))
    return config
