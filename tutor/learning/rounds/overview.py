"""Who was sent a paper, who replied, what waits for a person, who was answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tutor.learning.practice import Practice
from tutor.learning.round_records import By, Letter, LetterKind, LetterState, Reply, ReplyState, Round, RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.making import RoundMaking
from tutor.learning.spreadsheet import csv_text


@dataclass(frozen=True, slots=True)
class Row:
    """One member's paper in the overview.

    Attributes:
        sheet: The paper.
        sent: State of its letter in words: "on paper", "not yet", "sent", "bounced" …
        says: What is known of a letter that did not go out.
        letter: That letter, when a person may decide about it, or None.
        replies: Replies to it.
        queued: Of these, those that wait for a person.
        marks, of: Marks earned, None before something is marked; and available.
        answer: State of the letter with the marks: "", "draft", "queued", "sent" …
        reminders: How many were sent or are queued.
    """

    sheet: RoundSheet
    sent: str
    says: str
    letter: Letter | None
    replies: tuple[Reply, ...]
    queued: tuple[Reply, ...]
    marks: int | None
    of: int
    answer: str
    reminders: int


@dataclass(frozen=True, slots=True)
class Overview:
    """A round with the rows of its papers."""

    round: Round
    rows: tuple[Row, ...]

    def count(self, what: str) -> int:
        """Return how many papers are `sent`, `replied`, `queued`, `marked` or `answered`."""
        tests = {
            "sent": lambda row: row.sent == LetterState.SENT.value or row.sheet.paper.by is By.PAPER,
            "replied": lambda row: bool(row.replies) or row.marks is not None,
            "queued": lambda row: bool(row.queued),
            "marked": lambda row: row.marks is not None,
            "answered": lambda row: row.answer == LetterState.SENT.value,
        }
        return sum(map(tests[what], self.rows))


@dataclass(frozen=True, slots=True)
class Overviews:
    """The use cases of looking at rounds."""

    practice: Practice

    def of(self, round_: str) -> Overview:
        """Return the overview of a round; raises UnknownError."""
        making = RoundMaking(self.practice)
        found, sheets = making.get(round_), making.sheets(round_)
        with self.practice.records.look() as work:
            letters = work.letters.of_round(round_)
            replies = work.replies.of_papers([sheet.paper.code for sheet in sheets])
        return Overview(found, tuple(_row(sheet, letters, replies) for sheet in sheets))


def _row(sheet: RoundSheet, letters: Sequence[Letter], replies: Sequence[Reply]) -> Row:
    own = [letter for letter in letters if letter.paper == sheet.paper.code]
    came = tuple(r for r in replies if r.paper == sheet.paper.code and r.state in _FROM_PEOPLE)
    paper = next(
        (x for x in reversed(own) if x.kind is LetterKind.PAPER and x.state is not LetterState.WITHDRAWN), None
    )
    answer = next(
        (x for x in reversed(own) if x.kind is LetterKind.MARKS and x.state is not LetterState.WITHDRAWN), None
    )
    marked = [issue for issue in sheet.issues if issue.last is not None]
    return Row(
        sheet=sheet,
        sent="on paper" if sheet.paper.by is By.PAPER else paper.state.value if paper else "not yet",
        says=paper.says if paper and paper.state is not LetterState.SENT else "",
        letter=next((x for x in own if x.state in _UNDECIDED), None),
        replies=came,
        queued=tuple(reply for reply in came if reply.state is ReplyState.QUEUED),
        marks=sum(issue.last.mark.marks for issue in marked if issue.last is not None) if marked else None,
        of=sum(issue.question.marks for issue in sheet.issues),
        answer=answer.state.value if answer else "",
        reminders=sum(x.kind is LetterKind.REMINDER and x.state in (LetterState.QUEUED, LetterState.SENT) for x in own),
    )


_FROM_PEOPLE = (ReplyState.QUEUED, ReplyState.MARKED, ReplyState.SET_ASIDE)
_UNDECIDED = (LetterState.UNSURE, LetterState.FAILED, LetterState.BOUNCED)

_COLUMNS = ("name", "paper", "by", "sent", "replies", "waiting", "marks", "of", "late", "answer", "reminders")


def as_csv(overview: Overview) -> str:
    """Return an overview as a table for a spreadsheet."""
    return csv_text([_COLUMNS, *(_cells(row) for row in overview.rows)])


def _cells(row: Row) -> tuple[object, ...]:
    paper = row.sheet.paper
    return (
        row.sheet.member.name, shown(paper.code), paper.by.value, row.sent, len(row.replies), len(row.queued),
        "" if row.marks is None else row.marks, row.of, "late" if paper.late else "", row.answer, row.reminders,
    )  # fmt: skip
