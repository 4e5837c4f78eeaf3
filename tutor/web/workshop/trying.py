"""Trying a draft as a member would, from every screen; nothing of it is kept."""

from __future__ import annotations

import secrets

from flask import request

from tutor.circuits.errors import CircuitError
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.marking import mark
from tutor.questions.question import Question
from tutor.web.access import trainers_only
from tutor.web.club import the_club
from tutor.web.forms import typed_answers
from tutor.web.views import mark_views, question_view
from tutor.web.workshop.blueprint import Answer, pages, show


@pages.get("/drafts/<draft>/try")
@trainers_only
def try_out(draft: str) -> Answer:
    """Show the draft's question, its hints, and its solution behind a fold."""
    return _page(draft, {})


@pages.post("/drafts/<draft>/try")
@trainers_only
def try_answer(draft: str) -> Answer:
    """Mark answers and keep nothing."""
    return _page(draft, request.form)


def _serial() -> int:
    text = request.values.get("serial", "")
    return int(text) if text.isdigit() and len(text) < 18 else secrets.randbelow(10**6)


def _page(draft: str, form: object) -> Answer:
    club = the_club()
    found = club.workshop.drafting.draft(draft)
    reading = club.workshop.drafting.reading(found)
    question: Question | None = None
    says = ""
    serial = _serial()
    if reading.template is None:
        says = "It cannot be tried before these are mended:"
    else:
        try:
            question = draw(club.shelf.cache.compiled(reading.template), serial)
        except (QuestionError, CircuitError) as error:
            says = str(error)
    typed = typed_answers(form, [ask.name for ask in question.asks]) if question is not None and form else {}
    result = mark(question, typed) if question is not None and typed else None
    return show(
        "try.html",
        found,
        says=says,
        serial=serial,
        view=question_view(question, "try") if question is not None else None,
        typed=typed,
        mark=result if result is not None and not result.is_blank else None,
        marks=mark_views(result.asks) if result is not None and not result.is_blank else {},
    )
