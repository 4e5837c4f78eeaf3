"""Keeping a club's records: backup, restore, doctor."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.engine import make_url

from tutor.bootstrap.site import data_folder, read_settings
from tutor.learning.doctor import Finding, examine
from tutor.store.backup import Manifest, read_manifest, restore, write_backup
from tutor.store.engine import connect, open_database
from tutor.store.errors import BackupError
from tutor.store.integrity import broken
from tutor.store.records import SqlRecords


def back_up(folder: Path, file: Path) -> Manifest:
    """Write the records of a data folder to one file.

    Raises:
        BackupError: See `tutor.store.backup`.
    """
    engine = connect(read_settings(folder).database)
    try:
        return write_backup(engine, file, datetime.now(UTC))
    finally:
        engine.dispose()


def take_back(file: Path, folder: Path) -> tuple[Manifest, Path | None]:
    """Restore a backup into a data folder.

    A SQLite database is built beside the present one and takes its place when it is whole; the present one is kept
    under another name. Another database must be empty.

    Args:
        file: The backup.
        folder: The data folder; made if it is not there.
    Returns:
        What was restored, and where the former database was put, if there was one.
    Raises:
        BackupError: If the backup is not sound, or the site is running.
    """
    read_manifest(file)
    url = make_url(read_settings(data_folder(folder)).database)
    if url.get_backend_name() != "sqlite" or url.database is None:
        return restore(file, url.render_as_string(hide_password=False)), None
    place = Path(url.database)
    fresh = place.with_name(f"{place.name}.restoring")
    _remove(fresh)
    try:
        manifest = restore(file, f"sqlite:///{fresh}")
        former = _put_aside(place)
        os.replace(fresh, place)  # noqa: PTH105 - one step of the file system, by its own name
    finally:
        _remove(fresh)
    return manifest, former


def _remove(database: Path) -> None:
    for name in (database, *(database.with_name(f"{database.name}{end}") for end in ("-wal", "-shm"))):
        with suppress(FileNotFoundError):
            name.unlink()


def _put_aside(place: Path) -> Path | None:
    """Move a database out of the way, whole, unless somebody is using it."""
    import sqlite3

    if not place.exists():
        return None
    connection = sqlite3.connect(place, timeout=1)
    try:
        # What stands in the write-ahead log goes into the file; this fails while anybody else has it open.
        connection.execute("PRAGMA locking_mode=EXCLUSIVE")
        connection.execute("PRAGMA journal_mode=DELETE")
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("COMMIT")
    except sqlite3.OperationalError as error:
        raise BackupError(f"{place.name} is in use; stop the site before restoring") from error
    finally:
        connection.close()
    stamp = f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}"
    former = place.with_name(f"{place.stem}.before-{stamp}{place.suffix}")
    os.replace(place, former)  # noqa: PTH105 - as above
    return former


def look_over(folder: Path) -> Iterator[Finding]:
    """Check the records of a data folder: the database itself, then what stands in it."""
    engine = open_database(read_settings(folder).database)
    try:
        yield from (Finding("database", says) for says in broken(engine))
        yield from examine(SqlRecords(engine))
    finally:
        engine.dispose()
