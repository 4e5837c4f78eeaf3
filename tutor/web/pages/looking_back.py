"""Looking back: progress by topic with its ledger, and every question ever issued."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from flask import Blueprint, render_template, request
from markupsafe import Markup

from tutor.drawing.plots.usual import progress as progress_plot
from tutor.learning.progress import Point, by_due_day
from tutor.learning.records import Sureness
from tutor.learning.standing import SECURE_MEAN
from tutor.learning.tallies import by_week
from tutor.web.access import member, members_only
from tutor.web.club import club_zone, the_club

pages = Blueprint("looking_back", __name__)

PAGE = 40


@pages.get("/progress")
@members_only
def progress() -> str:
    """Show every topic with its needle, what is due, days of practice, slips, and how sure the member was."""
    looked = the_club().progress
    topics = looked.topics(member())
    return render_template(
        "progress.html",
        topics=topics,
        due=by_due_day(topics),
        weeks=by_week(looked.days(member())),
        slips=looked.slips(member()),
        forecasts=looked.forecasts(member()),
        sureness=list(Sureness),
        today=looked.clock.day(looked.clock.now()),
    )


@pages.get("/progress/<topic>")
@members_only
def topic(topic: str) -> str:
    """Show one topic's needle and the ledger of what moved it."""
    club = the_club()
    story = club.progress.story(member(), topic)
    return render_template(
        "topic.html",
        progress=story.progress,
        topic=club.shelf.topic(topic),
        ledger=story.ledger,
        course=story.course,
        today=club.practice.clock.day(club.practice.clock.now()),
        plot=_plot(story.course, club.shelf.topic(topic).title),
        lessons=[lesson for lesson in club.shelf.lessons if topic in lesson.topics],
    )


def _plot(course: Sequence[Point], title: str) -> Markup:
    """Return the needle over time as a drawing; nothing while there is too little to draw."""
    if len(course) < 3:
        return Markup()
    zone = club_zone()
    days = [point.at.astimezone(zone).date() for point in course]
    drawn = progress_plot(
        days,
        [point.score.mean for point in course],
        title=f"{title}: expected score over time",
        uid="over-time",
        band=[(point.score.low, point.score.high) for point in course],
        goal=SECURE_MEAN,
    )
    return Markup(drawn.svg)  # noqa: S704 - made safe by drawing.plots


@pages.get("/history")
@members_only
def history() -> str:
    """Show the questions issued, the latest first."""
    before = _time(request.args.get("before"))
    lines = the_club().progress.history(member(), limit=PAGE + 1, before=before)
    return render_template("history.html", lines=lines[:PAGE], more=len(lines) > PAGE)


def _time(text: str | None) -> datetime | None:
    try:
        found = datetime.fromisoformat(text) if text else None
    except ValueError:
        return None
    return found if found is not None and found.tzinfo is not None else None
