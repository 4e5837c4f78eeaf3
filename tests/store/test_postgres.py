"""The same club on PostgreSQL: practice, tests, races, replay, backup from SQLite; a server that goes away."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from threading import Barrier, Thread

import pytest
from sqlalchemy import Engine, text

from tests.fakes.world import FakeClock
from tests.learning.test_replay import found, people, practise
from tests.postgres import running
from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf
from tutor.learning.doctor import examine
from tutor.learning.trouble import RecordsError
from tutor.store.backup import restore, write_backup
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords
from tutor.store.schema import metadata


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    # A socket's path has 107 bytes at most; pytest's own folders are too long for that.
    with running(Path(mkdtemp(prefix="pg"))) as url:
        yield url


@pytest.fixture
def engine(server: str) -> Iterator[Engine]:
    engine = open_database(server)
    yield engine
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


@pytest.fixture
def records(engine: Engine) -> SqlRecords:
    return SqlRecords(engine)


def test_the_schema_is_the_one_that_the_code_knows(engine: Engine) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_practice_tests_and_replay_agree(club: Club, clock: FakeClock) -> None:
    members = people(club)
    practise(club, clock, members, 40)
    sheet = club.tests.begin(members[0], club.shelf.lesson("second"))
    club.tests.save(members[0], sheet.paper.id, {sheet.issues[0].id: {sheet.issues[0].question.asks[0].name: "1 V"}})
    club.tests.hand_in(members[0], sheet.paper.id)
    assert found(club, members) == []
    assert list(examine(club.records)) == []
    assert club.class_room.page("bench").rows
    assert club.bank_review.test(club.shelf.lesson("second")) is not None


def test_members_who_answer_at_once_lose_nothing_and_the_replay_agrees(club: Club) -> None:
    members = people(club) + [club.membership.add(f"member{n}", f"M {n}", "copper anode lantern") for n in range(5)]
    issues = {
        m.id: club.practice.issue(m, club.shelf.lesson("first"), club.shelf.template("loaded-divider")) for m in members
    }
    together = Barrier(2 * len(members))
    failed: list[BaseException] = []

    def answer(member_id: int) -> None:
        together.wait()
        member = next(m for m in members if m.id == member_id)
        try:
            # Both threads send the same form: it counts once.
            club.practice.submit(member, issues[member_id].id, "same form", {"v_tap": "12 V"})
        except BaseException as error:
            failed.append(error)

    threads = [Thread(target=answer, args=(member.id,)) for member in members for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert [len(club.practice.get(m, issues[m.id].id).attempts) for m in members] == [1] * len(members)
    assert found(club, members) == []


def test_a_paper_handed_in_eight_times_at_once_is_marked_once(club: Club) -> None:
    (member, *_) = people(club)
    sheet = club.tests.begin(member, club.shelf.lesson("second"))
    together = Barrier(8)
    failed: list[BaseException] = []

    def hand_in() -> None:
        together.wait()
        try:
            club.tests.hand_in(member, sheet.paper.id)
        except BaseException as error:
            failed.append(error)

    threads = [Thread(target=hand_in) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert [len(i.attempts) for i in club.tests.sheet(member, sheet.paper.id).issues] == [1] * len(sheet.issues)


def test_a_club_moves_from_sqlite_by_backup_and_restore(
    server: str, shelf: Shelf, clock: FakeClock, tmp_path: Path, club: Club, engine: Engine
) -> None:
    small = open_database(f"sqlite:///{tmp_path / 'club.sqlite'}")
    old = put_together(SqlRecords(small), shelf, clock, club.practice.chance, club.membership.passwords)
    members = people(old)
    practise(old, clock, members, 20)
    write_backup(small, tmp_path / "kept.zip", clock.now())
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    restore(tmp_path / "kept.zip", server)
    assert found(club, members) == []
    assert [club.progress.topics(m) for m in members] == [old.progress.topics(m) for m in members]
    # Counters go on behind what came along.
    practise_again = club.practice.issue(members[0])
    club.practice.submit(members[0], practise_again.id, "b", {a.name: "1" for a in practise_again.question.asks})
    assert club.membership.add("new.one", "New One", "copper anode lantern").id > max(m.id for m in members)


def test_a_server_that_cuts_its_connections_is_told_and_the_club_goes_on_by_itself(club: Club, engine: Engine) -> None:
    (member, *_) = people(club)
    issue = club.practice.issue(member)

    def cut() -> None:
        with engine.connect() as connection:
            connection.execute(
                text(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() AND datname = current_database()"
                )
            )

    def cut_in_the_middle() -> None:
        with club.records.work() as work:
            work.people.everybody()
            cut()
            work.questions.open_solution(issue.id, issue.at)

    with pytest.raises(RecordsError):
        cut_in_the_middle()
    # The connections in the pool are dead too; the next request finds out and opens new ones.
    assert club.practice.get(member, issue.id).opened is None
    assert club.practice.open_solution(member, issue.id).opened is not None
