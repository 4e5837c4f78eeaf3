"""Ports of the post: what writes letters and sheets, carries them, fetches mail, and reads it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from tutor.learning.round_records import Letter, LetterKind, RoundSheet


class PageSize(StrEnum):
    """Size of printed sheets."""

    A4 = "A4"
    LETTER = "letter"


class SheetKind(StrEnum):
    """What is printed."""

    PAPERS = "papers"
    COMMON = "common"  # one sheet without a name, where everybody has the same values
    KEY = "key"
    MARKS = "marks"


@dataclass(frozen=True, slots=True)
class SheetForm:
    """How sheets are printed.

    Attributes:
        kind: Papers, one common paper, answer key, or mark sheet.
        size: Of the pages.
        large: Whether in large print.
    """

    kind: SheetKind = SheetKind.PAPERS
    size: PageSize = PageSize.A4
    large: bool = False


@dataclass(frozen=True, slots=True)
class Advice:
    """What stands in a letter beside the paper itself.

    Attributes:
        next: What to practise next, in words.
    """

    next: str = ""


class Scribe(Protocol):
    """Writes letters; may keep something slow at hand between two of them."""

    def message(self, sheet: RoundSheet, letter: Letter, advice: Advice) -> bytes:
        """Return a letter as the message that goes out, its Message-ID that of the letter."""
        ...


class Writer(Protocol):
    """Puts papers and marks into words, mails and sheets."""

    def words(self, sheet: RoundSheet, kind: LetterKind, advice: Advice) -> str:
        """Return a letter's words, as its text part has them."""
        ...

    def at_work(self) -> AbstractContextManager[Scribe]:
        """Return a scribe for some letters."""
        ...

    def sheets(self, sheets: Sequence[RoundSheet], form: SheetForm, *, styles: str = "") -> str:
        """Return sheets as one page of HTML.

        Args:
            sheets: The papers.
            form: How they are printed.
            styles: Address of the style sheet; "" to have it within the page.
        """
        ...

    def pdf(self, sheets: Sequence[RoundSheet], form: SheetForm) -> bytes:
        """Return sheets as PDF; raises RoundError when this machine cannot print."""
        ...


class Carrier(Protocol):
    """Hands letters to a server."""

    def send(self, to: str, raw: bytes) -> None:
        """Send a message, and a copy of it to the club.

        Raises:
            RefusedError: If the server will never take it.
            PostponedError: If the server puts this one off.
            UncertainError: If the server may have taken it.
            PostError: If the server cannot be reached; it has surely not taken it.
        """
        ...

    def close(self) -> None:
        """Part from the server."""
        ...


class Mailbox(Protocol):
    """Where the club's mail arrives."""

    @property
    def name(self) -> str:
        """What the place in it is remembered under."""
        ...

    def arrived(self, validity: int, number: int) -> Iterator[tuple[int, int, bytes]]:
        """Yield messages after a place: validity and number of each, and the message.

        Raises:
            PostError: If the mailbox cannot be read.
        """
        ...

    def holds(self, message_id: str) -> bool:
        """Tell whether a message has arrived; raises PostError."""
        ...


class Kind(StrEnum):
    """What sort of mail a message is."""

    PERSON = "person"
    MACHINE = "machine"
    BOUNCE = "bounce"
    DELAY = "delay"


@dataclass(frozen=True, slots=True, kw_only=True)
class Incoming:
    """A message that came in, decoded.

    Attributes:
        kind: What sort of mail it is.
        why: Why it is taken for a machine's, or what the bounce says.
        sender: Address in its From, "" when there is none.
        subject: Its subject.
        message_id: Its own Message-ID, or "".
        thread: Message-IDs that it says it belongs to, the nearest first.
        returned: Message-IDs of letters that a bounce is about.
        dated: When it was sent by its own word, or None.
        text: All its words, quoted ones too.
        faults: What could not be decoded as it should.
    """

    kind: Kind
    why: str = ""
    sender: str
    subject: str
    message_id: str
    thread: tuple[str, ...]
    returned: tuple[str, ...] = ()
    dated: datetime | None
    text: str
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """The answers found in a text.

    Attributes:
        certain: Label → answer, as the marking reads it; "" where somebody says that they do not know.
        unsure: Label → what may be meant.
        doubts: Why a person should look, in sentences.
    """

    certain: Mapping[str, str] = field(default_factory=dict)
    unsure: Mapping[str, str] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()

    @property
    def is_certain(self) -> bool:
        """Whether nothing needs a person."""
        return bool(self.certain) and not self.unsure and not self.doubts


class Reader(Protocol):
    """Reads mail."""

    def decoded(self, raw: bytes) -> Incoming:
        """Return a message decoded; never raises, whatever the message."""
        ...

    def messages_of(self, data: bytes) -> list[bytes]:
        """Return the messages of an uploaded file."""
        ...

    def answers(self, text: str, sheet: RoundSheet) -> Finding:
        """Return the answers to a paper that stand in a text; never raises, whatever the text."""
        ...
