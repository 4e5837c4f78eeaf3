"""Records in trouble: nothing is acknowledged, and what was typed comes back."""

from __future__ import annotations

import sqlite3
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy import text as sql

from tests.web.conftest import Visitor
from tests.web.test_pages import text
from tutor.bootstrap.club import Club
from tutor.learning.records import Issue, Member
from tutor.store.records import SqlRecords


def test_a_full_disk_gives_the_answer_back_and_the_site_recovers_by_itself(
    ann: Visitor, club: Club, member: Member, issue: Issue
) -> None:
    """SQLite's own limit of pages stands for a full disk: both answer SQLITE_FULL (sqlite.org/pragma.html#max_page_count)."""
    page = ann.get(f"/questions/{issue.id}")
    engine = writing(club)
    with engine.connect() as connection:
        pages = connection.execute(sql("PRAGMA page_count")).scalar()

    def no_room(connection: Any, _record: Any) -> None:
        connection.execute(f"PRAGMA max_page_count = {pages}")

    engine.dispose()
    event.listen(engine, "connect", no_room)
    for _ in range(100):  # the pages that are there have some room left
        page = ann.get(f"/questions/{issue.id}")
        answer = ann.send(page, "/answer", **{"answer-v_tap": "12.3 V"})
        if answer.status_code == 503:
            break
    event.remove(engine, "connect", no_room)
    engine.dispose()
    assert answer.status_code == 503
    assert "There is no room left" in text(answer)
    assert "not stored" in text(answer)
    assert "12.3 V" in text(answer)
    kept = len(club.practice.get(member, issue.id).attempts)
    assert ann.send(ann.get(f"/questions/{issue.id}"), "/answer", **{"answer-v_tap": "12.3 V"}).status_code == 200
    assert len(club.practice.get(member, issue.id).attempts) == kept + 1


def writing(club: Club) -> Engine:
    assert isinstance(club.records, SqlRecords)
    return club.records._writing


def test_busy_records_say_so_and_give_the_answer_back(ann: Visitor, club: Club, member: Member, issue: Issue) -> None:
    page = ann.get(f"/questions/{issue.id}")
    engine = writing(club)

    def impatient(connection: Any, _record: Any) -> None:
        connection.execute("PRAGMA busy_timeout = 100")

    engine.dispose()
    event.listen(engine, "connect", impatient)
    other = sqlite3.connect(str(engine.url.database), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    answer = ann.send(page, "/answer", **{"answer-v_tap": "12.3 V"})
    other.execute("ROLLBACK")
    other.close()
    assert answer.status_code == 503
    assert "records are busy just now." in text(answer)
    assert "12.3 V" in text(answer)
    assert club.practice.get(member, issue.id).attempts == ()
    assert ann.send(page, "/answer", **{"answer-v_tap": "12.3 V"}).status_code == 200
