"""Rounds in the database: letters that move once, replies stored once, and all of it in a backup."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from threading import Thread

import pytest
from sqlalchemy import select

from tutor.bootstrap.club import Club
from tutor.bootstrap.keeping import back_up
from tutor.learning.ports import Records
from tutor.learning.round_records import By, Letter, LetterKind, LetterState, Reply, ReplyState
from tutor.learning.rounds.making import RoundPlan
from tutor.store.backup import restore
from tutor.store.engine import connect
from tutor.store.round_tables import LetterRow

AT = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)


@pytest.fixture
def letter(club: Club) -> Letter:
    member = club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
    club.rounds.addresses.put(member.id, "ann@members.example", By.MAIL)
    made = club.rounds.making.make(RoundPlan(title="T", lesson="first", questions=1, members=(member.id,)))
    assert club.rounds.outbox.queue_papers(made.id) == 1
    return club.rounds.outbox.of_round(made.id)[0]


def reply(digest: str = "d") -> Reply:
    return Reply(
        id=0, digest=digest, source="a file", arrived=AT, dated=AT, message_id="<a@b>", sender="a@b.example",
        subject="s" * 400, text="1. 5 V", state=ReplyState.NEW,
    )  # fmt: skip


def test_a_letter_is_claimed_once_however_many_reach_for_it(records: Records, letter: Letter) -> None:
    claimed: list[bool] = []

    def claim() -> None:
        with records.work() as work:
            claimed.append(work.letters.move(letter.id, [LetterState.QUEUED], LetterState.SENDING, claimed=AT))

    threads = [Thread(target=claim) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(claimed) == [False] * 5 + [True]
    with records.look() as work:
        found = work.letters.get(letter.id)
    assert found is not None
    assert (found.state, found.tries, found.claimed) == (LetterState.SENDING, 1, AT)


def test_the_same_message_is_stored_once_and_comes_back_as_it_was(records: Records) -> None:
    with records.work() as work:
        stored = work.replies.add(reply(), b"\x00\xffraw")
        assert stored is not None
        assert work.replies.add(reply(), b"again") is None
        assert work.replies.add(reply("other"), b"") is not None
        work.replies.put_place("box", 7, 12)
        work.replies.put_place("box", 7, 13)
    with records.look() as work:
        assert work.replies.raw(stored.id) == b"\x00\xffraw"
        assert work.replies.place("box") == (7, 13)
        assert work.replies.place("another") == (0, 0)
        assert len(work.replies.in_state(ReplyState.NEW)) == 2


def test_messages_come_back_from_a_backup_byte_for_byte(club: Club, letter: Letter, tmp_path: Path) -> None:
    with club.records.work() as work:
        work.letters.put_raw(letter.id, bytes(range(256)))
    (tmp_path / "club.toml").write_text("", encoding="utf-8")
    back_up(tmp_path, tmp_path / "kept.zip")
    url = f"sqlite:///{tmp_path / 'other.sqlite'}"
    restore(tmp_path / "kept.zip", url)
    other = connect(url)
    with other.connect() as connection:
        assert connection.execute(select(LetterRow.raw).where(LetterRow.id == letter.id)).scalar() == bytes(range(256))
        assert connection.execute(select(LetterRow.message_id)).scalar() == letter.message_id


def test_the_kinds_of_letters_and_states_fit_their_columns() -> None:
    assert max(len(state.value) for state in LetterState) <= 20
    assert max(len(state.value) for state in ReplyState) <= 20
    assert max(len(kind.value) for kind in LetterKind) <= 10
