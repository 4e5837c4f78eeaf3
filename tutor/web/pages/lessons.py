"""Courses and lessons: where a member stands, and where to go on."""

from __future__ import annotations

from datetime import date

from flask import Blueprint, redirect, render_template, url_for
from werkzeug.wrappers import Response

from tutor.learning.courses import Lesson
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.lessons import MIXED
from tutor.learning.practice import Choice
from tutor.learning.progress import by_due_day
from tutor.web.access import member, members_only
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm
from tutor.web.plan_forms import NoteForm

pages = Blueprint("lessons", __name__)


@pages.get("/home")
@members_only
def home() -> str:
    """Show the courses with their lessons, and how the member stands in each."""
    club = the_club()
    topics = club.progress.topics(member())
    open_papers = [paper for paper in club.tests.papers(member()) if paper.handed_in is None]
    return render_template(
        "home.html",
        courses=club.shelf.courses,
        standings={progress.topic.name: progress for progress in topics},
        open_papers=open_papers,
        mixed=_next(),
        coming=club.course_work.coming()[:3],
        due=[one for one in by_due_day(topics) if one.due is not None and one.due <= _today()],
        form=ButtonForm(),
        recent=club.progress.history(member(), limit=5),
    )


@pages.get("/lessons/<lesson>")
@members_only
def lesson(lesson: str) -> str:
    """Show one lesson: its topics, its questions, practice and test."""
    return _lesson(lesson)


def _lesson(lesson: str, says: str = "") -> str:
    club = the_club()
    found = club.shelf.lesson(lesson)
    return render_template(
        "lesson.html",
        says=says,
        lesson=found,
        course=club.shelf.course(found.course),
        page=club.course_work.lesson(member(), found),
        note=_note(found),
        templates=club.shelf.templates(found),
        next=_next(found),
        form=ButtonForm(),
        offer=club.tests.offer(member(), found),
    )


def _today() -> date:
    clock = the_club().practice.clock
    return clock.day(clock.now())


def _note(lesson: Lesson) -> NoteForm:
    form = NoteForm(formdata=None)
    known = the_club().course_work.note(member(), lesson)
    form.text.data = known.text if known is not None else ""
    return form


def _next(lesson: Lesson = MIXED) -> Choice | None:
    try:
        return the_club().practice.next(member(), lesson)
    except UnknownError:
        return None


@pages.post("/practice")
@members_only
def practise_mixed() -> Response:
    """Issue the next question over all open lessons."""
    issue = the_club().practice.issue(member())
    return redirect(url_for("questions.show", issue=issue.id), 303)


@pages.post("/lessons/<lesson>/practice")
@members_only
def practise(lesson: str) -> Response:
    """Issue the next question of a lesson."""
    club = the_club()
    issue = club.practice.issue(member(), club.shelf.lesson(lesson))
    return redirect(url_for("questions.show", issue=issue.id), 303)


@pages.post("/lessons/<lesson>/practice/<template>")
@members_only
def practise_one(lesson: str, template: str) -> Response:
    """Issue a question of the member's own choice."""
    club = the_club()
    found = club.shelf.lesson(lesson)
    issue = club.practice.issue(member(), found, club.shelf.template(template))
    return redirect(url_for("questions.show", issue=issue.id), 303)


@pages.post("/lessons/<lesson>/test")
@members_only
def test(lesson: str) -> Response | tuple[str, int]:
    """Begin a test of a lesson, or go on with the one that is open."""
    club = the_club()
    try:
        sheet = club.tests.begin(member(), club.shelf.lesson(lesson))
    except ClosedError as error:
        return _lesson(lesson, str(error)), 409
    return redirect(url_for("papers.fill_in", paper=sheet.paper.id), 303)
