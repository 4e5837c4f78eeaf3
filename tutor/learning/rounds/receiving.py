"""Taking mail in: stored first, then read; what is certain is marked, everything else waits for a person.

A message and the place of it in the mailbox are stored in one transaction, and what becomes of it (marks, needles,
draft, state) in another: a crash between or within the two loses nothing and marks nothing twice.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

from tutor.learning.errors import UnknownError
from tutor.learning.ports import Work
from tutor.learning.ports.post import Finding, Incoming, Kind, Mailbox, Reader
from tutor.learning.practice import Practice
from tutor.learning.round_records import LetterState, Reply, ReplyState, RoundPaper, RoundSheet
from tutor.learning.rounds.answering import Answering, paper_of, preview
from tutor.learning.rounds.codes import codes_in
from tutor.learning.rounds.errors import RoundError
from tutor.learning.rounds.making import sheet_of
from tutor.learning.rounds.matching import Match, match
from tutor.questions.marks import Verdict

MOST_KEPT = 1024 * 1024
"""Bytes of a message that are kept; the words of it are kept in any case, and the message stays in the mailbox."""

_GONE = (LetterState.SENDING, LetterState.UNSURE, LetterState.SENT)


@dataclass(frozen=True, slots=True)
class Received:
    """What a reading did.

    Attributes:
        taken: Messages that were new.
        marked, queued: Replies marked, and left to a person.
        others: Machines' mail, bounces, copies.
    """

    taken: int = 0
    marked: int = 0
    queued: int = 0
    others: int = 0


@dataclass(frozen=True, slots=True)
class Receiving:
    """The use cases of mail that comes in."""

    practice: Practice
    reader: Reader
    answering: Answering

    # -- taking in -----------------------------------------------------------------------------------------------------
    def fetch(self, mailbox: Mailbox) -> Received:
        """Take in what arrived in a mailbox, and read it; raises PostError."""
        with self.practice.records.look() as work:
            validity, number = work.replies.place(mailbox.name)
        taken = 0
        for now, uid, raw in mailbox.arrived(validity, number):
            taken += self.take(raw, mailbox.name, place=(mailbox.name, now, uid)) is not None
        return replace(self.process(), taken=taken)

    def take(self, raw: bytes, source: str, *, place: tuple[str, int, int] | None = None) -> Reply | None:
        """Store a message; None when it is here already.

        Args:
            raw: The message.
            source: Where it came from, in words.
            place: Mailbox, validity and number, when it came from one.
        """
        incoming = self.reader.decoded(raw)
        reply = self._reply(incoming, raw, source)
        with self.practice.records.work() as work:
            stored = work.replies.add(reply, raw[:MOST_KEPT])
            if place is not None:
                work.replies.put_place(*place)
        return stored

    def take_all(self, data: bytes, source: str) -> int:
        """Store the messages of an uploaded file, an `.eml` or an mbox; return how many were new."""
        return sum(self.take(raw, source) is not None for raw in self.reader.messages_of(data))

    def _reply(self, incoming: Incoming, raw: bytes, source: str) -> Reply:
        now = self.practice.clock.now()
        # The same message by two ways has other Received lines; a message without an id is known by its bytes.
        same = f"{incoming.message_id}\n{incoming.sender}\n{incoming.text}".encode("utf-8", "replace")
        return Reply(
            id=0,
            digest=hashlib.sha256(same if incoming.message_id else raw).hexdigest(),
            source=source,
            arrived=now,
            dated=min(incoming.dated or now, now),
            message_id=incoming.message_id,
            sender=incoming.sender,
            subject=incoming.subject,
            text=incoming.text,
            state=ReplyState.NEW,
        )

    def paste(self, text: str, code: str) -> Reply:
        """Take in a text that was pasted, as a reply to a paper, and read it.

        Raises:
            RoundError: If the code is wrong, or the same text was pasted before.
        """
        sheet = self.answering.sheet(code)
        now = self.practice.clock.now()
        digest = hashlib.sha256(f"pasted {sheet.paper.code}\n{text}".encode("utf-8", "replace")).hexdigest()
        reply = Reply(
            id=0, digest=digest, source="pasted", arrived=now, dated=now, message_id="", sender="", subject="",
            text=text.replace("\r\n", "\n"), state=ReplyState.NEW, paper=sheet.paper.code,
        )  # fmt: skip
        with self.practice.records.work() as work:
            stored = work.replies.add(reply, b"")
            if stored is None:
                raise RoundError("The same text was pasted for this paper before.")
            return self._read(work, stored, Match(sheet.paper.code))

    # -- reading -------------------------------------------------------------------------------------------------------
    def process(self) -> Received:
        """Read everything that was taken in and not read yet."""
        counts = {ReplyState.MARKED: 0, ReplyState.QUEUED: 0}
        others = 0
        with self.practice.records.look() as work:
            waiting = [reply.id for reply in work.replies.in_state(ReplyState.NEW)]
        for reply in waiting:
            state = self._process(reply)
            if state in counts:
                counts[state] += 1
            else:
                others += 1
        return Received(0, counts[ReplyState.MARKED], counts[ReplyState.QUEUED], others)

    def _process(self, number: int) -> ReplyState:
        with self.practice.records.look() as work:
            raw = work.replies.raw(number)
        incoming = self.reader.decoded(raw)
        with self.practice.records.work() as work:
            reply = work.replies.get(number)
            assert reply is not None
            if reply.state is not ReplyState.NEW:
                return reply.state
            if incoming.message_id and work.letters.by_message_id([incoming.message_id]):
                return self._copy(work, reply)
            if incoming.kind is Kind.BOUNCE:
                return self._bounce(work, reply, incoming)
            if incoming.kind is not Kind.PERSON:
                return _put(work, reply, ReplyState.MACHINE, why=incoming.why)
            found = self._match(work, reply, incoming)
            if incoming.faults:
                found = replace(found, why=found.why or incoming.faults[0])
            if len(raw) >= MOST_KEPT and not reply.text.strip():
                found = replace(found, why="It is too large to be read here.")
            return self._read(work, reply, found).state

    def _copy(self, work: Work, reply: Reply) -> ReplyState:
        for letter in work.letters.by_message_id([reply.message_id]):
            doubt = [LetterState.UNSURE]
            work.letters.move(letter.id, doubt, LetterState.SENT, says="", sent=self.practice.clock.now())
        return _put(work, reply, ReplyState.COPY, why="The club's own copy of a letter.")

    def _bounce(self, work: Work, reply: Reply, incoming: Incoming) -> ReplyState:
        letters = work.letters.by_message_id(incoming.returned)
        for letter in letters:
            work.letters.move(letter.id, _GONE, LetterState.BOUNCED, says=incoming.why)
        if not letters:
            return _put(work, reply, ReplyState.QUEUED, why="A letter came back; it is none of a round.")
        return _put(work, replace(reply, paper=letters[0].paper), ReplyState.BOUNCE, why=incoming.why)

    def _match(self, work: Work, reply: Reply, incoming: Incoming) -> Match:
        codes = codes_in(f"{reply.subject}\n{reply.text}")
        coded = [paper for code in codes if (paper := work.rounds.paper(code)) is not None]
        letters = work.letters.by_message_id(incoming.thread)
        threaded = [paper for letter in letters if (paper := work.rounds.paper(letter.paper)) is not None]
        sender = reply.sender.lower()
        members = {
            address.member for address in work.rounds.addresses().values() if sender and address.email.lower() == sender
        }
        own = [paper for member in sorted(members) for paper in work.rounds.papers_of(member)]
        open_: list[RoundPaper] = [paper for paper in own if paper.answered is None]
        return match(coded, threaded, members, open_)

    def _read(self, work: Work, reply: Reply, found: Match) -> Reply:
        """Search a reply for answers, and mark them if nothing is in doubt."""
        sheet = sheet_of(work, paper_of(work, found.paper)) if found.paper else None
        finding = self.reader.answers(reply.text, sheet) if sheet is not None else Finding()
        reply = replace(reply, paper=found.paper, found=dict(finding.certain), unsure=dict(finding.unsure))
        why = found.why or _doubt(finding)
        if not why and sheet is not None:
            stands = self.answering.stands(work, sheet, finding.certain)
            if stands == "same":
                return _stored(work, reply, ReplyState.SET_ASIDE, "The same answers as before.")
            why = stands or _unreadable(sheet, finding)
        if why or sheet is None:
            return _stored(work, reply, ReplyState.QUEUED, why)
        self._mark(work, reply, sheet, finding.certain, again=False)
        return _stored(work, reply, ReplyState.MARKED, "")

    def _mark(self, work: Work, reply: Reply, sheet: RoundSheet, answers: Mapping[str, str], *, again: bool) -> None:
        key = f"reply {reply.id}"
        self.answering.mark(work, sheet, answers, key=key, dated=reply.dated, again=again)
        fresh = sheet_of(work, paper_of(work, sheet.paper.code))
        self.answering.draft(work, fresh, reply.message_id)

    # -- what a person decides -----------------------------------------------------------------------------------------
    def queue(self) -> list[Reply]:
        """Return the replies that wait for a person, the oldest first."""
        with self.practice.records.look() as work:
            return list(work.replies.in_state(ReplyState.QUEUED))

    def get(self, reply: int) -> Reply:
        """Return a reply; raises UnknownError."""
        with self.practice.records.look() as work:
            found = work.replies.get(reply)
        if found is None:
            raise UnknownError("reply", str(reply))
        return found

    def assign(self, reply: int, code: str) -> Reply:
        """Say whose paper a queued reply answers, and search it for answers to that; a person then decides."""
        sheet = self.answering.sheet(code)
        with self.practice.records.work() as work:
            found = self._queued(work, reply)
            finding = self.reader.answers(found.text, sheet)
            changed = replace(found, paper=sheet.paper.code, found=dict(finding.certain), unsure=dict(finding.unsure))
            return _stored(work, changed, ReplyState.QUEUED, _doubt(finding) or "A person said whose it is.")

    def decide(self, reply: int, answers: Mapping[str, str]) -> None:
        """Mark a queued reply with the answers that a person read in it; what is left empty stays open.

        Raises:
            RoundError: If it belongs to no paper, is decided already, or an answer cannot be read.
            ClosedError: If the solutions of the paper are open already.
        """
        given = {label: "" if answer.strip() == "?" else answer for label, answer in answers.items() if answer.strip()}
        if not given:
            raise RoundError("There is nothing to mark; set the reply aside instead.")
        with self.practice.records.work() as work:
            found = self._queued(work, reply)
            if not found.paper:
                raise RoundError("Say first whose paper it answers.")
            sheet = sheet_of(work, paper_of(work, found.paper))
            self._mark(work, found, sheet, given, again=True)
            _stored(work, replace(found, found=given, unsure={}), ReplyState.MARKED, "A person decided.")

    def set_aside(self, reply: int) -> None:
        """Decide that there is nothing to mark in a reply."""
        with self.practice.records.work() as work:
            _stored(work, self._queued(work, reply), ReplyState.SET_ASIDE, "A person set it aside.")

    def _queued(self, work: Work, reply: int) -> Reply:
        found = work.replies.get(reply)
        if found is None:
            raise UnknownError("reply", str(reply))
        if found.state is not ReplyState.QUEUED:
            raise RoundError(f"This reply is {found.state.value} already.")
        return found


def _doubt(finding: Finding) -> str:
    if finding.is_certain:
        return ""
    unsure = [f"{label}: {text!r}" for label, text in finding.unsure.items()]
    told = [f"Not certain: {', '.join(unsure)}."] if unsure else []
    return " ".join([*finding.doubts, *told]) or "No answer was found in it."


def _unreadable(sheet: RoundSheet, finding: Finding) -> str:
    marks = preview(sheet, finding.certain)
    unread = [label for label, one in marks.items() if one.verdict is Verdict.UNREADABLE]
    return f"The marking cannot read {', '.join(unread)}." if unread else ""


def _stored(work: Work, reply: Reply, state: ReplyState, why: str) -> Reply:
    changed = replace(reply, state=state, why=why)
    work.replies.put(changed)
    return changed


def _put(work: Work, reply: Reply, state: ReplyState, *, why: str) -> ReplyState:
    return _stored(work, reply, state, why).state
