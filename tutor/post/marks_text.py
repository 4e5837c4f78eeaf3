"""Marks in words: what was right, the named slip, the worked solution, what to practise next; and reminders."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.learning.ports.post import Advice
from tutor.learning.records import Issue
from tutor.learning.round_records import RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.labels import AskPlace, places_of
from tutor.post.style import RULE, House, counted, one_line, plain_words, wrapped
from tutor.questions.marking import letter_of
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import DrawnAsk


def marks_text(house: House, sheet: RoundSheet, advice: Advice) -> str:
    """Return the marks of a paper as text."""
    earned, of = total(sheet)
    lines = [
        f"Dear {sheet.member.name},",
        "",
        wrapped(f'Thank you for your answers to "{sheet.round.title}", paper {shown(sheet.paper.code)}.'),
        f"You have {earned} of {counted(of, 'mark')}.",
        *([late_words(house, sheet)] if sheet.paper.late else []),
        "",
    ]
    places = places_of(sheet.issues)
    for number, issue in enumerate(sheet.issues, start=1):
        lines += [RULE, *_question(number, issue, [place for place in places if place.issue is issue])]
    lines += [RULE]
    if advice.next:
        lines += [wrapped(f"What to practise next: {advice.next}"), ""]
    lines += [wrapped("If you think that something was read or marked wrongly, reply to this mail: a person reads it.")]
    return "\n".join([*lines, "", house.club]) + "\n"


def late_words(house: House, sheet: RoundSheet) -> str:
    """Return what is said about answers that came late."""
    assert sheet.round.closes is not None
    return wrapped(f"They came after the closing time ({house.moment(sheet.round.closes)}), and count all the same.")


def total(sheet: RoundSheet) -> tuple[int, int]:
    """Return marks earned and available on a paper, its latest answers counted."""
    earned = sum(issue.last.mark.marks for issue in sheet.issues if issue.last is not None)
    return earned, sum(issue.question.marks for issue in sheet.issues)


def _question(number: int, issue: Issue, places: list[AskPlace]) -> Iterator[str]:
    yield f"QUESTION {number}: {issue.question.title}"
    yield ""
    yield wrapped(plain_words(issue.question.text))
    yield ""
    last = issue.last
    for place in places:
        yield wrapped(f"{place.label}. {plain_words(place.ask.text)}")
        yield from _mark(place.ask, last.mark.asks[place.ask.name] if last else None)
        yield ""
    yield "The worked solution:"
    for step in issue.question.solution:
        yield wrapped(f"- {plain_words(step)}", "  ")
    keys = "; ".join(f"{place.label}: {key_words(place.ask)}" for place in places)
    yield wrapped(f"The answer{'s' if len(places) > 1 else ''}: {keys}.", "  ")
    yield ""


def _mark(ask: DrawnAsk, mark: AskMark | None) -> Iterator[str]:
    if mark is None or mark.verdict is Verdict.BLANK:
        yield wrapped(f"{Verdict.BLANK.words}: 0 of {counted(ask.marks, 'mark')}.", "   ")
        return
    yield wrapped(f'You wrote "{one_line(mark.typed)}"{f", read as {mark.read}" if mark.read else ""}.', "   ")
    says = f" {plain_words(mark.says)}" if mark.says else ""
    yield wrapped(f"{mark.verdict.words}: {mark.marks} of {counted(mark.of, 'mark')}.{says}", "   ")


def key_words(ask: DrawnAsk) -> str:
    """Return an ask's right answer in words."""
    for index, option in enumerate(ask.options, start=1):
        if option.right:
            return f"{letter_of(index).upper()} ({plain_words(option.text)})"
    return ask.shown


def reminder_text(house: House, sheet: RoundSheet) -> str:
    """Return a reminder of a paper that is not answered yet."""
    closes = f" It closes {house.moment(sheet.round.closes)}." if sheet.round.closes is not None else ""
    words = (
        f'Your paper {shown(sheet.paper.code)} of "{sheet.round.title}" is still open.{closes} Reply to the mail with '
        "the paper, or to this one with your answers and their numbers. If your answers are on their way, never mind."
    )
    return f"Dear {sheet.member.name},\n\n{wrapped(words)}\n\n{house.club}\n"
