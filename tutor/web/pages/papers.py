"""Tests: the paper to fill in, the review before handing in, the mark sheet."""

from __future__ import annotations

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tutor.learning.errors import ClosedError
from tutor.learning.papers import Sheet
from tutor.web.access import member, members_only
from tutor.web.club import club_zone, question_views, the_club
from tutor.web.forms import ButtonForm, typed_answers
from tutor.web.views import mark_views

pages = Blueprint("papers", __name__, url_prefix="/papers")


@pages.get("/<paper>")
@members_only
def fill_in(paper: str) -> str | Response:
    """Show a paper to be filled in, or its mark sheet once it is handed in."""
    sheet = the_club().tests.sheet(member(), paper)
    if sheet.paper.handed_in is not None:
        return redirect(url_for("papers.mark_sheet", paper=paper))
    return _page("paper.html", sheet)


def _page(template: str, sheet: Sheet) -> str:
    club = the_club()
    views = {issue.id: question_views().of(issue) for issue in sheet.issues}
    return render_template(
        template,
        sheet=sheet,
        views=views,
        marks={issue.id: mark_views(issue.last.mark.asks) for issue in sheet.issues if issue.last is not None},
        lesson=club.shelf.lesson_called(sheet.paper.lesson),
        cautions=list(dict.fromkeys(view.caution for view in views.values() if view.caution)),
        form=ButtonForm(),
    )


@pages.post("/<paper>")
@members_only
def save(paper: str) -> str | Response:
    """Keep what has been typed, and go on to the review or stay."""
    tests = the_club().tests
    sheet = tests.sheet(member(), paper)
    answers = {
        issue.id: typed_answers(request.form, [ask.name for ask in issue.question.asks], f"{issue.id}-")
        for issue in sheet.issues
    }
    was = {
        issue.id: typed_answers(request.form, [ask.name for ask in issue.question.asks], f"was-{issue.id}-")
        for issue in sheet.issues
    }
    try:
        saved = tests.save(member(), paper, answers, was if "seen" in request.form else None)
    except ClosedError:
        return redirect(url_for("papers.mark_sheet", paper=paper), 303)
    if request.accept_mimetypes.best == "application/json":
        return _saved(saved)
    if saved.clashes:
        return _page("paper.html", saved)
    if request.form.get("to") == "review":
        return redirect(url_for("papers.review", paper=paper), 303)
    return redirect(url_for("papers.fill_in", paper=paper, _anchor="saved"), 303)


def _saved(sheet: Sheet) -> Response:
    """Tell the page's own script what is stored now."""
    was = {
        f"was-{issue.id}-{ask.name}": sheet.draft(issue).get(ask.name, "")
        for issue in sheet.issues
        for ask in issue.question.asks
    }
    at = the_club().practice.clock.now().astimezone(club_zone())
    says = f"Saved at {at:%H:%M}."
    if sheet.clashes:
        says += " Some fields had been filled in differently on another device; what you typed last stands."
    return jsonify(was=was, says=says)


@pages.get("/<paper>/review")
@members_only
def review(paper: str) -> str | Response:
    """Show what was typed, field by field, before the paper is handed in."""
    sheet = the_club().tests.sheet(member(), paper)
    if sheet.paper.handed_in is not None:
        return redirect(url_for("papers.mark_sheet", paper=paper))
    return _page("review.html", sheet)


@pages.post("/<paper>/hand-in")
@members_only
def hand_in(paper: str) -> Response:
    """Hand the paper in; a second time changes nothing."""
    the_club().tests.hand_in(member(), paper)
    return redirect(url_for("papers.mark_sheet", paper=paper), 303)


@pages.get("/<paper>/marks")
@members_only
def mark_sheet(paper: str) -> str | Response:
    """Show the mark sheet with the worked solutions."""
    sheet = the_club().tests.sheet(member(), paper)
    if sheet.paper.handed_in is None:
        return redirect(url_for("papers.fill_in", paper=paper))
    return _page("mark_sheet.html", sheet)
