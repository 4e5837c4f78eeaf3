"""A member's own data: handed out whole and without keys to any door; erased without a trace."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import create_engine, text

from tests.fakes.world import FakeClock
from tests.learning.test_replay import found, practise
from tests.store.test_backup import folder, records
from tutor.bootstrap.club import Club
from tutor.cli import main
from tutor.learning.records import Member, Role
from tutor.store.schema import metadata

__all__ = ["folder", "records"]

PASSWORD = "copper anode lantern"
NAME, SIGN_IN = "Hieronyma Quackenbusch", "hieronyma.q"


@pytest.fixture
def people(club: Club) -> list[Member]:
    """Three members, of whom the first has done everything."""
    organiser = club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    members = [club.membership.add(SIGN_IN, NAME, PASSWORD)]
    members += [club.membership.add(name, name.title(), PASSWORD) for name in ("bea.cole", "cy.dunn")]
    lesson = club.shelf.lesson("second")
    club.course_work.write_note(members[0], lesson, f"What {NAME} noted")
    group = club.class_room.make_group("Tuesday")
    club.class_room.set_group(group.id, [members[0].id])
    club.course_work.new_feed(members[0])
    club.sign_ins.sign_in(SIGN_IN, PASSWORD, "10.0.0.1", browser=f"browser of {NAME}")
    club.office.print_reset_code(organiser, members[0].id)
    club.office.end_sign_ins(organiser, members[2].id)
    opened = club.tests.begin(members[0], lesson)
    issue = opened.issues[0]
    club.tests.save(members[0], opened.paper.id, {issue.id: {issue.question.asks[0].name: "1 V"}})
    return members


def run(*arguments: object) -> str:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exit_code == 0, result.output
    return result.output


def test_every_table_that_tells_of_members_belongs_to_the_export(club: Club, people: list[Member]) -> None:
    told = {
        table.name
        for table in metadata.sorted_tables
        if {"member_id", "account", "actor"} & set(table.columns.keys())
        or any(key.column.table.name in ("members", "papers") for key in table.foreign_keys)
    }
    assert told | {"members", "groups", "letters", "replies"} == set(club.personal_data.export(SIGN_IN))


def test_the_export_is_one_file_with_everything_and_no_key(
    club: Club, people: list[Member], clock: FakeClock, folder: Path, tmp_path: Path
) -> None:
    practise(club, clock, people, 20)
    unanswered = club.practice.issue(people[0])
    file = tmp_path / "hers.zip"
    assert "rows." in run("members", "export", SIGN_IN, file, "--data", folder)
    with zipfile.ZipFile(file) as archive:
        data = {name: archive.read(name).decode() for name in archive.namelist()}
    assert json.loads(data["members.json"])[0]["name"] == NAME
    assert json.loads(data["notes.json"])[0]["text"] == f"What {NAME} noted"
    assert json.loads(data["groups.json"])[0]["name"] == "Tuesday"
    assert json.loads(data["drafts.json"])[0]["answers"] != {}
    assert json.loads(data["attempts.json"]) != []
    issues = {issue["id"]: issue for issue in json.loads(data["issues.json"])}
    assert "question" not in issues[unanswered.id]
    assert any("question" in issue for issue in issues.values())
    with club.records.look() as work:
        hashes = [one.token_hash for one in work.doors.sign_ins(people[0].id)]
    everything = "".join(data.values())
    assert [secret for secret in (PASSWORD, people[0].password, *hashes) if secret in everything] == []
    assert not any(other in everything for other in ("bea.cole", "cy.dunn"))
    again = CliRunner().invoke(main, ["members", "export", SIGN_IN, str(file), "--data", str(folder)])
    assert (again.exit_code, "is there already" in again.output) == (1, True)


def test_nothing_of_an_erased_member_is_left_in_any_file(
    club: Club, people: list[Member], clock: FakeClock, folder: Path
) -> None:
    practise(club, clock, people, 30)
    others = [club.progress.history(member) for member in people[1:]]
    output = run("members", "erase", SIGN_IN, "--yes", "--data", folder)
    assert "Backups made before still hold them" in output
    left = [file.name for file in folder.iterdir() for word in (NAME, SIGN_IN) if word.encode() in file.read_bytes()]
    assert left == []
    engine = create_engine(f"sqlite:///{folder / 'club.sqlite'}")
    with engine.connect() as connection:
        for table in metadata.sorted_tables:
            if "member_id" in table.columns:
                query = text(f"SELECT count(*) FROM {table.name} WHERE member_id = :member")
                assert connection.execute(query, {"member": people[0].id}).scalar() == 0, table.name
        assert connection.execute(text("SELECT act, whom FROM acts ORDER BY id DESC")).first() == (
            "member erased",
            people[0].id,
        )
    engine.dispose()
    assert [club.progress.history(member) for member in people[1:]] == others  # what is theirs stays
    assert found(club, people[1:]) == []  # and still follows from the evidence
    gone = CliRunner().invoke(main, ["members", "export", SIGN_IN, "x.zip", "--data", str(folder)])
    assert (gone.exit_code, "no member" in gone.output) == (1, True)


def test_the_last_organiser_is_not_erased(club: Club, people: list[Member], folder: Path) -> None:
    refused = CliRunner().invoke(main, ["members", "erase", "ada.quill", "--yes", "--data", str(folder)])
    assert (refused.exit_code, "without an organiser" in refused.output) == (1, True)
    assert len(club.membership.everybody()) == 4


def test_erasing_takes_the_mails_that_came_in_along(club: Club, people: list[Member]) -> None:
    her = people[0]
    with club.records.work() as work:
        session = work.people._session  # type: ignore[attr-defined]  # the adapter's own
        session.execute(
            text("INSERT INTO addresses (member_id, email, post) VALUES (:id, 'own@members.example', 'mail')"),
            {"id": her.id},
        )
        for sender, number in (("own@members.example", 1), ("another@members.example", 2)):
            session.execute(
                text(
                    "INSERT INTO replies (digest, source, arrived, dated, message_id, sender, subject, text, state, paper, why, "
                    "found, unsure) VALUES (:digest, 's', '2026-03-01', '2026-03-01', 'm', :sender, 's', 'words', 'done', '', '', "
                    "'{}', '{}')"
                ),
                {"digest": str(number), "sender": sender},
            )
    with club.records.work() as work:
        work.people.erase(her.id)
    with club.records.look() as work:
        left = work.people._session.execute(text("SELECT sender FROM replies")).scalars().all()  # type: ignore[attr-defined]
    assert left == ["another@members.example"]
