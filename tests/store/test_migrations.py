"""Migrations: from every earlier schema with data in it to this release's, losing nothing."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, MetaData, create_engine, select

from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf
from tutor.learning.records import Role
from tutor.store.engine import connect, open_database
from tutor.store.errors import StoreError
from tutor.store.records import SqlRecords
from tutor.store.schema import metadata
from tutor.store.upgrading import current_revision, newest_revision, upgrade_on, upgrading

AT = datetime(2026, 3, 2, 19, 0)  # noqa: DTZ001 - as it is stored
ASKED = {"question": "as it was"}

OF_0001: dict[str, list[dict[str, Any]]] = {
    "members": [
        {"id": 1, "sign_in": "ann.baker", "name": "Ann", "role": "member", "password": "new:x", "joined": AT},
        {"id": 2, "sign_in": "bea.cole", "name": "Bea", "role": "trainer", "password": "new:x", "joined": AT},
    ],
    "join_codes": [{"code": "CODE1", "role": "member", "uses": 3, "expires": AT}],
    "signed_in": [{"token_hash": "h", "member_id": 1, "made": AT, "expires": AT}],
    "issues": [
        {
            "id": "i1", "member_id": 1, "lesson": "first", "paper": "p1", "template": "loaded-divider", "title": "T",
            "release": "r", "serial": 2**47, "topic": "dividers", "question": ASKED, "at": AT, "hints": 1, "opened": AT,
        }
    ],
    "attempts": [
        {
            "id": 9, "issue_id": "i1", "member_id": 1, "key": "k", "answers": {"a": "1 V"}, "mark": {"asks": {}},
            "marks": 1, "of": 2, "at": AT,
        }
    ],
    "papers": [{"id": "p1", "member_id": 1, "lesson": "first", "begun": AT, "handed_in": AT, "issues": "i1"}],
    "drafts": [{"paper_id": "p1", "issue_id": "i1", "answers": {"a": "1 V"}}],
    "standings": [
        {
            "member_id": 1, "topic": "dividers", "weights": [1 / 81] * 81, "answers": 5, "days": 2, "weeks": 1,
            "last": date(2026, 3, 2), "was_secure": True,
        }
    ],
    "ledger": [
        {"id": 4, "member_id": 1, "topic": "dividers", "at": AT, "says": "S.", "before": 0.0, "after": 0.5, "issue": ""}
    ],
}  # fmt: skip


def made_at(engine: Engine, revision: str) -> None:
    with upgrading(engine) as connection:
        upgrade_on(connection, revision)


@pytest.fixture
def old(tmp_path: Path) -> Engine:
    """A database as the first release left it, with something in every table."""
    engine = connect(f"sqlite:///{tmp_path / 'club.sqlite'}")
    made_at(engine, "0001")
    tables = MetaData()
    tables.reflect(engine)
    with engine.begin() as connection:
        for name, rows in OF_0001.items():
            connection.execute(tables.tables[name].insert(), rows)
    return engine


def test_everything_of_the_first_schema_is_still_there(old: Engine) -> None:
    engine = open_database(str(old.url))
    tables = MetaData()
    tables.reflect(engine)
    with engine.connect() as connection:
        assert current_revision(connection) == newest_revision()
        for name, rows in OF_0001.items():
            found = [dict(row._mapping) for row in connection.execute(select(tables.tables[name]))]
            assert len(found) == len(rows), name
            for row, now in zip(rows, found, strict=True):
                kept = {key: value for key, value in row.items() if key != "was_secure"}
                assert {key: now[key] for key in kept} == kept
        standing = connection.execute(select(tables.tables["standings"])).one()
        assert (standing.secured, standing.stood) == (date(2026, 3, 2), 0.5)


def test_the_ledger_of_before_goes_on(old: Engine, shelf: Shelf, club: Club) -> None:
    records = SqlRecords(open_database(str(old.url)))
    with records.look() as work:
        ann = work.people.by_sign_in("ann.baker")
    assert ann is not None
    assert ann.role is Role.MEMBER
    moved = put_together(records, shelf, club.clock, club.practice.chance, club.membership.passwords)
    issue = moved.practice.issue(ann, shelf.lesson("first"), shelf.template("loaded-divider"))
    moved.practice.submit(ann, issue.id, "a", {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks})
    story = moved.progress.story(ann, "dividers")
    assert story.ledger[-1].says == "S."
    assert story.progress.score is not None
    assert sum(entry.moved for entry in story.ledger) == pytest.approx(story.progress.score.mean, abs=1e-12)


def test_the_migrated_schema_is_the_one_that_the_code_knows(old: Engine) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    engine = open_database(str(old.url))
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_a_migration_that_breaks_leaves_the_database_as_it_was(old: Engine) -> None:
    with old.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE facts (id INTEGER)")  # which 0002 makes, and cannot make now
    with pytest.raises(StoreError, match="cannot be opened"):
        open_database(str(old.url))
    with old.connect() as connection:
        assert current_revision(connection) == "0001"
        assert connection.exec_driver_sql("SELECT count(*) FROM standings WHERE was_secure").scalar() == 1


def test_a_newer_schema_is_left_alone(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'club.sqlite'}"
    open_database(url).dispose()
    with create_engine(url).begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(StoreError, match="revision 9999, which this release does not know; upgrade Quiescent"):
        open_database(url)
