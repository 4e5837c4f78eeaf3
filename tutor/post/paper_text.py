"""A paper in words: what stands in the text part of its letter, readable alone."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.learning.records import Issue
from tutor.learning.round_records import RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.labels import AskPlace, places_of
from tutor.post.style import RULE, House, counted, plain_words, wrapped
from tutor.questions.cautions import caution_text
from tutor.questions.fragments import schematic_of
from tutor.questions.marking import letter_of
from tutor.questions.question import DrawnAsk

ANSWER = "Answer"


def paper_text(house: House, sheet: RoundSheet) -> str:
    """Return a paper as text."""
    return "\n".join([*_head(house, sheet), *_questions(sheet), RULE, *_foot(house, sheet)]) + "\n"


def _head(house: House, sheet: RoundSheet) -> Iterator[str]:
    yield house.club
    yield sheet.round.title
    yield f"Paper {shown(sheet.paper.code)}, for {sheet.member.name}"
    if sheet.round.closes is not None:
        yield f"Please answer by {house.moment(sheet.round.closes)}."
    if sheet.round.note:
        yield ""
        yield wrapped(sheet.round.note)
    yield ""
    yield wrapped(how_to_answer(sheet))
    yield ""


def how_to_answer(sheet: RoundSheet) -> str:
    """Return how to answer, in words without a number that could be taken for an answer."""
    labels = [place.label for place in places_of(sheet.issues)]
    which = f"{labels[0]} to {labels[-1]}" if len(labels) > 1 else labels[0]
    return (
        f"Reply to this mail. Give each answer on a line of its own, its number first ({which}), or write it behind "
        f'the word "{ANSWER}" below. Any usual notation of a value will do, and commas or points. If you do not know '
        "one, say so. Your workings may stay at home."
    )


def _questions(sheet: RoundSheet) -> Iterator[str]:
    warned: set[str] = set()
    places = places_of(sheet.issues)
    for number, issue in enumerate(sheet.issues, start=1):
        yield RULE
        yield f"QUESTION {number}: {issue.question.title} ({counted(issue.question.marks, 'mark')})"
        yield ""
        if issue.question.caution and issue.question.caution not in warned:
            warned.add(issue.question.caution)
            yield wrapped(f"Caution: {caution_text(issue.question.caution)}")
            yield ""
        yield from _question(issue, [place for place in places if place.issue is issue])


def _question(issue: Issue, places: list[AskPlace]) -> Iterator[str]:
    question = issue.question
    yield wrapped(plain_words(question.text))
    if question.givens:
        yield ""
        yield wrapped("Given: " + "; ".join(f"{given.name} = {given.shown}" for given in question.givens) + ".")
    if question.parts:
        yield ""
        yield wrapped(f"The circuit in words: {schematic_of(question, 'w').words}")
    yield ""
    for place in places:
        yield wrapped(f"{place.label}. {plain_words(place.ask.text)}")
        for index, option in enumerate(place.ask.options, start=1):
            yield wrapped(f"{letter_of(index).upper()}: {plain_words(option.text)}", "     ")
        yield f"{ANSWER} {place.label}{manner(place.ask)}:"
        yield ""


def manner(ask: DrawnAsk) -> str:
    """Return how an ask is answered, as it stands beside the field."""
    if ask.options:
        return f" ({' or '.join(letter_of(n + 1).upper() for n in range(len(ask.options)))})"
    if ask.kind == "change":
        return " (rises, falls or unchanged)"
    return f" (in {ask.printed})" if ask.printed else ""


def _foot(house: House, sheet: RoundSheet) -> Iterator[str]:
    yield wrapped(
        f"The code of this paper is {shown(sheet.paper.code)}. Please leave it in the subject of your reply, or write "
        "it into it: it says whose answers they are."
    )
    yield ""
    yield wrapped(membership(house))


def membership(house: House) -> str:
    """Return why somebody gets this, and how to end it."""
    return f"You get this as a member of {house.club}. To get rounds on paper or not at all, reply and say so."
