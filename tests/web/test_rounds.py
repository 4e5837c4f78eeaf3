"""The pages of rounds, as an organiser walks through an evening."""

from __future__ import annotations

import io

import pytest
from flask import Flask

from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club
from tutor.learning.records import Member, Role
from tutor.learning.round_records import By, LetterKind, LetterState, Round
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import RoundPlan


@pytest.fixture
def ada(site: Flask, club: Club, member: Member) -> Visitor:
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    club.rounds.addresses.put(member.id, "ann@members.example", By.MAIL)
    visitor = Visitor(site.test_client())
    visitor.sign_in("ada.quill")
    return visitor


@pytest.fixture
def round_(club: Club, member: Member) -> Round:
    return club.rounds.making.make(RoundPlan(title="Loads", lesson="first", questions=1, members=(member.id,)))


def text(page: object) -> str:
    return page.get_data(as_text=True)  # type: ignore[attr-defined]  # a response


def test_a_round_is_made_from_a_form_and_sent(ada: Visitor, club: Club, member: Member) -> None:
    page = ada.get("/rounds/new")
    refused = ada.send(page, "/rounds/new", title=" ", lesson="first", member=str(member.id))
    assert refused.status_code == 422
    assert "needs a title" in text(refused)
    wrong = ada.send(page, "/rounds/new", title="T", lesson="first", questions="many", member=str(member.id))
    assert "a whole number is wanted" in text(wrong)
    when = ada.send(page, "/rounds/new", title="T", lesson="first", closes="soon", member=str(member.id))
    assert "give a day and time" in text(when)
    made = ada.send(
        page, "/rounds/new", title="Loads in <March>", lesson="first", questions="1", closes="2026-03-20T19:00",
        member=str(member.id),
    )  # fmt: skip
    assert "Loads in &lt;March&gt;" in text(made)
    assert "Ann Baker" in text(made)
    assert "not yet" in text(made)
    sent = ada.send(made, "/send")
    assert "queued" in text(sent)
    (round_,) = club.rounds.making.all()
    (letter,) = club.rounds.outbox.of_round(round_.id)
    assert (letter.state, letter.to) == (LetterState.QUEUED, "ann@members.example")


def test_a_queued_reply_is_decided_with_its_words_in_view(ada: Visitor, club: Club, round_: Round) -> None:
    (sheet,) = club.rounds.making.sheets(round_.id)
    reply = club.rounds.receiving.paste("1: 43.9 V or <b>52 V</b>", sheet.paper.code)
    front = ada.get("/rounds/")
    assert "1 reply for you to look at" in text(front)
    page = ada.get(f"/rounds/replies/{reply.id}")
    assert "43.9 V or &lt;b&gt;52 V&lt;/b&gt;" in text(page)
    assert "Perhaps:" in text(page)
    refused = ada.send(page, "/mark", **{"answer-1": "scrawl"})
    assert refused.status_code == 422
    done = ada.send(page, "/mark", **{"answer-1": "43.9 V"})
    assert done.request.path == "/rounds/"
    (after,) = club.rounds.making.sheets(round_.id)
    assert after.issues[0].last is not None
    assert after.issues[0].last.answers["v_tap"] == "43.9 V"


def test_drafts_are_read_approved_and_open_the_solution(ada: Visitor, club: Club, round_: Round) -> None:
    (sheet,) = club.rounds.making.sheets(round_.id)
    club.rounds.receiving.paste("1: 43.9 V", sheet.paper.code)
    page = ada.get(f"/rounds/{round_.id}/drafts")
    assert "Dear Ann Baker," in text(page)
    ada.send(page, r"/approve\?round=.*")
    (letter,) = club.rounds.outbox.of_round(round_.id)
    assert (letter.kind, letter.state) == (LetterKind.MARKS, LetterState.QUEUED)
    (after,) = club.rounds.making.sheets(round_.id)
    assert after.issues[0].opened is not None


def test_a_pile_of_sheets_is_entered_by_code_and_keyboard(ada: Visitor, club: Club, round_: Round) -> None:
    (sheet,) = club.rounds.making.sheets(round_.id)
    assert "is no code of a paper" in text(ada.get("/rounds/entry?code=K7M-4XX"))
    page = ada.get(f"/rounds/entry?code={sheet.paper.code.lower()}")
    assert "autofocus" in text(page)
    assert "Ann Baker" in text(page)
    unread = ada.send(page, "/entry/marks", **{"answer-1": "scrawl"})
    assert unread.status_code == 422
    assert "cannot be read" in text(unread)
    assert 'value="scrawl"' in text(unread)
    done = ada.send(page, "/entry/marks", **{"answer-1": places_of(sheet.issues)[0].ask.shown})
    assert "Stored. Ann Baker: 2 of 2" in text(done)
    again = ada.send(page, "/entry/marks", **{"answer-1": "1 V"})
    assert "is marked already" in text(again)


def test_a_mail_file_is_taken_in(ada: Visitor, club: Club, round_: Round) -> None:
    (sheet,) = club.rounds.making.sheets(round_.id)
    code = sheet.paper.code
    mail = f"From: ann@members.example\nSubject: Re: [{code[:3]}-{code[3:]}]\nMessage-ID: <a@b.example>\n\n1: 43.9 V\n"
    page = ada.get("/rounds/take-in")
    token = ada.forms(page)["/rounds/take-in"]["csrf_token"]
    data = {"csrf_token": token, "file": (io.BytesIO(mail.encode()), "reply.eml")}
    answer = ada.client.post("/rounds/take-in", data=data)
    assert "1 new message: 1 marked" in text(answer)


def test_addresses_are_kept_and_faults_told(ada: Visitor, club: Club, member: Member) -> None:
    page = ada.get("/rounds/addresses")
    refused = ada.send(page, f"/addresses/{member.id}", email="nonsense", by="mail")
    assert "is no mail address" in text(refused)
    ada.send(page, f"/addresses/{member.id}", email="ann@new.example", by="mail")
    assert club.rounds.addresses.everybody()[1][1].email == "ann@new.example"


def test_the_table_and_the_sheets_are_given(ada: Visitor, round_: Round) -> None:
    table = ada.get(f"/rounds/{round_.id}.csv")
    assert table.mimetype == "text/csv"
    assert "Ann Baker" in text(table)
    sheet = ada.get(f"/rounds/{round_.id}/sheets?kind=papers&page=1&large=on")
    assert '<link rel="stylesheet" href="/static/sheets.css">' in text(sheet)
    assert 'class="a4 large"' in text(sheet)
    assert ' style="' not in text(sheet)  # which the site's policy would block
    assert ada.get("/rounds/nowhere").status_code == 404


def test_members_are_kept_out_of_their_rounds_question_until_the_marks_are_out(
    ann: Visitor, club: Club, round_: Round
) -> None:
    (sheet,) = club.rounds.making.sheets(round_.id)
    address = f"/questions/{sheet.issues[0].id}"
    waiting = ann.get(address)
    assert waiting.status_code == 409
    assert "belongs to a round" in text(waiting)
    club.rounds.addresses.put(sheet.member.id, "ann@members.example", By.MAIL)
    with club.records.work() as work:
        work.questions.open_solution(sheet.issues[0].id, club.clock.now())
    assert ann.get(address).status_code == 200
