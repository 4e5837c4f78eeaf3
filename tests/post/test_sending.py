"""Sending to a real SMTP server: TLS and login, refusals, greylisting, a line that breaks, what may have been sent."""

from __future__ import annotations

import socket
import threading
from dataclasses import replace
from email import message_from_bytes
from pathlib import Path

import pytest

from tests.fakes.world import FakeClock
from tests.post.servers import CLUB, PASSWORD, USER, Delivery, certificate, deliver, free_port, imap, smtp
from tutor.bootstrap.club import Club
from tutor.learning.records import Member
from tutor.learning.round_records import By, LetterKind, LetterState, Round
from tutor.learning.rounds.addresses import Addresses
from tutor.learning.rounds.errors import PostError, RefusedError, RoundError, UncertainError
from tutor.learning.rounds.sending import Outbox, Postman
from tutor.post.imap import ImapMailbox
from tutor.post.smtp import Security, Server, SmtpCarrier

RAW = b"From: rounds@harbour-lane.example\r\nTo: bert@members.example\r\nMessage-ID: <a@b.example>\r\n\r\n.dot\r\n"


def open_server(port: int) -> Server:
    return Server(host="127.0.0.1", port=port, security=Security.NONE)


def postman(outbox: Outbox, port: int, **more: object) -> Postman:
    waited: list[float] = []
    return Postman(outbox, SmtpCarrier(open_server(port), CLUB), None, waited.append, **more)  # type: ignore[arg-type]


def states(outbox: Outbox, round_: Round) -> list[LetterState]:
    return [letter.state for letter in outbox.of_round(round_.id)]


def test_over_tls_with_a_login_the_letter_arrives_as_it_was_written(tmp_path: Path) -> None:
    tls = certificate(tmp_path)
    delivery = Delivery()
    with smtp(delivery, tls) as port:
        server = Server(
            host="localhost", port=port, security=Security.STARTTLS, user=USER, password=PASSWORD, authorities=tls[0]
        )
        carrier = SmtpCarrier(server, CLUB)
        carrier.send("bert@members.example", RAW)
        carrier.send("clara@members.example", RAW)
        carrier.close()
        with pytest.raises(PostError, match=r"refused the login of rounds\.$"):
            SmtpCarrier(replace(server, password="wrong"), CLUB).send("bert@members.example", RAW)
        with pytest.raises(PostError, match="CERTIFICATE_VERIFY_FAILED"):
            SmtpCarrier(replace(server, authorities=None), CLUB).send("bert@members.example", RAW)
    assert delivery.taken == [(["bert@members.example", CLUB], RAW), (["clara@members.example", CLUB], RAW)]


def test_a_password_never_travels_unguarded() -> None:
    server = Server(host="mail.example", port=25, security=Security.NONE, user="u", password="p")
    with pytest.raises(PostError, match="would travel unguarded"):
        SmtpCarrier(server, CLUB)


def test_refusals_are_told_apart_and_a_line_that_breaks_leaves_doubt() -> None:
    delivery = Delivery(refused={"gone@members.example"}, put_off={"later@members.example"})
    with smtp(delivery) as port:
        carrier = SmtpCarrier(open_server(port), CLUB)
        with pytest.raises(RefusedError, match=r"550 5\.1\.1 no such mailbox here"):
            carrier.send("gone@members.example", RAW)
        with pytest.raises(PostError, match=r"put off the letter to later@members\.example: 451"):
            carrier.send("later@members.example", RAW)
        carrier.send("bert@members.example", RAW)
        carrier.close()
    assert [to for to, _ in delivery.taken] == [["bert@members.example", CLUB]]
    with pytest.raises(PostError, match="cannot be reached"):
        SmtpCarrier(open_server(free_port()), CLUB).send("bert@members.example", RAW)


def test_a_server_that_dies_while_it_takes_the_letter_leaves_it_unsure() -> None:
    def hang_up(listener: socket.socket) -> None:
        line, _ = listener.accept()
        with line, line.makefile("rb") as heard:
            line.sendall(b"220 here\r\n")
            for command in heard:
                if command.upper().startswith(b"DATA"):
                    line.sendall(b"354 go on\r\n")
                    heard.readline()
                    return
                line.sendall(b"250 OK\r\n")

    with socket.create_server(("127.0.0.1", 0)) as listener:
        thread = threading.Thread(target=hang_up, args=(listener,), daemon=True)
        thread.start()
        with pytest.raises(UncertainError, match="may have taken it"):
            SmtpCarrier(open_server(listener.getsockname()[1]), CLUB).send("bert@members.example", RAW * 10_000)
        thread.join(timeout=10)


def test_a_round_goes_out_once_and_no_faster_than_the_club_wants(
    club: Club, outbox: Outbox, round_: Round, without_chromium: None
) -> None:
    outbox.queue_papers(round_.id)
    delivery, waited = Delivery(refused={"clara@members.example"}), []
    with smtp(delivery) as port:
        carrier = SmtpCarrier(open_server(port), CLUB)
        result = Postman(outbox, carrier, None, waited.append, per_minute=20).turn()
        assert (result.sent, result.failed, result.put_off, result.unsure) == (2, 1, 0, 0)
        assert Postman(outbox, carrier, None, waited.append).turn().sent == 0
    assert waited == [3.0, 3.0]
    assert states(outbox, round_) == [LetterState.SENT, LetterState.FAILED, LetterState.SENT]
    sent = {message_from_bytes(raw)["Message-ID"] for _, raw in delivery.taken}
    assert sent == {x.message_id for x in outbox.of_round(round_.id) if x.state is LetterState.SENT}
    with club.records.look() as work:
        first = outbox.of_round(round_.id)[0]
        assert work.letters.raw(first.id) == delivery.taken[0][1]


def test_a_failed_letter_goes_to_the_new_address_when_it_is_tried_again(
    club: Club, outbox: Outbox, round_: Round, members: list[Member], without_chromium: None
) -> None:
    outbox.queue_papers(round_.id)
    delivery = Delivery(refused={"clara@members.example"})
    with smtp(delivery) as port:
        postman(outbox, port).turn()
        failed = next(x for x in outbox.of_round(round_.id) if x.state is LetterState.FAILED)
        Addresses(club.records).put(members[1].id, "clara@new.example", By.MAIL)
        outbox.send_again(failed.id)
        assert postman(outbox, port).turn().sent == 1
    assert delivery.taken[-1][0] == ["clara@new.example", CLUB]
    assert states(outbox, round_).count(LetterState.WITHDRAWN) == 1


def test_what_a_server_puts_off_is_tried_again_later_and_given_up_in_the_end(
    outbox: Outbox, round_: Round, clock: FakeClock, without_chromium: None
) -> None:
    outbox.queue_papers(round_.id)
    delivery = Delivery(put_off={"bert@members.example"})
    with smtp(delivery) as port:
        assert postman(outbox, port).turn().put_off == 1
        assert postman(outbox, port).turn().put_off == 0  # not yet
        clock.pass_by(minutes=11)
        assert postman(outbox, port).turn().put_off == 1
        clock.pass_by(days=2)
        assert postman(outbox, port).turn().failed == 1
    assert len(delivery.taken) == 2


def test_while_the_server_is_away_everything_waits(outbox: Outbox, round_: Round, without_chromium: None) -> None:
    outbox.queue_papers(round_.id)
    result = postman(outbox, free_port()).turn()
    assert (result.sent, result.put_off) == (0, 1)
    assert "cannot be reached" in result.trouble
    assert set(states(outbox, round_)) == {LetterState.QUEUED}
    with smtp(Delivery()) as port:
        assert postman(outbox, port).turn().sent == 3


def crashed(club: Club, outbox: Outbox, round_: Round) -> int:
    """Leave the first letter as a program that was killed while sending it leaves it."""
    outbox.queue_papers(round_.id)
    first = outbox.of_round(round_.id)[0].id
    with club.records.work() as work:
        work.letters.move(first, [LetterState.QUEUED], LetterState.SENDING, claimed=club.clock.now())
    return first


def test_without_a_mailbox_a_person_decides_what_may_have_been_sent(
    club: Club, outbox: Outbox, round_: Round, without_chromium: None
) -> None:
    first = crashed(club, outbox, round_)
    with smtp(Delivery()) as port:
        assert postman(outbox, port).turn().sent == 2
        assert states(outbox, round_)[0] is LetterState.UNSURE
        assert postman(outbox, port).turn().sent == 0
        outbox.send_again(first)
        assert postman(outbox, port).turn().sent == 1
    with pytest.raises(RoundError, match="This letter is sent; there is nothing to decide"):
        outbox.count_as_sent(first)


@pytest.mark.parametrize("arrived", [True, False])
def test_the_clubs_own_copy_decides_what_may_have_been_sent(
    club: Club, outbox: Outbox, round_: Round, clock: FakeClock, tmp_path: Path, without_chromium: None, arrived: bool
) -> None:
    first = crashed(club, outbox, round_)
    with imap() as (imap_port, maildir), smtp(Delivery(maildir)) as port:
        box = ImapMailbox(replace(open_server(imap_port), user=USER, password=PASSWORD))
        if arrived:
            message_id = outbox.of_round(round_.id)[0].message_id
            deliver(maildir, f"Message-ID: {message_id}\r\n\r\nthe copy\r\n".encode())
        man = replace(postman(outbox, port), mailbox=box)
        result = man.turn()
        assert (result.sent, result.settled) == (2, 1 if arrived else 0)
        clock.pass_by(minutes=16)
        result = man.turn()
        assert (result.sent, result.settled) == ((0, 0) if arrived else (1, 1))
    assert set(states(outbox, round_)) == {LetterState.SENT}
    assert outbox.of_round(round_.id)[0].id == first


def test_reminders_go_to_those_who_were_sent_a_paper_and_did_not_answer(
    club: Club, outbox: Outbox, round_: Round, clock: FakeClock, without_chromium: None
) -> None:
    assert outbox.queue_reminders(round_.id) == 0
    outbox.queue_papers(round_.id)
    with smtp(Delivery(refused={"dov@members.example"})) as port:
        postman(outbox, port).turn()
    first = outbox.of_round(round_.id)[0]
    with club.records.work() as work:
        work.rounds.note_answered(first.paper, clock.now(), late=False)
    assert outbox.queue_reminders(round_.id) == 1
    assert outbox.queue_reminders(round_.id) == 0  # at most one a day
    clock.pass_by(days=2)
    assert outbox.queue_reminders(round_.id) == 1
    (_, *_, reminder) = outbox.of_round(round_.id)
    assert reminder.kind is LetterKind.REMINDER
    assert "is still open" in outbox.words(reminder.id)
