"""Mail to words: encodings of thirty years, headers, HTML, machines."""

from __future__ import annotations

import base64
from datetime import UTC, datetime

import pytest

from tutor.learning.ports.post import Kind
from tutor.post.replies.charsets import to_text
from tutor.post.replies.decoding import decode
from tutor.post.replies.html_text import text_of_html


@pytest.mark.parametrize(
    ("charset", "encoding"),
    [
        ("iso-8859-1", "cp1252"), ("us-ascii", "utf-8"), ("windows-1252", "cp1252"), ("iso-8859-15", "iso-8859-15"),
        ("koi8-r", "koi8-r"), ("utf-16", "utf-16"), ("x-mac-roman", "mac-roman"), ("ibm850", "cp850"), ("utf-8", "utf-8"),
        ('"UTF-8"', "utf-8"), ("unknown-8bit", "cp1252"), ("no-such-thing", "utf-8"), ("utf-7", "utf-7"), ("iso-2022-jp", "iso-2022-jp"),
    ],
)  # fmt: skip
def test_every_encoding_gives_its_words(charset: str, encoding: str) -> None:
    words = {"koi8-r": "Привет 5 В", "iso-2022-jp": "答え 5 V"}.get(encoding, "Größe: 5 V")
    assert to_text(words.encode(encoding), charset)[0] == words


def test_bytes_without_a_meaning_are_told() -> None:
    assert to_text(b"\x81\x8d ok", "utf-8") == ("\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER} ok", False)


def test_headers_are_decoded_and_forged_ones_give_nobody() -> None:
    found = decode(
        b"From: =?iso-8859-1?Q?Bert_M=FCller?= <bert@members.example>\nSubject: =?utf-8?B?"
        + base64.b64encode("Größe".encode())
        + b"?=\nDate: Tue, 3 Mar 2026 20:15:00 +0100\nMessage-ID: <a@b.example>\nIn-Reply-To: <c@d.example>\n"
        b"References: <x@y.example>\n <c@d.example>\n\n1. 5 V\n"
    )
    assert (found.sender, found.subject, found.message_id) == ("bert@members.example", "Größe", "<a@b.example>")
    assert found.thread == ("<c@d.example>", "<x@y.example>")
    assert found.dated == datetime(2026, 3, 3, 19, 15, tzinfo=UTC)
    assert (found.kind, found.text.strip()) == (Kind.PERSON, "1. 5 V")
    two = decode(b"From: a@b.example, c@d.example\nDate: nonsense\nSubject: =?x?Q?broken\n\nhi\n")
    assert (two.sender, two.dated, two.subject) == ("", None, "=?x?Q?broken")


def test_html_becomes_lines_with_numbers_and_quotations() -> None:
    html = (
        "<style>p {}</style><p>Hello&nbsp;Ada</p><ol start=2><li>4k7<li>B</ol><script>1. 5 V</script>"
        '<div style="display: none">1. 6 V</div><blockquote><p>Q<br>A</p></blockquote><table><tr><td>1<td>7 V</table>'
    )
    assert text_of_html(html).splitlines() == ["Hello Ada", "2. 4k7", "3. B", "> Q", "> A", "1\t7 V"]
    assert "deep" in text_of_html("<div>" * 5000 + "deep")
    assert isinstance(text_of_html("<![if !x]><p>a</p><![endif]><!-- <p <b"), str)


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"Auto-Submitted: no", Kind.PERSON),
        (b"Auto-Submitted: auto-notified", Kind.MACHINE),
        (b"Precedence: junk", Kind.MACHINE),
        (b"Subject: Out of Office: away", Kind.MACHINE),
        (b"Subject: my output of office supplies", Kind.PERSON),
        (b"From: MAILER-DAEMON@mail.example", Kind.BOUNCE),
        (b"Content-Type: multipart/report; report-type=disposition-notification; boundary=x", Kind.DELAY),
    ],
)
def test_machines_say_what_they_are(head: bytes, kind: Kind) -> None:
    more = b"" if head.startswith(b"From") else b"From: a@b.example\n"
    assert decode(more + head + b"\n\ntext\n").kind is kind


@pytest.mark.parametrize(
    "raw", [b"", b"\n", b"\0" * 500, b"\xff\xfe" * 100, b"From: \xff\n\n\xff", b"Content-Type: \n\nx", b"MIME-Version"]
)
def test_whatever_comes_in_something_comes_out(raw: bytes) -> None:
    assert decode(raw).sender == ""
