"""A round of the fictional club: sent, partly answered, with a reply that waits for the organiser."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from tutor.learning.lessons import Lesson
from tutor.learning.ports import Clock
from tutor.learning.records import Member
from tutor.learning.round_records import By, LetterKind, RoundSheet
from tutor.learning.rounds.labels import AskPlace, places_of
from tutor.learning.rounds.making import RoundPlan
from tutor.learning.rounds.rounds import Rounds
from tutor.questions.marking import letter_of

ON_PAPER = 3
"""Every third member gets paper."""


def make_demo_round(rounds: Rounds, lesson: Lesson, members: Sequence[Member], clock: Clock) -> None:
    """Give members addresses, and play a round up to the evening on which the organiser opens the post."""
    for number, member in enumerate(members):
        by = By.PAPER if number % ON_PAPER == ON_PAPER - 1 else By.MAIL
        rounds.addresses.put(member.id, f"{member.sign_in}@members.example", by)
    made = rounds.making.make(
        RoundPlan(
            title=f"Post round: {lesson.title}",
            lesson=lesson.name,
            questions=3,
            members=tuple(member.id for member in members),
            closes=clock.now() + timedelta(days=14),
            note="Good evening all. Take your time, and leave open what you do not know.",
        )
    )
    rounds.outbox.queue_papers(made.id)
    rounds.outbox.messages(made.id, LetterKind.PAPER)  # as if they had been written for sending by hand
    mailed = [sheet for sheet in rounds.making.sheets(made.id) if sheet.paper.by is By.MAIL]
    for sheet, slip in zip(mailed[:3], (False, True, False), strict=False):
        rounds.receiving.paste(_words(sheet, slip=slip), sheet.paper.code)
    for sheet in mailed[3:4]:
        first = places_of(sheet.issues)[0]
        doubt = f"{first.label}. {_answer(first, slip=False)}, or is it {_answer(first, slip=True)}?"
        rounds.receiving.paste(f"Dear Ada,\n\n{doubt}\n\nThe rest next week.\n{sheet.member.name}\n", sheet.paper.code)


def _words(sheet: RoundSheet, *, slip: bool) -> str:
    lines = [f"{place.label}. {_answer(place, slip=slip and place.number == 1)}" for place in places_of(sheet.issues)]
    return "\n".join(["Dear Ada,", "", *lines, "", sheet.member.name.split()[0]]) + "\n"


def _answer(place: AskPlace, *, slip: bool) -> str:
    ask = place.ask
    if ask.options:
        return next(letter_of(n).upper() for n, option in enumerate(ask.options, start=1) if option.right is not slip)
    if isinstance(ask.value, str):
        return "rises" if slip else ask.value
    shown = ask.shown.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")
    return f"{shown[:1]}1{shown[1:]}" if slip else shown
