"""What the club remembers of its rounds: addresses, papers, letters, replies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from tutor.learning.records import Issue, Member


class By(StrEnum):
    """How a member gets rounds."""

    MAIL = "mail"
    PAPER = "paper"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Address:
    """Where a member is reached.

    Attributes:
        member: Whose.
        email: Mail address, or "".
        by: How rounds reach them.
    """

    member: int
    email: str = ""
    by: By = By.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One mailing of papers.

    Attributes:
        id: Of the round.
        title: For people.
        lesson: Whose topics it is about, or "".
        topics: What it is about.
        templates: What is asked, in order; the same for everybody.
        common: Whether everybody has the same values.
        note: A word from the organiser that stands at the head of every paper.
        made: When.
        closes: Closing time, or None.
    """

    id: str
    title: str
    lesson: str
    topics: tuple[str, ...]
    templates: tuple[str, ...]
    common: bool
    note: str
    made: datetime
    closes: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPaper:
    """One member's paper of a round.

    Attributes:
        code: Its short code, check character included, without the hyphen.
        round: The round.
        member: Whose.
        by: Mail or paper.
        issues: Ids of its questions, in order.
        answered: When the first answers to it were marked, or None.
        late: Whether these came after the closing time.
    """

    code: str
    round: str
    member: int
    by: By
    issues: tuple[str, ...]
    answered: datetime | None = None
    late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundSheet:
    """A paper with all that belongs to it, as it is written out."""

    round: Round
    paper: RoundPaper
    member: Member
    address: Address
    issues: tuple[Issue, ...]


class LetterKind(StrEnum):
    """What a letter is."""

    PAPER = "paper"
    REMINDER = "reminder"
    MARKS = "marks"


class LetterState(StrEnum):
    """Where a letter is on its way."""

    DRAFT = "draft"  # waits for somebody to approve it
    QUEUED = "queued"
    SENDING = "sending"  # handed to the server just now, or when the program was stopped
    UNSURE = "may have been sent"
    SENT = "sent"
    FAILED = "failed"
    BOUNCED = "bounced"
    WITHDRAWN = "withdrawn"


ON_ITS_WAY = frozenset({LetterState.QUEUED, LetterState.SENDING, LetterState.UNSURE, LetterState.SENT})


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A mail in the outbox.

    Attributes:
        id: Number in the records.
        paper: Code of the paper that it is about.
        kind: What it is.
        state: Where it is on its way.
        message_id: Its Message-ID, made once with the letter; "" until then.
        to: Mail address.
        made: When it was drafted or queued.
        claimed: When it was last handed to the server.
        sent: When the server took it.
        tries: How often it was tried.
        says: Why it failed or came back.
        answers_to: Message-ID of the reply that it answers, or "".
    """

    id: int
    paper: str
    kind: LetterKind
    state: LetterState
    message_id: str
    to: str
    made: datetime
    claimed: datetime | None = None
    sent: datetime | None = None
    tries: int = 0
    says: str = ""
    answers_to: str = ""


class ReplyState(StrEnum):
    """What became of a mail that came in."""

    NEW = "new"
    QUEUED = "queued"  # a person decides
    MARKED = "marked"
    MACHINE = "machine"  # an automatic answer: never answered, never marked
    BOUNCE = "bounce"
    COPY = "copy"  # the club's own copy of what it sent
    SET_ASIDE = "set aside"  # a person decided that there is nothing to mark


Answers = Mapping[str, str]
"""Label of an ask on its paper ("1", "2b") → answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """A mail that came in, or a text that was pasted.

    Attributes:
        id: Number in the records.
        digest: Hash of the message; the same message taken in twice is one reply.
        source: Where it came from, in words.
        arrived: When it was taken in.
        dated: When it was sent, by its own word; else when it was taken in.
        message_id: Its Message-ID, or "".
        sender: Address in its From.
        subject: Its subject.
        text: Its words, as they are shown to a person.
        state: What became of it.
        paper: Code of the paper that it is matched to, or "".
        why: Why a person has to decide, or what was found.
        found: What was read with certainty.
        unsure: Ask's label → what may be meant there.
    """

    id: int
    digest: str
    source: str
    arrived: datetime
    dated: datetime
    message_id: str
    sender: str
    subject: str
    text: str
    state: ReplyState
    paper: str = ""
    why: str = ""
    found: Answers = field(default_factory=dict)
    unsure: Answers = field(default_factory=dict)
