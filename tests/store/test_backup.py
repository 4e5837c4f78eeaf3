"""Backups: one moment, one file, checked before anything is replaced; older ones come back upgraded."""

from __future__ import annotations

import json
import threading
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Engine, MetaData, select

from tests.fakes.world import FakeClock
from tests.learning.test_replay import people, practise
from tests.store.test_migrations import OF_0001, old
from tutor.bootstrap.club import Club, put_together
from tutor.bootstrap.keeping import back_up, look_over, take_back
from tutor.bootstrap.site import data_folder
from tutor.learning.courses import Shelf
from tutor.store.backup import restore, write_backup
from tutor.store.engine import connect, open_database
from tutor.store.errors import BackupError
from tutor.store.records import SqlRecords

__all__ = ["old"]

AT = datetime(2026, 3, 9, 12, 0, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return data_folder(tmp_path / "club")


@pytest.fixture
def records(folder: Path) -> SqlRecords:
    return SqlRecords(open_database(f"sqlite:///{folder / 'club.sqlite'}"))


def everything(url: str) -> dict[str, list[tuple[object, ...]]]:
    engine = connect(url)
    tables = MetaData()
    tables.reflect(engine)
    with engine.connect() as connection:
        found = {
            table.name: [tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key.columns))]
            for table in tables.sorted_tables
        }
    engine.dispose()
    return found


def close(club: Club) -> None:
    assert isinstance(club.records, SqlRecords)
    club.records._writing.dispose()


def test_a_restored_club_is_the_same_to_the_last_bit(
    club: Club, clock: FakeClock, folder: Path, tmp_path: Path
) -> None:
    practise(club, clock, people(club), 40)
    manifest = back_up(folder, tmp_path / "kept.zip")
    assert manifest.counts["attempts"] > 30
    other = tmp_path / "other"
    take_back(tmp_path / "kept.zip", other)
    assert everything(f"sqlite:///{other / 'club.sqlite'}") == everything(f"sqlite:///{folder / 'club.sqlite'}")
    assert list(look_over(other)) == []


def test_what_came_after_a_backup_is_put_aside_not_lost(
    club: Club, clock: FakeClock, folder: Path, tmp_path: Path
) -> None:
    members = people(club)
    practise(club, clock, members, 5)
    back_up(folder, tmp_path / "kept.zip")
    before = everything(f"sqlite:///{folder / 'club.sqlite'}")
    practise(club, clock, members[:1], 1)
    close(club)
    _, former = take_back(tmp_path / "kept.zip", folder)
    assert everything(f"sqlite:///{folder / 'club.sqlite'}") == before
    assert former is not None
    assert len(everything(f"sqlite:///{former}")["attempts"]) == len(before["attempts"]) + 1


def test_a_backup_of_a_busy_club_shows_one_moment(club: Club, clock: FakeClock, folder: Path, tmp_path: Path) -> None:
    """Every attempt in the backup has its evidence and its ledger, however the two run beside each other."""
    stop = threading.Event()
    members = people(club)

    def busy() -> None:
        while not stop.is_set():
            practise(club, clock, members, 1)
            for member in members:
                issue = club.practice.issue(member)
                club.practice.submit(member, issue.id, f"k{issue.id}", {a.name: "1" for a in issue.question.asks})

    thread = threading.Thread(target=busy)
    thread.start()
    try:
        for number in range(3):
            back_up(folder, tmp_path / f"{number}.zip")
    finally:
        stop.set()
        thread.join()
    for number in range(3):
        other = tmp_path / f"other{number}"
        take_back(tmp_path / f"{number}.zip", other)
        assert list(look_over(other)) == []


def test_a_backup_of_the_first_schema_comes_back_in_this_one(
    old: Engine, tmp_path: Path, shelf: Shelf, club: Club
) -> None:
    write_backup(old, tmp_path / "old.zip", AT)
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    assert restore(tmp_path / "old.zip", url).revision == "0001"
    moved = put_together(
        SqlRecords(open_database(url)), shelf, club.clock, club.practice.chance, club.membership.passwords
    )
    assert [member.name for member in moved.membership.everybody()] == ["Ann", "Bea"]
    assert set(everything(url)) >= set(OF_0001)


def test_a_damaged_backup_replaces_nothing(club: Club, clock: FakeClock, folder: Path, tmp_path: Path) -> None:
    practise(club, clock, people(club), 3)
    back_up(folder, tmp_path / "kept.zip")
    close(club)
    before = everything(f"sqlite:///{folder / 'club.sqlite'}")
    changed = tmp_path / "changed.zip"
    with zipfile.ZipFile(tmp_path / "kept.zip") as kept, zipfile.ZipFile(changed, "w") as out:
        for name in kept.namelist():
            body = kept.read(name)
            out.writestr(name, body.replace(b'"key": "form', b'"key": "farm') if name == "attempts.jsonl" else body)
    with pytest.raises(BackupError, match="is damaged: table attempts is not as it was written"):
        take_back(changed, folder)
    cut = tmp_path / "cut.zip"
    cut.write_bytes((tmp_path / "kept.zip").read_bytes()[:-200])
    with pytest.raises(BackupError, match="cannot be read as a backup"):
        take_back(cut, folder)
    assert everything(f"sqlite:///{folder / 'club.sqlite'}") == before


def test_a_backup_of_a_newer_release_is_refused(club: Club, folder: Path, tmp_path: Path) -> None:
    back_up(folder, tmp_path / "kept.zip")
    newer = tmp_path / "newer.zip"
    with zipfile.ZipFile(tmp_path / "kept.zip") as kept, zipfile.ZipFile(newer, "w") as out:
        for name in kept.namelist():
            body = kept.read(name)
            if name == "manifest.json":
                body = json.dumps(json.loads(body) | {"revision": "9999"}).encode()
            out.writestr(name, body)
    with pytest.raises(BackupError, match="is of schema 9999, newer than this release"):
        take_back(newer, tmp_path / "elsewhere")
    assert club.membership.everybody() == []


def test_a_running_club_is_not_replaced(club: Club, folder: Path, tmp_path: Path) -> None:
    back_up(folder, tmp_path / "kept.zip")
    with club.records.look() as work:
        work.people.everybody()
        with pytest.raises(BackupError, match="is in use; stop the site before restoring"):
            take_back(tmp_path / "kept.zip", folder)
    club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")


def test_a_file_that_is_there_is_not_written_over(folder: Path, tmp_path: Path, club: Club) -> None:
    assert club.membership.everybody() == []
    (tmp_path / "kept.zip").write_text("something dear")
    with pytest.raises(BackupError, match="is there already"):
        back_up(folder, tmp_path / "kept.zip")
    assert (tmp_path / "kept.zip").read_text() == "something dear"


def test_the_doctor_finds_what_was_changed_by_hand(club: Club, clock: FakeClock, folder: Path) -> None:
    members = people(club)
    practise(club, clock, members, 12)
    sheet = club.tests.begin(members[0], club.shelf.lesson("second"))
    club.tests.hand_in(members[0], sheet.paper.id)
    assert list(look_over(folder)) == []
    with connect(f"sqlite:///{folder / 'club.sqlite'}").begin() as connection:
        connection.exec_driver_sql('UPDATE attempts SET answers = \'{"v_tap": "1 V"}\' WHERE id = 1')
        connection.exec_driver_sql("UPDATE papers SET marks = 99")
        connection.exec_driver_sql("UPDATE standings SET answers = answers + 1 WHERE rowid = 1")
        connection.exec_driver_sql("UPDATE difficulties SET value = 0.123 WHERE rowid = 1")
    found = [finding.about for finding in look_over(folder)]
    assert found.count("marks") == 1
    assert found.count("tests") == 1
    assert found.count("standings") == 2
