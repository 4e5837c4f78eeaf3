"""What comes in: matched, marked or queued; machines never answered; nothing lost, nothing marked wrongly unseen."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from email.message import EmailMessage

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.errors import ClosedError
from tutor.learning.records import Member
from tutor.learning.round_records import By, Letter, LetterKind, LetterState, Reply, ReplyState, Round, RoundSheet
from tutor.learning.rounds.addresses import Addresses
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.errors import RoundError
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import RoundMaking
from tutor.learning.rounds.receiving import Receiving
from tutor.questions.marking import letter_of
from tutor.questions.question import DrawnAsk


@pytest.fixture
def receiving(club: Club, without_chromium: None) -> Receiving:
    return club.rounds.receiving


@pytest.fixture
def sent(club: Club, round_: Round) -> list[Letter]:
    """The papers of the round, all sent."""
    club.rounds.outbox.queue_papers(round_.id)
    club.rounds.outbox.messages(round_.id, LetterKind.PAPER)
    return list(club.rounds.outbox.of_round(round_.id))


def sheets(club: Club, round_: Round) -> list[RoundSheet]:
    return list(RoundMaking(club.practice).sheets(round_.id))


def right(ask: DrawnAsk) -> str:
    if ask.options:
        return next(letter_of(n).upper() for n, option in enumerate(ask.options, start=1) if option.right)
    return ask.shown if ask.kind != "change" else str(ask.value)


def answers(sheet: RoundSheet) -> str:
    return "".join(f"{place.label}: {right(place.ask)}\n" for place in places_of(sheet.issues))


def mail(
    sheet: RoundSheet, text: str, *, sender: str = "bert@members.example", subject: str | None = None, **headers: str
) -> bytes:
    message = EmailMessage()
    message["From"] = f"Somebody <{sender}>"
    message["To"] = "rounds@harbour-lane.example"
    message["Subject"] = subject if subject is not None else f"Re: Dividers [{shown(sheet.paper.code)}]"
    message["Date"] = "Tue, 03 Mar 2026 20:15:00 +0000"
    message["Message-ID"] = headers.pop("message_id", f"<{abs(hash(text + sender))}@members.example>")
    for name, value in headers.items():
        message[name.replace("_", "-")] = value
    message.set_content(text)
    return message.as_bytes()


def took(receiving: Receiving, raw: bytes) -> Reply:
    stored = receiving.take(raw, "a file")
    assert stored is not None
    receiving.process()
    return receiving.get(stored.id)


def test_a_certain_reply_is_marked_as_if_answered_online_and_a_letter_drafted(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    reply = took(receiving, mail(sheet, answers(sheet)))
    assert (reply.state, reply.paper, reply.why) == (ReplyState.MARKED, sheet.paper.code, "")
    after = sheets(club, round_)[0]
    assert all(issue.last is not None and issue.last.mark.is_full for issue in after.issues)
    assert after.paper.answered is not None
    assert not after.paper.late
    with club.records.look() as work:
        standings = work.standings.of_member(sheet.member.id)
        assert set(standings) == {issue.question.topic for issue in sheet.issues}
        facts = [fact for fact in work.standings.facts() if fact.member == sheet.member.id]
    assert len(facts) >= len(sheet.issues)
    (draft,) = club.rounds.answering.drafts(round_.id)
    assert (draft.kind, draft.to, draft.answers_to) == (LetterKind.MARKS, "bert@members.example", reply.message_id)
    assert f"You have {sum(i.question.marks for i in sheet.issues)} of" in club.rounds.outbox.words(draft.id)


def test_approving_a_draft_opens_the_solutions_and_closes_the_paper(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    first, *_ = answers(sheet).splitlines()
    took(receiving, mail(sheet, first))
    answering = club.rounds.answering
    assert answering.approve_all(round_.id) == 1
    assert answering.drafts(round_.id) == []
    assert all(issue.opened is not None for issue in sheets(club, round_)[0].issues)
    late = took(receiving, mail(sheet, answers(sheet)))
    assert late.state is ReplyState.QUEUED
    with pytest.raises(ClosedError, match="nothing is taken any more"):
        receiving.decide(late.id, {places_of(sheet.issues)[-1].label: right(places_of(sheet.issues)[-1].ask)})


def test_the_same_reply_twice_counts_once_whichever_way_it_comes(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    raw = mail(sheet, answers(sheet), message_id="<one@members.example>")
    took(receiving, raw)
    assert receiving.take(b"Received: by another way\n" + raw, "a file") is None
    again = took(receiving, mail(sheet, answers(sheet), message_id="<two@members.example>"))
    assert (again.state, again.why) == (ReplyState.SET_ASIDE, "The same answers as before.")
    other = took(receiving, mail(sheet, "1: 1 V\n", message_id="<three@members.example>"))
    assert other.state is ReplyState.QUEUED
    receiving.decide(other.id, {"1": "1 V"})
    issue = sheets(club, round_)[0].issues[0]
    assert len(issue.attempts) == 2
    with club.records.look() as work:
        facts = [fact for fact in work.standings.facts() if fact.evidence.issue == issue.id]
    assert {fact.attempt for fact in facts} == {issue.attempts[0].id}  # only the first one moves a needle


def test_a_later_mail_answers_what_was_left_open(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    lines = answers(sheet).splitlines(keepends=True)
    assert took(receiving, mail(sheet, lines[0])).state is ReplyState.MARKED
    assert took(receiving, mail(sheet, "".join(lines[1:]))).state is ReplyState.MARKED
    assert all(len(issue.attempts) == 1 for issue in sheets(club, round_)[0].issues)
    assert len(club.rounds.answering.drafts(round_.id)) == 1


def test_late_replies_count_and_say_so(
    club: Club, receiving: Receiving, round_: Round, members: list[Member], clock: FakeClock
) -> None:
    from tutor.learning.rounds.making import RoundPlan

    made = RoundMaking(club.practice).make(
        RoundPlan(
            title="Short",
            lesson="first",
            questions=1,
            closes=clock.now() + timedelta(hours=2),
            members=(members[0].id,),
        )
    )
    (sheet,) = sheets(club, made)
    clock.pass_by(days=3)
    assert took(receiving, mail(sheet, answers(sheet))).state is ReplyState.MARKED
    assert sheets(club, made)[0].paper.late
    (draft,) = club.rounds.answering.drafts(made.id)
    assert "after the closing time" in " ".join(club.rounds.outbox.words(draft.id).split())


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"sender": "stranger@elsewhere.example"}, "Nobody here is known by its sender's address; it names paper"),
        ({"sender": "clara@members.example"}, "belongs to somebody with another address"),
        ({"subject": "no code"}, ""),
        ({"subject": "no code", "sender": "stranger@elsewhere.example"}, "it names no paper"),
        ({"From": "x@y.example"}, "Nobody here is known"),
    ],
)
def test_whose_answers_they_are_is_never_guessed(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter], change: dict[str, str], why: str
) -> None:
    sheet = sheets(club, round_)[0]
    more = {key: value for key, value in change.items() if key != "From"}
    raw = mail(sheet, answers(sheet), **more)
    if "From" in change:
        raw = raw.replace(b"From: Somebody <bert@members.example>", b"From: x@y.example, bert@members.example")
    reply = took(receiving, raw)
    if why:
        assert reply.state is ReplyState.QUEUED
        assert why in reply.why
        assert all(issue.last is None for one in sheets(club, round_) for issue in one.issues)
    else:
        assert reply.state is ReplyState.MARKED  # known sender, one open paper


def test_members_who_share_an_address_are_told_apart_by_code_and_thread(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter], members: list[Member]
) -> None:
    Addresses(club.records).put(members[1].id, "bert@members.example", By.MAIL)
    bert, clara, _ = sheets(club, round_)
    assert took(receiving, mail(clara, answers(clara))).paper == clara.paper.code
    assert sheets(club, round_)[1].paper.answered is not None
    unknown = took(receiving, mail(bert, answers(bert), subject="mine"))
    assert unknown.state is ReplyState.QUEUED
    assert "Several members share" in unknown.why
    thread = next(letter.message_id for letter in sent if letter.paper == bert.paper.code)
    assert (
        took(receiving, mail(bert, answers(bert) + "\n", subject="mine", In_Reply_To=thread)).state is ReplyState.MARKED
    )


def test_code_and_thread_that_disagree_are_decided_by_a_person(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    bert, clara, _ = sheets(club, round_)
    thread = next(letter.message_id for letter in sent if letter.paper == clara.paper.code)
    reply = took(receiving, mail(bert, answers(bert), In_Reply_To=thread))
    assert (reply.state, "replies to the letter of another" in reply.why) == (ReplyState.QUEUED, True)
    two = took(receiving, mail(bert, f"{answers(bert)}\nsee also {shown(clara.paper.code)}\n"))
    assert (two.state, "names several papers" in two.why) == (ReplyState.QUEUED, True)


@pytest.mark.parametrize(
    ("headers", "subject"),
    [
        ({"Auto_Submitted": "auto-replied"}, None),
        ({"Auto_Submitted": "auto-generated (holiday)"}, None),
        ({"Precedence": "bulk"}, None),
        ({"X_Autoreply": "yes"}, None),
        ({"List_Id": "<club.list.example>"}, None),
        ({"Return_Path": "<>"}, None),
        ({}, "Out of office: Re: Dividers [{code}]"),
        ({}, "Automatische Antwort: Dividers [{code}]"),
        ({}, "Réponse automatique : Dividers [{code}]"),
    ],
)
def test_machines_are_never_marked_and_never_answered(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter], headers: dict[str, str], subject: str | None
) -> None:
    sheet = sheets(club, round_)[0]
    subject = subject.format(code=shown(sheet.paper.code)) if subject else None
    reply = took(receiving, mail(sheet, answers(sheet), subject=subject, **headers))
    assert reply.state is ReplyState.MACHINE
    assert reply.why
    assert all(issue.last is None for issue in sheets(club, round_)[0].issues)
    assert len(club.rounds.outbox.of_round(round_.id)) == len(sent)


BOUNCE = """\
Return-Path: <>
From: Mail Delivery System <MAILER-DAEMON@mail.example>
To: rounds@harbour-lane.example
Subject: Undelivered Mail Returned to Sender
Message-ID: <bounce1@mail.example>
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="b"

--b
Content-Type: text/plain

I am sorry to have to inform you that your message could not be delivered.
--b
Content-Type: message/delivery-status

Reporting-MTA: dns; mail.example

Final-Recipient: rfc822; bert@members.example
Action: {action}
Status: 5.1.1
Diagnostic-Code: smtp; 550 5.1.1 unknown user

--b
Content-Type: text/rfc822-headers

From: rounds@harbour-lane.example
Message-ID: {message_id}

--b--
"""


def test_a_bounce_is_noted_at_its_letter_and_a_delay_is_none(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    delayed = BOUNCE.format(action="delayed", message_id=sent[0].message_id).replace("bounce1", "delay1")
    assert took(receiving, delayed.encode()).state is ReplyState.MACHINE
    assert club.rounds.outbox.of_round(round_.id)[0].state is LetterState.SENT
    reply = took(receiving, BOUNCE.format(action="failed", message_id=sent[0].message_id).encode())
    assert (reply.state, reply.paper) == (ReplyState.BOUNCE, sent[0].paper)
    letter = club.rounds.outbox.of_round(round_.id)[0]
    assert (letter.state, letter.says) == (LetterState.BOUNCED, "5.1.1")
    stray = BOUNCE.format(action="failed", message_id="<never@ours.example>").replace("bounce1", "bounce2")
    assert took(receiving, stray.encode()).state is ReplyState.QUEUED


def test_the_clubs_own_copies_are_known_and_not_read(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    with club.records.look() as work:
        raw = work.letters.raw(sent[0].id)
    assert took(receiving, raw).state is ReplyState.COPY
    assert receiving.queue() == []


def test_thirty_megabytes_beside_the_answers_do_no_harm(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    message = EmailMessage()
    message["From"], message["Subject"] = "bert@members.example", f"Re: [{shown(sheet.paper.code)}]"
    message.set_content(answers(sheet))
    message.add_attachment(
        b"\xff\xd8" + b"x" * 30 * 1024 * 1024, maintype="image", subtype="jpeg", filename="sheet.jpg"
    )
    reply = took(receiving, message.as_bytes())
    assert reply.state is ReplyState.MARKED
    with club.records.look() as work:
        assert len(work.replies.raw(reply.id)) <= 1024 * 1024


def test_a_person_decides_with_the_words_before_them(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    place = places_of(sheet.issues)[0]
    doubtful = took(receiving, mail(sheet, f"{place.label}: {right(place.ask)} or something else or 7\n"))
    assert doubtful.state is ReplyState.QUEUED
    assert place.label in doubtful.unsure
    assert receiving.queue() == [doubtful]
    with pytest.raises(RoundError, match="Not everything can be read"):
        receiving.decide(doubtful.id, {place.label: "not a value at all"})
    assert receiving.get(doubtful.id).state is ReplyState.QUEUED
    with pytest.raises(RoundError, match="nothing to mark"):
        receiving.decide(doubtful.id, {place.label: " "})
    receiving.decide(doubtful.id, {place.label: right(place.ask)})
    assert receiving.queue() == []
    with pytest.raises(RoundError, match="marked already"):
        receiving.set_aside(doubtful.id)


def test_a_strangers_reply_is_given_to_its_paper_by_a_person(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter]
) -> None:
    sheet = sheets(club, round_)[0]
    stray = took(receiving, mail(sheet, answers(sheet), sender="work@elsewhere.example", subject="mine"))
    assert (stray.state, stray.paper) == (ReplyState.QUEUED, "")
    with pytest.raises(RoundError, match="there is a slip in it"):
        receiving.assign(stray.id, "K7M-4XX")
    assigned = receiving.assign(stray.id, shown(sheet.paper.code).lower())
    assert dict(assigned.found) == {p.label: assigned.found[p.label] for p in places_of(sheet.issues)}
    receiving.decide(stray.id, assigned.found)
    assert all(issue.last is not None for issue in sheets(club, round_)[0].issues)


def test_pasted_words_are_read_for_the_paper_that_is_named(club: Club, receiving: Receiving, round_: Round) -> None:
    sheet = sheets(club, round_)[1]
    reply = receiving.paste(answers(sheet), sheet.paper.code)
    assert reply.state is ReplyState.MARKED
    with pytest.raises(RoundError, match="was pasted for this paper before"):
        receiving.paste(answers(sheet), sheet.paper.code)


def test_sheets_are_entered_by_code_and_what_cannot_be_read_comes_back(club: Club, round_: Round) -> None:
    sheet = sheets(club, round_)[2]
    answering = club.rounds.answering
    typed = {place.label: right(place.ask) for place in places_of(sheet.issues)}
    first = next(iter(typed))
    back = answering.enter(sheet.paper.code, typed | {first: "scrawl"})
    assert (back.taken, list(back.marks)) == (False, [first])
    done = answering.enter(f" {shown(sheet.paper.code).lower()} ", typed)
    assert done.taken
    assert {mark.verdict for mark in done.marks.values()} == {"right"}
    with pytest.raises(RoundError, match="is marked already"):
        answering.enter(sheet.paper.code, typed)
    with pytest.raises(RoundError, match="Nothing is typed"):
        answering.enter(sheet.paper.code, {first: " "})


def test_the_overview_tells_where_everybody_stands_and_its_csv_runs_nothing(
    club: Club, receiving: Receiving, round_: Round, sent: list[Letter], members: list[Member]
) -> None:
    from tutor.learning.rounds.overview import as_csv
    from tutor.learning.spreadsheet import defused

    bert, clara, _ = sheets(club, round_)
    took(receiving, mail(bert, answers(bert)))
    took(receiving, mail(clara, "I sent it by post\n", sender="clara@members.example"))
    club.rounds.answering.approve_all(round_.id)
    overview = club.rounds.overviews.of(round_.id)
    counts = {what: overview.count(what) for what in ("sent", "replied", "queued", "marked", "answered")}
    assert counts == {"sent": 3, "replied": 2, "queued": 1, "marked": 1, "answered": 0}
    lines = as_csv(overview).splitlines()
    assert lines[0] == "name,paper,by,sent,replies,waiting,marks,of,late,answer,reminders"
    assert lines[1].startswith(f"Bert Amble,{shown(bert.paper.code)},mail,sent,1,0,")
    row = overview.rows[0]
    forged = replace(row, sheet=replace(row.sheet, member=replace(row.sheet.member, name="=cmd()")))
    assert as_csv(replace(overview, rows=(forged,))).splitlines()[1].startswith("'=cmd(),")
    assert [defused(cell) for cell in ("@x", "+1", "-1", "\tx", "x", 4)] == ["'@x", "'+1", "'-1", "'\tx", "x", 4]
