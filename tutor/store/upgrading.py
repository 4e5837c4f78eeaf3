"""Bringing a database's schema up to date, whole or not at all.

All steps run in one transaction on both engines, behind a lock that lets one process do it while the others wait: a
process that is killed half-way leaves the schema as it was.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib import resources
from typing import Any

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DBAPIError

from tutor.store.errors import StoreError

_TURN = 0x7175_6965
"""Number of the advisory lock behind which one process upgrades ("quie")."""


def newest_revision() -> str:
    """Return the revision of this release.

    It is read off the names of the migrations, `0003_rounds.py`, so that a process that has nothing to upgrade need
    not load Alembic.
    """
    return max(_revisions())


@cache
def _revisions() -> frozenset[str]:
    folder = resources.files("tutor.store") / "migrations" / "versions"
    found = (re.fullmatch(r"(\d{4})_\w+\.py", entry.name) for entry in folder.iterdir())
    return frozenset(match[1] for match in found if match)


def current_revision(connection: Connection) -> str | None:
    """Return the revision of a database; None for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def upgrade(engine: Engine) -> None:
    """Bring the schema to this release's.

    Raises:
        StoreError: If it is newer than this release knows, cannot be upgraded, or the database is out of reach.
    """
    try:
        with engine.execution_options(writes=False).connect() as connection:
            if current_revision(connection) == newest_revision():
                return
        with upgrading(engine) as connection:
            upgrade_on(connection)
    except DBAPIError as error:
        raise StoreError(f"the database cannot be opened: {error.orig}") from error


@contextmanager
def upgrading(engine: Engine) -> Iterator[Connection]:
    """Give a connection on which the schema may be changed; committed at the end of the block."""
    with engine.connect() as connection:
        sqlite = engine.dialect.name == "sqlite"
        driver: Any = connection.connection.dbapi_connection
        if sqlite:
            # SQLite rebuilds tables to change them; with foreign keys on, dropping the old one would empty every table
            # that points at it. What the migrations leave is checked before it is committed.
            driver.execute("PRAGMA foreign_keys=OFF")
        try:
            if not sqlite:
                for setting in ("lock_timeout", "statement_timeout", "idle_in_transaction_session_timeout"):
                    connection.execute(text(f"SET LOCAL {setting} = 0"))
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_TURN})"))
            yield connection
            if sqlite:
                _check_foreign_keys(connection)
            connection.commit()
        finally:
            connection.rollback()
            if sqlite:
                driver.execute("PRAGMA foreign_keys=ON")


def _check_foreign_keys(connection: Connection) -> None:
    loose = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchmany(5)
    if loose:
        told = ", ".join(f"{row[0]} row {row[1]} points at nothing in {row[2]}" for row in loose)
        raise StoreError(f"the database cannot be upgraded: {told}; it was left as it is")


def upgrade_on(connection: Connection, revision: str = "head") -> None:
    """Run the migrations that a database lacks, on a connection of `upgrading`.

    Raises:
        StoreError: If its revision is unknown, or a migration fails.
    """
    from alembic import command
    from alembic.util.exc import CommandError

    # Somebody else may have upgraded while this process waited for its turn.
    current = current_revision(connection)
    if current is not None and current not in _revisions():
        raise StoreError(f"the database is at revision {current}, which this release does not know; upgrade Quiescent")
    config = alembic_config()
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, revision)
    except CommandError as error:
        raise StoreError(f"the database cannot be upgraded: {error}") from error


def alembic_config() -> Any:
    """Return Alembic's configuration for the shipped migrations."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(resources.files("tutor.store") / "migrations"))
    return config
