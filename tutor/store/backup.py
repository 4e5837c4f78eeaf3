"""Backups: everything in one file, the same for both engines, checked before anything is replaced.

The file is a ZIP archive with one JSON-lines file a table and a manifest: schema revision, counts, SHA-256 of each.
It is read from one transaction, so that it shows one moment however busy the club is. A club moves from SQLite to
PostgreSQL by backup and restore.
"""

from __future__ import annotations

import base64
import hashlib
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import (
    Connection,
    Date,
    DateTime,
    Engine,
    LargeBinary,
    MetaData,
    Table,
    func,
    insert,
    inspect,
    select,
    text,
)
from sqlalchemy.exc import DBAPIError

from tutor.store.engine import connect
from tutor.store.errors import BackupError
from tutor.store.upgrading import current_revision, newest_revision, upgrade_on, upgrading

FORMAT = "quiescent backup 1"
MANIFEST = "manifest.json"
VERSIONS = "alembic_version"
ROWS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup holds.

    Attributes:
        revision: Of the schema.
        made: When, ISO 8601.
        counts: Table → rows.
        sums: Table → SHA-256 of its lines.
    """

    revision: str
    made: str
    counts: dict[str, int]
    sums: dict[str, str]


def write_backup(engine: Engine, file: Path, made: datetime) -> Manifest:
    """Write everything that is in a database to a file; members may go on meanwhile.

    Args:
        engine: The database.
        file: Where to; must not be there yet.
        made: The time to write into it.
    Raises:
        BackupError: If the file is there, or the database holds no records.
    """
    if file.exists():
        raise BackupError(f"{file.name} is there already; give another name")
    half = file.with_name(f"{file.name}.part")
    try:
        with _one_moment(engine) as connection, zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive:
            revision = current_revision(connection)
            if revision is None:
                raise BackupError("the database holds no records of a club")
            manifest = Manifest(revision, made.isoformat(), {}, {})
            for table in _tables(connection):
                with archive.open(f"{table.name}.jsonl", "w", force_zip64=True) as out:
                    manifest.counts[table.name], manifest.sums[table.name] = _write_table(connection, table, out)
            archive.writestr(MANIFEST, json.dumps({"format": FORMAT} | _data(manifest), indent=1))
        half.replace(file)
    finally:
        half.unlink(missing_ok=True)
    return manifest


def _data(manifest: Manifest) -> dict[str, Any]:
    return {
        "revision": manifest.revision,
        "made": manifest.made,
        "counts": manifest.counts,
        "sums": manifest.sums,
    }


def _one_moment(engine: Engine) -> Connection:
    """Return a connection whose reads all see one moment: a WAL snapshot, or REPEATABLE READ."""
    options: dict[str, Any] = {"writes": False}
    if engine.dialect.name != "sqlite":
        options["isolation_level"] = "REPEATABLE READ"
    return engine.execution_options(**options).connect()


def _tables(connection: Connection) -> list[Table]:
    metadata = MetaData()
    metadata.reflect(connection)
    return [table for table in metadata.sorted_tables if table.name != VERSIONS]


def _write_table(connection: Connection, table: Table, out: IO[bytes]) -> tuple[int, str]:
    found, count = hashlib.sha256(), 0
    query = select(table).order_by(*table.primary_key.columns).execution_options(yield_per=ROWS_AT_ONCE)
    for row in connection.execute(query):
        line = json.dumps({key: _plain(value) for key, value in row._mapping.items()}, ensure_ascii=False) + "\n"
        body = line.encode()
        out.write(body)
        found.update(body)
        count += 1
    return count, found.hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    return value.isoformat() if isinstance(value, date | datetime) else value


# -- reading -----------------------------------------------------------------------------------------------------------
def read_manifest(file: Path) -> Manifest:
    """Read and verify a whole backup.

    Raises:
        BackupError: If it is no backup, damaged, or of a newer release.
    """
    try:
        with zipfile.ZipFile(file) as archive:
            raw = json.loads(archive.read(MANIFEST))
            if not isinstance(raw, dict) or raw.get("format") != FORMAT:
                raise BackupError(f"{file.name} is no backup of a club")
            manifest = Manifest(str(raw["revision"]), str(raw["made"]), dict(raw["counts"]), dict(raw["sums"]))
            for table, wanted in manifest.sums.items():
                count, found = _sum_of(archive, table)
                if (count, found) != (manifest.counts[table], wanted):
                    raise BackupError(f"{file.name} is damaged: table {table} is not as it was written")
    except (OSError, KeyError, ValueError, zipfile.BadZipFile, EOFError) as error:
        raise BackupError(f"{file.name} cannot be read as a backup ({error})") from error
    if manifest.revision > newest_revision():
        raise BackupError(f"{file.name} is of schema {manifest.revision}, newer than this release; upgrade Quiescent")
    return manifest


def _sum_of(archive: zipfile.ZipFile, table: str) -> tuple[int, str]:
    found, count = hashlib.sha256(), 0
    with archive.open(f"{table}.jsonl") as lines:
        for line in lines:
            found.update(line)
            count += 1
    return count, found.hexdigest()


def restore(file: Path, url: str) -> Manifest:
    """Fill an empty database with a backup, and bring it to this release's schema; all or nothing.

    Args:
        file: The backup; verified whole before anything is touched.
        url: The database.
    Raises:
        BackupError: If the backup is not sound, or the database is not empty.
    """
    manifest = read_manifest(file)
    engine = connect(url)
    try:
        with upgrading(engine) as connection, zipfile.ZipFile(file) as archive:
            if inspect(connection).get_table_names():
                raise BackupError("there are records in this database already; restore into an empty one")
            upgrade_on(connection, manifest.revision)
            for table in _tables(connection):
                if table.name in manifest.sums:
                    _read_table(connection, table, archive)
                    _check_count(connection, table, manifest.counts[table.name])
            upgrade_on(connection)
    except DBAPIError as error:
        raise BackupError(f"the backup cannot be taken back: {error.orig}") from error
    finally:
        engine.dispose()
    return manifest


def _read_table(connection: Connection, table: Table, archive: zipfile.ZipFile) -> None:
    times = {column.name: column.type for column in table.columns if isinstance(column.type, Date | DateTime)}
    raw = [column.name for column in table.columns if isinstance(column.type, LargeBinary)]
    with archive.open(f"{table.name}.jsonl") as lines:
        for rows in _batches(lines):
            for row in rows:
                for name, kind in times.items():
                    row[name] = _moment(row[name], kind)
                for name in raw:
                    row[name] = None if row[name] is None else base64.b64decode(row[name])
            connection.execute(insert(table), rows)
    if connection.dialect.name != "sqlite":
        _catch_up(connection, table)


def _moment(value: str | None, kind: Any) -> date | datetime | None:
    if value is None:
        return None
    return datetime.fromisoformat(value) if isinstance(kind, DateTime) else date.fromisoformat(value)


def _batches(lines: IO[bytes]) -> Iterator[list[dict[str, Any]]]:
    rows: list[dict[str, Any]] = []
    for line in lines:
        rows.append(json.loads(line))
        if len(rows) == ROWS_AT_ONCE:
            yield rows
            rows = []
    if rows:
        yield rows


def _catch_up(connection: Connection, table: Table) -> None:
    """Let a counter of PostgreSQL go on after the numbers that came with the backup."""
    for column in table.primary_key.columns:
        counter = connection.execute(
            text("SELECT pg_get_serial_sequence(:table, :column)"), {"table": table.name, "column": column.name}
        ).scalar()
        if counter:
            last = connection.execute(select(func.max(column))).scalar()
            connection.execute(
                text("SELECT setval(:counter, :last, :used)"),
                {"counter": counter, "last": last or 1, "used": last is not None},
            )


def _check_count(connection: Connection, table: Table, wanted: int) -> None:
    found = connection.execute(select(func.count()).select_from(table)).scalar()
    if found != wanted:
        raise BackupError(f"table {table.name} came back with {found} rows of {wanted}; nothing was changed")
