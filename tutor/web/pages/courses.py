"""Course pages: lessons with dates, own notes, the calendar, the certificate; and planning, for trainers."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tutor.learning.course_work import Event
from tutor.learning.errors import PlanError
from tutor.learning.lessons import Lesson
from tutor.learning.plans import CoursePlan
from tutor.web.access import member, members_only, trainers_only
from tutor.web.calendars import icalendar_bytes
from tutor.web.club import club_zone, the_club
from tutor.web.forms import ButtonForm
from tutor.web.plan_forms import CoursePlanForm, LessonPlanForm, NoteForm

pages = Blueprint("courses", __name__)


@pages.get("/courses/<course>")
@members_only
def course(course: str) -> str:
    """Show a course: its lessons, their dates, how far the member is."""
    work = the_club().course_work
    page = work.course(member(), course)
    return render_template(
        "courses/course.html", page=page, feed=work.feed(member()), form=ButtonForm(), plan=_course_form(page.plan)
    )


def _course_form(plan: CoursePlan) -> CoursePlanForm:
    form = CoursePlanForm(formdata=None)
    form.ends.data = plan.ends
    return form


@pages.post("/courses/<course>/plan")
@trainers_only
def plan_course(course: str) -> AnyResponse | tuple[str, int]:
    """Set the last day of a course."""
    form = CoursePlanForm()
    work = the_club().course_work
    if not form.validate():
        page = work.course(member(), course)
        return render_template("courses/course.html", page=page, feed=None, form=ButtonForm(), plan=form), 422
    work.plan_course(CoursePlan(course, form.day()))
    return redirect(url_for("courses.course", course=course), 303)


@pages.get("/courses/<course>/certificate")
@members_only
def certificate(course: str) -> str:
    """Show what the member has shown secure in a course, to be printed."""
    return render_template("courses/certificate.html", shown=the_club().course_work.certificate(member(), course))


@pages.post("/courses/<course>/calendar")
@members_only
def make_feed(course: str) -> AnyResponse:
    """Make a private calendar address, or a new one in place of the old."""
    the_club().course_work.new_feed(member())
    return redirect(url_for("courses.course", course=course, _anchor="dates"), 303)


@pages.get("/calendar/<token>.ics")
def calendar(token: str) -> Response:
    """Give the lessons' dates to a calendar; the address itself is the key, and opens nothing else."""
    events: list[Event] = list(the_club().course_work.calendar(token))
    club = str(current_app.jinja_env.globals["club_name"])
    body = icalendar_bytes(events, club, request.host.partition(":")[0], the_club().practice.clock.now())
    return Response(
        body, mimetype="text/calendar", headers={"Content-Disposition": 'attachment; filename="lessons.ics"'}
    )


@pages.post("/lessons/<lesson>/note")
@members_only
def write_note(lesson: str) -> AnyResponse | tuple[str, int]:
    """Keep the member's own note on a lesson."""
    found = the_club().shelf.lesson(lesson)
    form = NoteForm()
    if not form.validate():
        return render_template("courses/note.html", lesson=found, form=form), 422
    the_club().course_work.write_note(member(), found, form.text.data or "")
    return redirect(url_for("lessons.lesson", lesson=lesson, _anchor="notes"), 303)


@pages.route("/lessons/<lesson>/plan", methods=["GET", "POST"])
@trainers_only
def plan_lesson(lesson: str) -> str | AnyResponse | tuple[str, int]:
    """Plan a lesson: date, place, recording, the rules of its test."""
    work = the_club().course_work
    found = the_club().shelf.lesson(lesson)
    known = work.plan_of(found)
    rules = known.test or found.test
    form = LessonPlanForm()
    if request.method == "GET":
        form.fill(known, rules, club_zone())
        return _plan_page(found, form, {topic: str(count) for topic, count in rules.topics.items()})
    counts = {topic: request.form.get(f"topic-{topic}", "")[:4] for topic in found.topics}
    if not form.validate():
        return _plan_page(found, form, counts), 422
    try:
        work.plan_lesson(form.plan(lesson, counts, club_zone()))
    except PlanError as error:
        return _plan_page(found, form, counts, str(error)), 422
    return redirect(url_for("lessons.lesson", lesson=lesson), 303)


def _plan_page(lesson: Lesson, form: LessonPlanForm, counts: dict[str, str], says: str = "") -> str:
    shelf = the_club().shelf
    topics = [shelf.topic(name) for name in lesson.topics]
    return render_template(
        "courses/plan_lesson.html", lesson=lesson, form=form, counts=counts, topics=topics, says=says, zone=club_zone()
    )
