"""Letters as messages.

Sources: RFC 5322 (form), RFC 2045 to 2047 and 2387 (parts), RFC 3834 (automatic mail), RFC 2369 and 2919 (lists).
"""

from __future__ import annotations

import email.policy
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage, MIMEPart
from email.utils import format_datetime

from tutor.learning.ports.post import Advice, SheetForm
from tutor.learning.round_records import Letter, LetterKind, RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.post.chromium import Chromium, ChromiumError, installed, running
from tutor.post.mail_html import marks_html, paper_html, words_html
from tutor.post.marks_text import marks_text, reminder_text
from tutor.post.paper_text import paper_text
from tutor.post.pictures import Picture, picture_of
from tutor.post.sheets import Look, sheets_html
from tutor.post.style import House, one_line

NOBODY = "rounds@club.invalid"
"""The sender where a club has no mail address: letters are then written for sending by hand (RFC 2606)."""

_POLICY = email.policy.SMTP.clone(cte_type="7bit", max_line_length=78)


@dataclass(frozen=True, slots=True)
class PostWriter:
    """The adapter of `learning.ports.post.Writer`.

    Attributes:
        house: Whose post it is.
        look: Of printed sheets.
        with_pdf: Whether papers are attached as PDF too.
    """

    house: House
    look: Look
    with_pdf: bool = False

    def words(self, sheet: RoundSheet, kind: LetterKind, advice: Advice) -> str:
        """Return a letter's text part."""
        if kind is LetterKind.PAPER:
            return paper_text(self.house, sheet)
        if kind is LetterKind.REMINDER:
            return reminder_text(self.house, sheet)
        return marks_text(self.house, sheet, advice)

    @contextmanager
    def at_work(self) -> Iterator[PostScribe]:
        """Return a scribe; its Chromium is started with the first drawing."""
        with ExitStack() as stack:
            yield PostScribe(self, stack)

    def sheets(self, sheets: Sequence[RoundSheet], form: SheetForm, *, styles: str = "") -> str:
        """Return printed sheets as HTML."""
        return sheets_html(self.house, sheets, form, self.look, styles=styles)

    def pdf(self, sheets: Sequence[RoundSheet], form: SheetForm) -> bytes:
        """Return printed sheets as PDF; raises RoundError without a Chromium."""
        with running() as browser:
            return browser.pdf(self.sheets(sheets, form))


class PostScribe:
    """Writes letters with one Chromium for all their drawings."""

    def __init__(self, writer: PostWriter, stack: ExitStack) -> None:
        self._writer, self._stack = writer, stack
        self._browser: Chromium | None = None
        self._tried = installed() is None

    def _at_hand(self) -> Chromium | None:
        if not self._tried:
            self._tried = True
            try:
                self._browser = self._stack.enter_context(running())
            except ChromiumError:
                self._browser = None
        return self._browser

    def message(self, sheet: RoundSheet, letter: Letter, advice: Advice) -> bytes:
        """Return a letter as the message that goes out."""
        house = self._writer.house
        message = EmailMessage(policy=_POLICY)
        _set_headers(message, house, sheet, letter)
        text = self._writer.words(sheet, letter.kind, advice)
        message.set_content(text, cte="quoted-printable")
        if letter.kind is LetterKind.PAPER:
            base = letter.message_id.strip("<>")
            pictures = {
                issue.id: picture
                for number, issue in enumerate(sheet.issues, start=1)
                if (picture := picture_of(issue, f"q{number}.{base}", self._at_hand())) is not None
            }
            message.add_alternative(paper_html(house, sheet, pictures), subtype="html", cte="quoted-printable")
            _attach(message, list(pictures.values()))
            if self._writer.with_pdf:
                self._attach_pdf(message, sheet)
        elif letter.kind is LetterKind.MARKS:
            message.add_alternative(marks_html(house, sheet, advice), subtype="html", cte="quoted-printable")
        else:
            message.add_alternative(words_html(text), subtype="html", cte="quoted-printable")
        return message.as_bytes()

    def _attach_pdf(self, message: EmailMessage, sheet: RoundSheet) -> None:
        browser = self._at_hand()
        if browser is None:
            return
        pdf = browser.pdf(self._writer.sheets([sheet], SheetForm()))
        message.add_attachment(
            pdf, maintype="application", subtype="pdf", filename=f"paper-{shown(sheet.paper.code)}.pdf"
        )


def _attach(message: EmailMessage, pictures: list[Picture]) -> None:
    html = message.get_body(("html",))
    assert isinstance(html, MIMEPart)
    for number, picture in enumerate(pictures, start=1):
        html.add_related(
            picture.data,
            maintype="image",
            subtype=picture.subtype,
            cid=f"<{picture.cid}>",
            disposition="inline",
            filename=f"drawing-{number}.{picture.subtype.partition('+')[0]}",
        )


def _set_headers(message: EmailMessage, house: House, sheet: RoundSheet, letter: Letter) -> None:
    club, title = one_line(house.club, 70), one_line(sheet.round.title, 120)
    sender = house.address or NOBODY
    code = shown(sheet.paper.code)
    subject = {
        LetterKind.PAPER: f"{title} [{code}]",
        LetterKind.REMINDER: f"Still open: {title} [{code}]",
        LetterKind.MARKS: f"Your marks: {title} [{code}]",
    }[letter.kind]
    message["From"] = Address(club, addr_spec=sender)
    message["To"] = Address(one_line(sheet.member.name, 70), addr_spec=letter.to)
    message["Subject"] = subject
    message["Date"] = format_datetime(letter.made.astimezone(house.zone))
    message["Message-ID"] = letter.message_id
    if letter.answers_to:
        message["In-Reply-To"] = message["References"] = letter.answers_to
    # Holiday messages and other machines are not to answer (RFC 3834, section 5.2).
    message["Auto-Submitted"] = "auto-generated"
    if house.address:
        host = house.address.partition("@")[2]
        message["List-Id"] = f"<rounds.{host}>"
        message["List-Unsubscribe"] = f"<mailto:{house.address}?subject=No%20more%20rounds>"
