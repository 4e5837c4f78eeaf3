"""Letters as they leave the house: valid, readable as text alone, with pictures, and safe from forged headers."""

from __future__ import annotations

import email
import email.policy
import re
import struct
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage

import pytest

from tests.post.conftest import HOUSE, chromium_or_skip
from tutor.bootstrap.club import Club
from tutor.learning.ports.post import Advice
from tutor.learning.records import Member
from tutor.learning.round_records import Letter, LetterKind, LetterState, Round, RoundSheet
from tutor.learning.rounds.codes import codes_in, shown
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.sending import Outbox
from tutor.post.style import WIDTH
from tutor.post.writing import PostWriter

NONE = Advice()
AT = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)


def letter_for(sheet: RoundSheet, kind: LetterKind = LetterKind.PAPER, **more: str) -> Letter:
    return Letter(
        id=1, paper=sheet.paper.code, kind=kind, state=LetterState.QUEUED, message_id="<abc.1@harbour-lane.example>",
        to="bert@members.example", made=AT, **more,
    )  # fmt: skip


def written(writer: PostWriter, sheet: RoundSheet, letter: Letter, advice: Advice = NONE) -> bytes:
    with writer.at_work() as scribe:
        return scribe.message(sheet, letter, advice)


def parsed(raw: bytes) -> EmailMessage:
    message = email.message_from_bytes(raw, policy=email.policy.default)
    assert isinstance(message, EmailMessage)
    return message


def check_form(raw: bytes) -> EmailMessage:
    """RFC 5322, sections 2.1.1 and 3.6; RFC 2045, sections 2.7 and 6.7: what every message must keep."""
    assert raw.isascii()
    assert b"\0" not in raw
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", raw) is None
    assert max(map(len, raw.split(b"\r\n"))) <= 998
    head = raw.partition(b"\r\n\r\n")[0]
    assert max(map(len, head.split(b"\r\n"))) <= 78
    message = parsed(raw)
    for part in message.walk():
        assert part.defects == []
        for name, value in part.items():
            assert value.defects == (), (name, value)
    for once in ("From", "To", "Subject", "Date", "Message-ID", "MIME-Version", "Auto-Submitted"):
        assert len(message.get_all(once)) == 1
    return message


def test_a_paper_reads_back_part_by_part_and_its_text_stands_alone(
    writer: PostWriter, sheet: RoundSheet, without_chromium: None
) -> None:
    message = check_form(written(writer, sheet, letter_for(sheet)))
    assert message.get_content_type() == "multipart/alternative"
    text = message.get_body(("plain",)).get_content().replace("\r\n", "\n")
    assert message["Message-ID"] == "<abc.1@harbour-lane.example>"
    assert message["Subject"] == f"Dividers in März [{shown(sheet.paper.code)}]"
    assert message["To"].addresses[0].display_name == "Bert Amble"
    assert max(map(len, text.splitlines())) <= WIDTH
    assert codes_in(text) == (sheet.paper.code,)
    flat = " ".join(text.split())
    for issue in sheet.issues:
        assert issue.question.title in flat
        for given in issue.question.givens:
            assert f"{given.name} = {' '.join(given.shown.split())}" in flat
        for part in issue.question.parts:
            assert f" {part['reference']}," in flat  # the circuit in words names every part
    for place in places_of(sheet.issues):
        assert re.search(rf"^Answer {place.label}( \(.*\))?:$", text, re.MULTILINE)
    assert "Caution: This circuit holds voltages that kill" in flat


def test_no_key_and_no_serial_leaves_the_house_with_a_paper(
    writer: PostWriter, sheet: RoundSheet, without_chromium: None
) -> None:
    message = parsed(written(writer, sheet, letter_for(sheet)))
    for part in message.walk():
        content = part.get_content() if part.get_content_maintype() == "text" else ""
        for issue in sheet.issues:
            assert str(issue.question.serial) not in content
            assert issue.question.release not in content
            for ask in issue.question.asks:
                if isinstance(ask.value, float):
                    assert ask.shown not in content
                    assert f"{ask.value:.6g}" not in content


def test_drawings_are_pictures_within_the_mail(writer: PostWriter, sheet: RoundSheet) -> None:
    chromium_or_skip()
    message = check_form(written(writer, sheet, letter_for(sheet)))
    html = message.get_body(("html",)).get_content()
    pictures = {
        part["Content-ID"].strip("<>"): part for part in message.walk() if part.get_content_maintype() == "image"
    }
    drawn = [issue for issue in sheet.issues if issue.question.parts]
    assert len(pictures) == len(drawn) > 0
    assert set(re.findall(r'src="cid:([^"]+)"', html)) == set(pictures)
    for part in pictures.values():
        png = part.get_content()
        assert png.startswith(b"\x89PNG")
        width, height = struct.unpack(">II", png[16:24])
        assert width > 300
        assert height > 100
        assert len(png) > 4000  # a picture with something on it
        assert part.get_content_disposition() == "inline"


def test_without_chromium_the_drawing_itself_is_attached(
    writer: PostWriter, sheet: RoundSheet, without_chromium: None
) -> None:
    message = check_form(written(writer, sheet, letter_for(sheet)))
    kinds = {part.get_content_type() for part in message.walk()}
    assert "image/svg+xml" in kinds
    svg = next(part for part in message.walk() if part.get_content_type() == "image/svg+xml").get_content()
    assert b"currentColor" not in svg


def test_a_pdf_is_attached_where_it_is_wanted(writer: PostWriter, sheet: RoundSheet) -> None:
    chromium_or_skip()
    message = check_form(written(replace(writer, with_pdf=True), sheet, letter_for(sheet)))
    assert message.get_content_type() == "multipart/mixed"
    pdf = next(part for part in message.walk() if part.get_content_type() == "application/pdf")
    assert pdf.get_filename() == f"paper-{shown(sheet.paper.code)}.pdf"
    assert pdf.get_content().startswith(b"%PDF-")


@pytest.mark.parametrize(
    "name", ["Bert\r\nBcc: all@club.example", "B\x00e\x1brt", "Änne Größe 山田", '"Bert", <x@y.example>', "x" * 199]
)
def test_no_name_and_no_title_gets_into_the_headers(
    writer: PostWriter, sheet: RoundSheet, without_chromium: None, name: str
) -> None:
    forged = replace(sheet, member=replace(sheet.member, name=name), round=replace(sheet.round, title=name))
    for kind in (LetterKind.PAPER, LetterKind.REMINDER, LetterKind.MARKS):
        message = check_form(written(writer, forged, letter_for(sheet, kind)))
        assert message["Bcc"] is None
        assert [address.addr_spec for address in message["To"].addresses] == ["bert@members.example"]


def test_letters_say_that_no_machine_need_answer_and_belong_to_their_thread(
    writer: PostWriter, sheet: RoundSheet, without_chromium: None
) -> None:
    letter = letter_for(sheet, LetterKind.MARKS, answers_to="<reply@members.example>")
    message = check_form(written(writer, sheet, letter))
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["In-Reply-To"] == message["References"] == "<reply@members.example>"
    assert message["List-Id"] == "<rounds.harbour-lane.example>"
    assert message["List-Unsubscribe"].strip() == "<mailto:rounds@harbour-lane.example?subject=No%20more%20rounds>"


def test_the_marks_tell_what_was_right_which_slip_it_was_and_the_solution(
    writer: PostWriter, club: Club, members: list[Member], sheet: RoundSheet, without_chromium: None
) -> None:
    issue = next(issue for issue in sheet.issues if issue.question.template == "loaded-divider")
    (ask,) = issue.question.asks
    from tutor.questions.marking import mark

    with club.records.work() as work:
        typed = {ask.name: f"{ask.slips[0].value:.4g}"}
        work.questions.add_attempt(issue.id, sheet.member.id, "k", typed, mark(issue.question, typed), AT)
        found = work.questions.get(issue.id)
    assert found is not None
    answered = replace(sheet, issues=tuple(found if one.id == issue.id else one for one in sheet.issues))
    late = replace(
        answered, paper=replace(answered.paper, late=True), round=replace(answered.round, closes=AT - timedelta(days=1))
    )
    message = check_form(written(writer, late, letter_for(sheet, LetterKind.MARKS), Advice("More dividers.")))
    for kind in ("plain", "html"):
        content = message.get_body((kind,)).get_content()
        flat = " ".join(content.replace("\N{NO-BREAK SPACE}", " ").split())
        assert "That is the voltage with nothing connected to the tap." in flat
        assert f"0 of {sum(one.question.marks for one in sheet.issues)} marks" in flat
        assert "The load is across R2" in flat
        assert ask.shown.replace("\N{NO-BREAK SPACE}", " ") in flat
        assert "More dividers." in flat
        assert "after the closing time" in flat
        assert "Left open" in flat


def test_the_outbox_writes_what_the_preview_shows(outbox: Outbox, round_: Round, without_chromium: None) -> None:
    assert outbox.queue_papers(round_.id) == 3
    assert outbox.queue_papers(round_.id) == 0
    letter = outbox.of_round(round_.id)[0]
    words = outbox.words(letter.id)
    (first, *others) = outbox.messages(round_.id, LetterKind.PAPER)
    assert len(others) == 2
    name, raw = first
    assert name == f"Bert Amble {letter.paper}"
    assert check_form(raw).get_body(("plain",)).get_content().replace("\r\n", "\n") == words
    assert {letter.state for letter in outbox.of_round(round_.id)} == {LetterState.SENT}
    assert HOUSE.club in words
