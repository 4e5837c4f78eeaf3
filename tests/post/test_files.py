"""Letters to files, and mail from files, as other programs write and read them."""

from __future__ import annotations

import mailbox
from pathlib import Path

import pytest

from tests.post.servers import deliver
from tutor.learning.rounds.errors import RoundError
from tutor.post.files import messages_in, messages_of, write_eml, write_mbox

ONE = b"From: a@b.example\r\nSubject: one\r\n\r\nFrom the first line on\r\n>From here it is stuffed\r\n"
TWO = b"From: c@d.example\r\nSubject: two\r\n\r\nNothing special.\r\n"


def test_an_mbox_is_read_by_the_standard_library_and_read_back_here(tmp_path: Path) -> None:
    path = tmp_path / "round.mbox"
    assert write_mbox(path, [("a", ONE), ("b", TWO)], "rounds@club.example") == 2
    box = mailbox.mbox(path)
    assert [message["Subject"] for message in box] == ["one", "two"]
    box.close()
    assert [raw.replace(b"\n", b"\r\n") for raw in messages_in(path)] == [ONE, TWO]


def test_what_an_mbox_of_another_program_holds_is_found(tmp_path: Path) -> None:
    path = tmp_path / "old.mbox"
    box = mailbox.mbox(path)
    for raw in (ONE, TWO):
        box.add(mailbox.mboxMessage(raw))
    box.close()
    assert len(list(messages_in(path))) == 2


def test_eml_files_folders_of_them_and_maildirs_are_read(tmp_path: Path) -> None:
    written = write_eml(tmp_path / "out", [("Ann/../Baker K7MXQ4", ONE), ("b", TWO)])
    assert [path.parent for path in written] == [tmp_path / "out"] * 2  # no name leads elsewhere
    assert sorted(messages_in(tmp_path / "out")) == sorted([ONE, TWO])
    assert list(messages_in(written[1])) == [TWO]
    deliver(tmp_path / "maildir", ONE)
    assert [raw.replace(b"\r\n", b"\n") for raw in messages_in(tmp_path / "maildir")] == [ONE.replace(b"\r\n", b"\n")]
    assert messages_of(b"  \n") == []
    with pytest.raises(RoundError, match="an mbox or a Maildir is wanted"):
        list(messages_in(tmp_path / "nowhere"))
