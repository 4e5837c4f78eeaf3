"""`quiescent round` from making a round to reading what came back."""

from __future__ import annotations

import csv
import io
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from click.testing import CliRunner

from tutor.bootstrap.post import read_mail
from tutor.bootstrap.site import read_settings
from tutor.cli import main
from tutor.errors import FaultyFileError
from tutor.post.smtp import Security


def run(*arguments: str, text: str = "") -> str:
    result = CliRunner().invoke(
        main, ["round" if arguments[0] != "members" else "members", *arguments[arguments[0] == "members" :]], input=text
    )
    assert result.exit_code == 0, result.output
    return result.output


@pytest.mark.slow
def test_a_round_goes_out_as_files_and_comes_back_as_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    data = ("--data", str(tmp_path / "club"))
    run("members", "add", "bert.amble", "--name", "Bert Amble", *data, text="copper anode lantern\n")
    assert "by mail" in run("address", "bert.amble", "bert@members.example", *data)
    made = run("make", "Dividers", "--topic", "dividers", "--questions", "1", *data)
    assert "1 papers" in made
    round_ = made.split()[0]
    assert round_ in run("list", *data)
    assert "1 written" in run("send", "--eml", str(tmp_path / "out"), *data, "--", round_)
    (path,) = (tmp_path / "out").glob("*.eml")
    sent = message_from_bytes(path.read_bytes(), policy=policy.default)
    reply = (
        f"From: bert@members.example\nSubject: Re: {sent['Subject']}\nMessage-ID: <r@m.example>\n\nno idea about any\n"
    )
    (tmp_path / "reply.eml").write_text(reply, encoding="utf-8")
    assert "taken in 1: marked 0, for a person 1" in run("read", str(tmp_path / "reply.eml"), *data)
    assert "taken in 0" in run("read", str(tmp_path / "reply.eml"), *data)
    (row,) = csv.DictReader(io.StringIO(run("show", *data, "--", round_)))
    assert (row["name"], row["sent"], row["waiting"]) == ("Bert Amble", "sent", "1")
    sheet = tmp_path / "key.html"
    run("sheets", "--kind", "key", *data, "--", round_, str(sheet))
    assert "Answer key: Dividers" in sheet.read_text(encoding="utf-8")
    refused = CliRunner().invoke(main, ["round", "post", *data])
    assert refused.exit_code == 1
    assert "No mail is set up" in refused.output


def test_the_mail_settings_are_read_with_their_passwords(tmp_path: Path) -> None:
    (tmp_path / "secret-word").write_text("pass\n", encoding="utf-8")
    (tmp_path / "club.toml").write_text(
        'name = "C"\n[mail]\naddress = "r@c.example"\nper_minute = 10\n'
        '[mail.smtp]\nhost = "m.example"\nuser = "u"\npassword_file = "secret-word"\nsecurity = "starttls"\n'
        '[mail.imap]\nhost = "m.example"\nuser = "u"\npassword_file = "secret-word"\nfolder = "Rounds"\n',
        encoding="utf-8",
    )
    mail = read_settings(tmp_path).mail
    assert mail.smtp is not None
    assert mail.imap is not None
    assert (mail.smtp.port, mail.smtp.security, mail.smtp.password) == (587, Security.STARTTLS, "pass")
    assert (mail.imap.port, mail.folder, mail.per_minute) == (993, "Rounds", 10)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        ({"smtp": {"host": "m.example"}}, "letters need a sender"),
        ({"address": "nobody"}, "is no mail address"),
        ({"adress": "a@b.example"}, "unknown key"),
        ({"per_minute": "many"}, "a int is wanted"),
        ({"per_minute": 0}, "from 1 to 6000"),
        ({"address": "a@b.example", "smtp": {"port": 25}}, "give the name of the server"),
        ({"address": "a@b.example", "smtp": {"host": "m", "security": "ssl"}}, "tls, starttls or none"),
        ({"address": "a@b.example", "smtp": {"host": "m", "password_file": "none"}}, "cannot be read"),
    ],
)
def test_faults_in_the_mail_settings_say_what_would_do(tmp_path: Path, raw: dict[str, object], says: str) -> None:
    with pytest.raises(FaultyFileError, match=says):
        read_mail(raw, tmp_path, "club.toml")
