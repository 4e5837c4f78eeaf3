"""Sending: letters are queued at once and go out one by one, each through states that a crash cannot confuse.

    queued → sending → sent | failed | queued again (the server was away) | may have been sent

Every step is committed before and after the conversation with the server. What is found in `sending` when the postman
starts, because the program was killed there, *may have been sent*: it is not sent again blindly. Where the club has a
mailbox, its own copy of the letter, looked up by Message-ID, decides; where it has none, a person does.

Only one postman may be at work at a time; `bootstrap` holds a lock for that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from tutor.learning.errors import UnknownError
from tutor.learning.ports import Work
from tutor.learning.ports.post import Advice, Carrier, Mailbox, Scribe, Writer
from tutor.learning.practice import Practice
from tutor.learning.round_records import (
    ON_ITS_WAY,
    By,
    Letter,
    LetterKind,
    LetterState,
    RoundPaper,
    RoundSheet,
)
from tutor.learning.rounds.errors import PostError, PostponedError, RefusedError, RoundError, UncertainError
from tutor.learning.rounds.making import sheet_of

PATIENCE = timedelta(days=2)
"""How long a letter is tried that the server puts off again and again."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What a postman's turn did."""

    sent: int = 0
    failed: int = 0
    put_off: int = 0
    unsure: int = 0
    settled: int = 0
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Outbox:
    """The use cases of letters: queueing them, looking at them, deciding about them.

    Attributes:
        practice: Records, clock and chance.
        writer: Puts them into words.
        domain: The part after the @ of new Message-IDs.
    """

    practice: Practice
    writer: Writer
    domain: str

    def queue_papers(self, round_: str) -> int:
        """Queue the papers of a round that go by mail and are not on their way yet; return how many."""
        return self._queue(round_, LetterKind.PAPER, lambda _paper, own: not _on_its_way(own, LetterKind.PAPER))

    def queue_reminders(self, round_: str) -> int:
        """Queue a reminder for every paper that was sent and is not answered; at most one a day."""
        day = self.practice.clock.now() - timedelta(days=1)

        def wanted(paper: RoundPaper, own: Sequence[Letter]) -> bool:
            reminded = any(x.kind is LetterKind.REMINDER and x.state in ON_ITS_WAY and x.made > day for x in own)
            sent = any(x.kind is LetterKind.PAPER and x.state is LetterState.SENT for x in own)
            return sent and paper.answered is None and not reminded

        return self._queue(round_, LetterKind.REMINDER, wanted)

    def _queue(self, round_: str, kind: LetterKind, wanted: Callable[[RoundPaper, Sequence[Letter]], bool]) -> int:
        count = 0
        with self.practice.records.work() as work:
            if work.rounds.get(round_) is None:
                raise UnknownError("round", round_)
            addresses = work.rounds.addresses()
            letters: dict[str, list[Letter]] = {}
            for letter in work.letters.of_round(round_):
                letters.setdefault(letter.paper, []).append(letter)
            for paper in work.rounds.papers(round_):
                email = addresses[paper.member].email if paper.member in addresses else ""
                if paper.by is By.MAIL and email and wanted(paper, letters.get(paper.code, [])):
                    self.write(work, paper, kind, LetterState.QUEUED, email)
                    count += 1
        return count

    def write(
        self, work: Work, paper: RoundPaper, kind: LetterKind, state: LetterState, to: str, answers_to: str = ""
    ) -> Letter:
        """Put a letter into the outbox; its Message-ID is made here, once."""
        return work.letters.add(
            paper=paper.code,
            kind=kind,
            state=state,
            message_id=f"<{self.practice.chance.handle()}.{paper.code}@{self.domain}>",
            to=to,
            made=self.practice.clock.now(),
            answers_to=answers_to,
        )

    def of_round(self, round_: str) -> Sequence[Letter]:
        """Return the letters of a round, the oldest first."""
        with self.practice.records.look() as work:
            return work.letters.of_round(round_)

    def words(self, letter: int) -> str:
        """Return a letter's words; raises UnknownError."""
        with self.practice.records.look() as work:
            found = _found(work, letter)
            sheet = _sheet(work, found)
        return self.writer.words(sheet, found.kind, self.advice(sheet))

    def advice(self, sheet: RoundSheet) -> Advice:
        """Return what a letter says beside the paper: what to practise next."""
        try:
            lesson = self.practice.shelf.lesson_called(sheet.round.lesson)
            choice = self.practice.next(sheet.member, lesson)
        except UnknownError:
            return Advice()
        return Advice(f"{choice.template.title}. {choice.why}".strip())

    def count_as_sent(self, letter: int) -> None:
        """Decide that a letter that may have been sent was sent."""
        self._decide(letter, LetterState.SENT)

    def send_again(self, letter: int) -> None:
        """Decide that a letter that may have been sent was not, or try one again that failed or came back."""
        self._decide(letter, LetterState.QUEUED)

    def _decide(self, letter: int, after: LetterState) -> None:
        before = [LetterState.UNSURE]
        if after is LetterState.QUEUED:
            before += [LetterState.FAILED, LetterState.BOUNCED]
        with self.practice.records.work() as work:
            found = _found(work, letter)
            sent = self.practice.clock.now() if after is LetterState.SENT else None
            if not work.letters.move(letter, before, after, says="", sent=sent):
                raise RoundError(f"This letter is {found.state.value}; there is nothing to decide about it.")
            if after is LetterState.QUEUED:
                # The member's address may have been mended since.
                paper = work.rounds.paper(found.paper)
                assert paper is not None
                address = work.rounds.addresses().get(paper.member)
                if address is not None and address.email and address.email != found.to:
                    work.letters.move(letter, [LetterState.QUEUED], LetterState.WITHDRAWN, says="sent to a new address")
                    self.write(work, paper, found.kind, LetterState.QUEUED, address.email, found.answers_to)

    def messages(self, round_: str, kind: LetterKind) -> list[tuple[str, bytes]]:
        """Return the queued letters of a kind as messages for sending by hand, and note them as sent.

        Returns:
            A name for the file, and the message.
        """
        found: list[tuple[str, bytes]] = []
        with self.writer.at_work() as scribe:
            for letter in self.of_round(round_):
                if letter.kind is kind and letter.state is LetterState.QUEUED:
                    raw, sheet = self.written(scribe, letter)
                    found.append((f"{sheet.member.name} {letter.paper}", raw))
                    with self.practice.records.work() as work:
                        work.letters.put_raw(letter.id, raw)
                        now = self.practice.clock.now()
                        work.letters.move(
                            letter.id,
                            [LetterState.QUEUED],
                            LetterState.SENT,
                            says="written for sending by hand",
                            sent=now,
                        )
        return found

    def written(self, scribe: Scribe, letter: Letter) -> tuple[bytes, RoundSheet]:
        """Return a letter as a message, with its paper."""
        with self.practice.records.look() as work:
            sheet = _sheet(work, letter)
        return scribe.message(sheet, letter, self.advice(sheet)), sheet


@dataclass(frozen=True, slots=True)
class Postman:
    """Sends what is queued.

    Attributes:
        outbox: The letters.
        carrier: Hands them to the server.
        mailbox: Where the club's copies arrive, or None.
        pause: Waits some seconds.
        per_minute: How many letters may go out in a minute.
        settle: How long a copy may take to arrive; after that, a letter without one was not sent.
        again_after: How long a letter waits after the server put it off.
    """

    outbox: Outbox
    carrier: Carrier
    mailbox: Mailbox | None
    pause: Callable[[float], None]
    per_minute: int = 30
    settle: timedelta = timedelta(minutes=15)
    again_after: timedelta = timedelta(minutes=10)

    def turn(self) -> Sent:
        """Settle what is unsure, then send what is queued."""
        settled = self._settle()
        result = replace(self._send(), settled=settled)
        self.carrier.close()
        return result

    # -- what a crash left behind --------------------------------------------------------------------------------------
    def _settle(self) -> int:
        practice = self.outbox.practice
        with practice.records.work() as work:
            for letter in work.letters.in_state(LetterState.SENDING):
                # Nobody else is at work, so that it was left so by a program that was stopped.
                says = "The program was stopped while the letter was handed over; it may have been sent."
                work.letters.move(letter.id, [LetterState.SENDING], LetterState.UNSURE, says=says)
            unsure = work.letters.in_state(LetterState.UNSURE)
        if self.mailbox is None:
            return 0
        settled = 0
        for letter in unsure:
            try:
                arrived = self.mailbox.holds(letter.message_id)
            except PostError:
                return settled
            settled += self._settled(letter, arrived=arrived)
        return settled

    def _settled(self, letter: Letter, *, arrived: bool) -> bool:
        now = self.outbox.practice.clock.now()
        with self.outbox.practice.records.work() as work:
            if arrived:
                says = "The club's own copy arrived, so it was sent."
                return work.letters.move(letter.id, [LetterState.UNSURE], LetterState.SENT, says=says, sent=now)
            if letter.claimed is not None and now - letter.claimed >= self.settle:
                # No copy of it arrived in the club's mailbox, so it was not sent; it goes out with the next ones.
                return work.letters.move(letter.id, [LetterState.UNSURE], LetterState.QUEUED, says="")
        return False

    # -- sending -------------------------------------------------------------------------------------------------------
    def _send(self) -> Sent:
        practice = self.outbox.practice
        now = practice.clock.now()
        with practice.records.look() as work:
            waiting = [
                letter
                for letter in work.letters.in_state(LetterState.QUEUED)
                if letter.claimed is None or letter.says == "" or now - letter.claimed >= self.again_after
            ]
        done = Sent()
        if not waiting:
            return done
        with self.outbox.writer.at_work() as scribe:
            for number, letter in enumerate(waiting):
                if number:
                    self.pause(60 / self.per_minute)
                try:
                    done = self._one(scribe, letter, done)
                except PostError as error:
                    # The server is away, not this letter at fault: the rest waits for the next turn.
                    return replace(done, put_off=done.put_off + 1, trouble=str(error))
        return done

    def _one(self, scribe: Scribe, letter: Letter, done: Sent) -> Sent:
        raw, _ = self.outbox.written(scribe, letter)
        if not self._claim(letter, raw):
            return done
        try:
            self.carrier.send(letter.to, raw)
        except UncertainError as error:
            self._move(letter, LetterState.UNSURE, str(error))
            return replace(done, unsure=done.unsure + 1)
        except RefusedError as error:
            self._move(letter, LetterState.FAILED, str(error))
            return replace(done, failed=done.failed + 1)
        except PostponedError as error:
            given_up = self.outbox.practice.clock.now() - letter.made > PATIENCE
            self._move(letter, LetterState.FAILED if given_up else LetterState.QUEUED, str(error))
            return replace(done, failed=done.failed + given_up, put_off=done.put_off + (not given_up))
        except PostError:
            self._move(letter, LetterState.QUEUED, "")
            raise
        self._move(letter, LetterState.SENT, "")
        return replace(done, sent=done.sent + 1)

    def _claim(self, letter: Letter, raw: bytes) -> bool:
        """Commit that the letter is being sent, and what is sent, before the server hears of it."""
        with self.outbox.practice.records.work() as work:
            now = self.outbox.practice.clock.now()
            if not work.letters.move(letter.id, [LetterState.QUEUED], LetterState.SENDING, claimed=now):
                return False
            work.letters.put_raw(letter.id, raw)
        return True

    def _move(self, letter: Letter, after: LetterState, says: str) -> None:
        sent = self.outbox.practice.clock.now() if after is LetterState.SENT else None
        with self.outbox.practice.records.work() as work:
            work.letters.move(letter.id, [LetterState.SENDING], after, says=says, sent=sent)


def _on_its_way(letters: Sequence[Letter], kind: LetterKind) -> bool:
    return any(letter.kind is kind and letter.state in ON_ITS_WAY for letter in letters)


def _found(work: Work, letter: int) -> Letter:
    found = work.letters.get(letter)
    if found is None:
        raise UnknownError("letter", str(letter))
    return found


def _sheet(work: Work, letter: Letter) -> RoundSheet:
    paper = work.rounds.paper(letter.paper)
    assert paper is not None
    return sheet_of(work, paper)
