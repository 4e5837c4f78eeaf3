"""Marking what came back, as if it had been answered online, and the letters with the marks.

The rules, in one place:

* Each question counts at its first answer, online rules and all: later ones are stored, and move no needle.
* A reply after the closing time is marked and counts; the letter says that it was late.
* The same answers once more change nothing. Other answers to what is marked already are decided by a person: taken as a
  further attempt, or set aside.
* A question that a reply says nothing about stays open, until the letter with the marks is approved: then the worked
  solutions are open, and nothing is taken any more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tutor.learning.crediting import credit
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.ports import Work
from tutor.learning.practice import Practice
from tutor.learning.records import Issue
from tutor.learning.round_records import By, Letter, LetterKind, LetterState, RoundPaper, RoundSheet
from tutor.learning.rounds.codes import is_code, shown, tidied
from tutor.learning.rounds.errors import RoundError
from tutor.learning.rounds.labels import AskPlace, places_of
from tutor.learning.rounds.making import sheet_of
from tutor.learning.rounds.sending import Outbox
from tutor.questions.marking import mark
from tutor.questions.marks import AskMark


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of answers that were typed in from a sheet.

    Attributes:
        sheet: The paper.
        marks: Label → its mark; only what cannot be read, when there is such.
        taken: Whether they were stored.
    """

    sheet: RoundSheet
    marks: Mapping[str, AskMark]
    taken: bool


@dataclass(frozen=True, slots=True)
class Answering:
    """The use cases of marking papers."""

    practice: Practice
    outbox: Outbox

    # -- marking -------------------------------------------------------------------------------------------------------
    def mark(
        self,
        work: Work,
        sheet: RoundSheet,
        answers: Mapping[str, str],
        *,
        key: str,
        dated: datetime,
        again: bool = False,
    ) -> int:
        """Mark answers within a transaction, and credit them.

        Args:
            work: The transaction.
            sheet: The paper.
            answers: Label → answer; "" for a question that somebody cannot answer.
            key: What the answers came by; the same key never counts twice.
            dated: When they were sent or handed in.
            again: Whether questions that are marked already get a further attempt.
        Returns:
            How many questions were marked.
        Raises:
            RoundError: If an answer cannot be read.
            ClosedError: If the solutions are open already.
        """
        practice, count = self.practice, 0
        work.people.lock(sheet.member.id)
        for issue, own in by_issue(sheet, answers):
            fresh = work.questions.get(issue.id, lock=True)
            assert fresh is not None
            if work.questions.attempt(issue.id, key) is not None or (fresh.attempts and not again):
                continue
            if fresh.opened is not None:
                raise ClosedError(f"The marks of paper {shown(sheet.paper.code)} are out; nothing is taken any more.")
            result = mark(fresh.question, own)
            if result.unreadable:
                raise RoundError(f"Not everything can be read: {', '.join(result.unreadable)}.")
            attempt = work.questions.add_attempt(issue.id, sheet.member.id, key, own, result, practice.clock.now())
            credit(work, practice.shelf, practice.clock, sheet.member.id, fresh, attempt)
            count += 1
        if count:
            closes = sheet.round.closes
            late = closes is not None and dated > closes
            work.rounds.note_answered(sheet.paper.code, practice.clock.now(), late=late)
        return count

    def draft(self, work: Work, sheet: RoundSheet, answers_to: str = "") -> Letter | None:
        """Draft the letter with the marks, unless one waits already or the member has no mail; return it."""
        if sheet.paper.by is not By.MAIL or not sheet.address.email:
            return None
        waiting = [
            letter
            for letter in work.letters.of_paper(sheet.paper.code)
            if letter.kind is LetterKind.MARKS and letter.state is LetterState.DRAFT
        ]
        if waiting:
            return waiting[0]
        return self.outbox.write(
            work, sheet.paper, LetterKind.MARKS, LetterState.DRAFT, sheet.address.email, answers_to
        )

    def stands(self, work: Work, sheet: RoundSheet, answers: Mapping[str, str]) -> str:
        """Return why answers cannot simply be marked: "" when they can, "same" when they are what is marked already."""
        marked = changed = 0
        for issue, own in by_issue(sheet, answers):
            fresh = work.questions.get(issue.id)
            assert fresh is not None
            if fresh.last is not None:
                marked += 1
                changed += {k: v for k, v in fresh.last.answers.items() if v} != {k: v for k, v in own.items() if v}
            elif fresh.opened is not None:
                return "The marks of this paper are out already."
        if changed:
            return "Some of it is marked already, with other answers."
        return "same" if marked and marked == len(list(by_issue(sheet, answers))) else ""

    # -- letters with marks --------------------------------------------------------------------------------------------
    def drafts(self, round_: str) -> Sequence[Letter]:
        """Return the letters of a round that wait to be approved."""
        return [letter for letter in self.outbox.of_round(round_) if letter.state is LetterState.DRAFT]

    def approve(self, letter: int) -> None:
        """Approve a draft: it is queued, and the worked solutions of its paper are open.

        Raises:
            RoundError: If it is no draft.
        """
        with self.practice.records.work() as work:
            found = work.letters.get(letter)
            if found is None:
                raise UnknownError("letter", str(letter))
            if not work.letters.move(letter, [LetterState.DRAFT], LetterState.QUEUED):
                raise RoundError(f"This letter is {found.state.value}; there is nothing to approve.")
            self._open(work, found.paper)

    def approve_all(self, round_: str) -> int:
        """Approve all drafts of a round; return how many."""
        drafts = self.drafts(round_)
        for letter in drafts:
            self.approve(letter.id)
        return len(drafts)

    def withdraw(self, letter: int) -> None:
        """Withdraw a letter that has not gone out."""
        with self.practice.records.work() as work:
            waiting = [LetterState.DRAFT, LetterState.QUEUED, LetterState.FAILED]
            if not work.letters.move(letter, waiting, LetterState.WITHDRAWN):
                raise RoundError("Only a letter that has not gone out can be withdrawn.")

    def _open(self, work: Work, code: str) -> None:
        paper = work.rounds.paper(code)
        assert paper is not None
        for issue in paper.issues:
            work.questions.open_solution(issue, self.practice.clock.now())

    # -- from sheets of paper ------------------------------------------------------------------------------------------
    def sheet(self, typed: str) -> RoundSheet:
        """Return the paper with a code, as it was typed from a sheet.

        Raises:
            RoundError: If it is no code, or nobody's.
        """
        code = tidied(typed)
        with self.practice.records.look() as work:
            paper = work.rounds.paper(code) if is_code(code) else None
            if paper is None:
                says = "there is a slip in it" if not is_code(code) else "no paper has it"
                raise RoundError(
                    f"{typed.strip()[:20]!r} is no code of a paper: {says}. Read it off the sheet once more."
                )
            return sheet_of(work, paper)

    def enter(self, typed: str, answers: Mapping[str, str], *, by_hand: bool = True) -> Entered:
        """Mark the answers of a sheet that was handed in.

        Raises:
            RoundError: If the code is wrong, or nothing is typed, or it is marked already.
        """
        sheet = self.sheet(typed)
        if not any(answer.strip() for answer in answers.values()):
            raise RoundError("Nothing is typed yet; for a sheet that came back empty, write ? into one field.")
        blanked = {label: "" if answer.strip() == "?" else answer for label, answer in answers.items()}
        marks = preview(sheet, blanked)
        if any(one.verdict == "unreadable" for one in marks.values()):
            return Entered(sheet, {k: one for k, one in marks.items() if one.verdict == "unreadable"}, taken=False)
        with self.practice.records.work() as work:
            count = self.mark(work, sheet, blanked, key=f"sheet {sheet.paper.code}", dated=self.practice.clock.now())
            if not count:
                raise RoundError(f"Paper {shown(sheet.paper.code)} of {sheet.member.name} is marked already.")
            if by_hand:
                self.draft(work, sheet)
        return Entered(sheet, marks, taken=True)


def by_issue(sheet: RoundSheet, answers: Mapping[str, str]) -> list[tuple[Issue, dict[str, str]]]:
    """Return the questions that answers say something about, each with its asks' answers."""
    found: list[tuple[Issue, dict[str, str]]] = []
    places = places_of(sheet.issues)
    for issue in sheet.issues:
        own = {
            place.ask.name: answers[place.label] for place in places if place.issue is issue and place.label in answers
        }
        if own:
            found.append((issue, own))
    return found


def preview(sheet: RoundSheet, answers: Mapping[str, str]) -> dict[str, AskMark]:
    """Return how answers would be marked, by label; nothing is stored."""
    marks: dict[str, AskMark] = {}
    places: Sequence[AskPlace] = places_of(sheet.issues)
    for issue, own in by_issue(sheet, answers):
        result = mark(issue.question, own)
        marks |= {place.label: result.asks[place.ask.name] for place in places if place.issue is issue}
    return marks


def paper_of(work: Work, code: str) -> RoundPaper:
    """Return a paper; raises UnknownError."""
    paper = work.rounds.paper(code)
    if paper is None:
        raise UnknownError("paper", code)
    return paper
