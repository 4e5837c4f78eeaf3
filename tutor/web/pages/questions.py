"""The question page: answer, hint, worked solution, new values."""

from __future__ import annotations

import secrets
from collections.abc import Mapping

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tutor.learning.errors import ClosedError
from tutor.learning.records import Issue, Sureness
from tutor.learning.rounds.making import PAPER_OF_ROUND
from tutor.questions.marks import Mark
from tutor.web.access import member, members_only
from tutor.web.club import question_views, the_club
from tutor.web.forms import AnswerForm, ButtonForm, typed_answers
from tutor.web.views import mark_views

pages = Blueprint("questions", __name__, url_prefix="/questions")


@pages.get("/<issue>")
@members_only
def show(issue: str) -> str | Response:
    """Show a question as it stands: answers given, hints taken, solution opened."""
    found = the_club().practice.get(member(), issue)
    if found.paper.startswith(PAPER_OF_ROUND):
        if found.opened is None:
            raise ClosedError("This question belongs to a round: it opens here when your marks have been sent.")
    elif found.paper and not the_club().tests.sheet(member(), found.paper).solutions_open:
        return redirect(url_for("papers.fill_in", paper=found.paper))
    last = found.last
    return _page(found, last.mark if last else None, last.answers if last else {})


def _page(issue: Issue, mark: Mark | None, typed: Mapping[str, str], says: str = "") -> str:
    club = the_club()
    form = AnswerForm(formdata=None)
    form.key.data = secrets.token_urlsafe(12)
    return render_template(
        "question.html",
        issue=issue,
        view=question_views().of(issue),
        lesson=club.shelf.lesson_called(issue.lesson),
        example=question_views().example_of(issue),
        forecasts=Sureness,
        topic=club.shelf.topic(issue.question.topic),
        form=form,
        button=ButtonForm(),
        typed=typed,
        mark=mark if mark and not mark.unreadable else None,
        # While something is unreadable nothing else is judged: that would be a free look.
        marks=mark_views(mark.only_unreadable() if mark.unreadable else mark.asks) if mark else {},
        says=says,
        corrected=club.workshop.remarking.correction(issue),
    )


@pages.post("/<issue>/answer")
@members_only
def answer(issue: str) -> str | Response | tuple[str, int]:
    """Mark the answers; they are stored before the page says so."""
    practice = the_club().practice
    found = practice.get(member(), issue)
    form = AnswerForm()
    typed = typed_answers(request.form, [ask.name for ask in found.question.asks])
    if not form.validate():
        return _page(found, None, typed, "The form came without its key; please send it once more."), 422
    try:
        submission = practice.submit(member(), issue, form.key.data or "", typed, _sure(request.form.get("sure")))
    except ClosedError as error:
        return _page(found, None, typed, str(error)), 409
    if submission.attempt is None:
        says = (
            "Nothing is typed yet."
            if submission.mark.is_blank
            else ("Something could not be read; it is shown below, and no attempt was counted.")
        )
        return _page(found, submission.mark if not submission.mark.is_blank else None, typed, says), 422
    return redirect(url_for("questions.show", issue=issue, _anchor="mark"), 303)


def _sure(text: str | None) -> Sureness | None:
    return Sureness(int(text)) if text in ("0", "1", "2") else None


@pages.post("/<issue>/hint")
@members_only
def hint(issue: str) -> Response:
    """Show one more hint."""
    the_club().practice.take_hint(member(), issue)
    return redirect(url_for("questions.show", issue=issue, _anchor="hints"), 303)


@pages.post("/<issue>/solution")
@members_only
def solution(issue: str) -> Response:
    """Open the worked solution."""
    the_club().practice.open_solution(member(), issue)
    return redirect(url_for("questions.show", issue=issue, _anchor="solution"), 303)


@pages.post("/<issue>/again")
@members_only
def again(issue: str) -> Response:
    """Issue the same question with new values."""
    new = the_club().practice.again(member(), issue)
    return redirect(url_for("questions.show", issue=new.id), 303)
