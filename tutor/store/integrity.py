"""Whether a database is sound in itself: its pages, and what points at what."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Engine, text

MOST = 20


def broken(engine: Engine) -> Iterator[str]:
    """Tell what is broken. PostgreSQL holds its rows together by itself; there is nothing to tell of it here."""
    if engine.dialect.name != "sqlite":
        return
    with engine.execution_options(writes=False).connect() as connection:
        for (says,) in connection.execute(text(f"PRAGMA integrity_check({MOST})")):
            if says != "ok":
                yield str(says)
        for row in connection.execute(text("PRAGMA foreign_key_check")).fetchmany(MOST):
            yield f"{row[0]} row {row[1]} points at nothing in {row[2]}"
