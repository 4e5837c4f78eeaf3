"""The database: opened safely, brought up to date, and never half-way."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, inspect, text

from tutor.store.engine import StoreError, open_database
from tutor.store.tables import Table


def url(folder: Path) -> str:
    return f"sqlite:///{folder / 'club.sqlite'}"


def test_sqlite_runs_in_write_ahead_mode_with_full_syncs(tmp_path: Path) -> None:
    engine = open_database(url(tmp_path))
    with engine.connect() as connection:
        assert connection.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert connection.execute(text("PRAGMA synchronous")).scalar() == 2
        assert connection.execute(text("PRAGMA foreign_keys")).scalar() == 1
    engine.dispose()


def test_the_migrations_make_just_the_tables_of_the_models(tmp_path: Path) -> None:
    engine = open_database(url(tmp_path))
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Table.metadata) == []
    engine.dispose()


def test_opening_twice_changes_nothing(tmp_path: Path) -> None:
    first = open_database(url(tmp_path))
    before = sorted(inspect(first).get_table_names())
    first.dispose()
    second = open_database(url(tmp_path))
    assert sorted(inspect(second).get_table_names()) == before
    second.dispose()


def test_a_database_of_a_later_release_is_left_alone(tmp_path: Path) -> None:
    open_database(url(tmp_path)).dispose()
    with sqlite3.connect(tmp_path / "club.sqlite") as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    with pytest.raises(StoreError, match="the database is at revision 9999, which this release does not know"):
        open_database(url(tmp_path))


def test_settings_that_do_not_take_are_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from tutor.store import engine as module

    monkeypatch.setattr(
        module, "_set_pragmas", lambda connection, _record: setattr(connection, "isolation_level", None)
    )
    with pytest.raises(StoreError, match="write-ahead mode with full syncs is wanted"):
        open_database(url(tmp_path))


def test_times_without_a_zone_are_refused() -> None:
    from datetime import datetime

    from tutor.store.tables import UtcDateTime

    with pytest.raises(ValueError, match="a time without a zone cannot be stored"):
        UtcDateTime().process_bind_param(datetime(2026, 3, 2), create_engine("sqlite://").dialect)  # noqa: DTZ001
