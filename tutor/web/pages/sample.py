"""The sample lesson, for strangers: the address says all there is, and nothing is stored, not even a cookie.

The address carries a signed text of template, release and serial, so that nobody chooses the serial; answers come in
the query, which makes marking what it is: looking something up. A member's serial is drawn apart and shown nowhere,
so a sample tells nothing about it.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from itsdangerous import BadSignature, URLSafeSerializer
from werkzeug.wrappers import Response

from tutor.learning.errors import UnknownError
from tutor.learning.samples import Sample, sample_of
from tutor.questions.marking import mark
from tutor.questions.question import Question
from tutor.questions.template import Template
from tutor.web.club import the_club
from tutor.web.forms import typed_answers
from tutor.web.views import mark_views, question_view

pages = Blueprint("sample", __name__, url_prefix="/try")

SERIALS = 2**48


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A sample question: its place in the lesson, counted from nought, and its values."""

    place: int
    question: Question


@pages.get("/")
def begin() -> Response:
    """Draw one of the sample's questions with new values, and go there."""
    sample = _sample()
    place = request.args.get("place", 0, type=int) % len(sample.templates)
    token = _seal(sample.templates[place], secrets.randbelow(SERIALS))
    return redirect(url_for("sample.show", token=token), 303)


@pages.get("/<token>")
def show(token: str) -> str | Response:
    """Show a sample question, with its mark once something is typed, and its solution once that is wanted."""
    sample = _sample()
    drawn = _open(sample, token)
    if drawn is None:
        return redirect(url_for("sample.begin"), 303)  # an address of an older release, or a damaged one
    question = drawn.question
    typed = typed_answers(request.args, [ask.name for ask in question.asks])
    found = mark(question, typed)
    judged = not found.is_blank
    return render_template(
        "sample.html",
        token=token,
        lesson=sample.lesson,
        place=drawn.place,
        count=len(sample.templates),
        level=question.level,
        view=question_view(question, "sample"),
        typed=typed,
        mark=found if judged and not found.unreadable else None,
        # As for members: while something is unreadable nothing else is judged.
        marks=mark_views(found.only_unreadable() if found.unreadable else found.asks) if judged else {},
        nothing_typed=bool(request.args) and not judged and "solution" not in request.args,
        solved=found.is_full,
        opened="solution" in request.args,
    )


def _sample() -> Sample:
    found = sample_of(the_club().shelf)
    if found is None:
        raise UnknownError("lesson", "sample")
    return found


def _seal(template: Template, serial: int) -> str:
    return str(_sealer().dumps([template.name, template.release, serial]))


def _open(sample: Sample, token: str) -> _Drawn | None:
    """Return the question of an address, or None if this site did not make it or its template has changed since."""
    try:
        name, release, serial = _sealer().loads(token)
    except (BadSignature, ValueError, TypeError):
        return None
    for place, template in enumerate(sample.templates):
        if (template.name, template.release) == (name, release):
            return _Drawn(place, the_club().shelf.draw(template, serial))
    return None


def _sealer() -> URLSafeSerializer:
    return URLSafeSerializer(str(current_app.secret_key), salt="sample question")
