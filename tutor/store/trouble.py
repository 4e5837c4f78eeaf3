"""Trouble with the database in the middle of a request, told in the words of `learning.trouble`.

Sources: SQLite result codes (sqlite.org/rescode.html); PostgreSQL error codes (documentation of PostgreSQL 15,
appendix A).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from tutor.learning.trouble import RecordsBusyError, RecordsError, RecordsFullError, RecordsLostError

_SQLITE = {
    sqlite3.SQLITE_FULL: RecordsFullError,
    sqlite3.SQLITE_BUSY: RecordsBusyError,
    sqlite3.SQLITE_LOCKED: RecordsBusyError,
    sqlite3.SQLITE_IOERR: RecordsLostError,
    sqlite3.SQLITE_READONLY: RecordsLostError,
    sqlite3.SQLITE_CANTOPEN: RecordsLostError,
}
_POSTGRES = {
    "53100": RecordsFullError,  # disk full
    "55P03": RecordsBusyError,  # lock not available
    "40001": RecordsBusyError,  # serialization failure
    "40P01": RecordsBusyError,  # deadlock detected
    "57014": RecordsBusyError,  # query cancelled: the statement's time was up
    "25P03": RecordsBusyError,  # idle in transaction for too long
    "53300": RecordsBusyError,  # too many connections
    "53400": RecordsFullError,  # a configured limit, such as that of temporary files
    "25006": RecordsLostError,  # read only: a standby
}
_LOST = ("08", "57P", "58")  # connection exceptions, operator intervention (shutting down, starting), I/O errors


@contextmanager
def told() -> Iterator[None]:
    """Turn trouble with the database into a `RecordsError`; mistakes of the program stay what they are."""
    try:
        yield
    except PoolTimeoutError as error:
        raise RecordsBusyError from error
    except DBAPIError as error:
        kind = _first(error)
        if kind is None:
            raise
        raise kind from error


def _first(error: BaseException | None) -> type[RecordsError] | None:
    """Return the trouble that an error began with: a full disk ends the transaction, and its savepoint is missing."""
    kind = None
    while error is not None:
        if isinstance(error, DBAPIError):
            kind = trouble(error) or kind
        error = error.__context__
    return kind


def trouble(error: DBAPIError) -> type[RecordsError] | None:
    """Return what kind of trouble an error of the driver is; None for a mistake of the program."""
    driver = error.orig
    if isinstance(driver, sqlite3.Error):
        code = getattr(driver, "sqlite_errorcode", None)
        return None if code is None else _SQLITE.get(code & 0xFF)
    state = getattr(driver, "sqlstate", None)
    if state is not None:
        lost = RecordsLostError if str(state).startswith(_LOST) else None
        return _POSTGRES.get(str(state), lost)
    # Without a code there was no answer at all: the server is gone.
    return RecordsLostError if isinstance(error, OperationalError | InterfaceError) else None
