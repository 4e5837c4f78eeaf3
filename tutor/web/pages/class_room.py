"""The class room: how members stand, who needs help, one member, the tests of a lesson, what a bank's answers say."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tutor.learning.class_room import Row
from tutor.learning.errors import GroupTakenError, PlanError
from tutor.learning.standing import Word
from tutor.learning.tallies import by_week
from tutor.web.access import trainers_only
from tutor.web.club import the_club
from tutor.web.csv_answers import csv_answer
from tutor.web.filters import hundredths
from tutor.web.forms import ButtonForm
from tutor.web.plan_forms import GroupForm

pages = Blueprint("class_room", __name__, url_prefix="/class")


@pages.get("/")
@trainers_only
def overview() -> str:
    """Show who needs help and with what, and the ways into the class."""
    club = the_club()
    group = _group()
    return render_template(
        "class/overview.html",
        needs=club.class_room.needs(group),
        shared=club.class_room.shared_slips(group),
        courses=club.shelf.courses,
        groups=club.class_room.groups(),
        chosen=group,
    )


@pages.get("/courses/<course>")
@trainers_only
def course(course: str) -> str:
    """Show the members by the topics of a course."""
    room = the_club().class_room
    page = room.page(course, _group(), _after(request.args.get("after"), request.args.get("number")))
    return render_template("class/course.html", page=page, groups=room.groups(), words=list(Word))


@pages.get("/courses/<course>.csv")
@trainers_only
def course_csv(course: str) -> Response:
    """Give the members by the topics of a course as a table for a spreadsheet."""
    room = the_club().class_room
    group = _group()
    topics = room.page(course, group).topics
    head = ["Member", "Last practised", *(f"{topic.title}{what}" for topic in topics for what in ("", ", of 100"))]
    rows = (_csv_row(row) for row in room.everybody(course, group))
    return csv_answer([head, *rows], f"{course}.csv")


def _csv_row(row: Row) -> list[str]:
    cells = [
        text
        for cell in row.cells
        for text in (cell.word.value, "" if cell.score is None else str(hundredths(cell.score.mean)))
    ]
    return [row.member.name, row.last.isoformat() if row.last else "", *cells]


def _group() -> int | None:
    text = request.args.get("group", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _after(name: str | None, number: str | None) -> tuple[str, int] | None:
    if name is None or number is None or not (number.isascii() and number.isdigit() and len(number) < 10):
        return None
    return name, int(number)


@pages.get("/members/<int:member>")
@trainers_only
def one_member(member: int) -> str:
    """Show one member."""
    page = the_club().class_room.member(member)
    return render_template("class/member.html", page=page, weeks=by_week(page.days))


@pages.get("/tests/<lesson>")
@trainers_only
def tests(lesson: str) -> str:
    """Show the papers of a lesson that were handed in, and what they say about the questions."""
    club = the_club()
    found = club.shelf.lesson(lesson)
    return render_template(
        "class/tests.html", lesson=found, papers=club.class_room.papers(found), report=club.bank_review.test(found)
    )


@pages.get("/tests/<lesson>.csv")
@trainers_only
def tests_csv(lesson: str) -> Response:
    """Give the marks of a lesson's tests as a table for a spreadsheet."""
    found = the_club().shelf.lesson(lesson)
    rows = [["Member", "Begun", "Handed in", "Marks", "Of"]]
    for member, paper in the_club().class_room.papers(found):
        handed = paper.handed_in.isoformat() if paper.handed_in else ""
        marks = "" if paper.marks is None else str(paper.marks)
        rows.append([member.name, paper.begun.isoformat(), handed, marks, str(paper.of)])
    return csv_answer(rows, f"{lesson}.csv")


@pages.get("/topics/<topic>")
@trainers_only
def topic(topic: str) -> str:
    """Show the templates of a topic by what their answers say."""
    club = the_club()
    return render_template("class/topic.html", topic=club.shelf.topic(topic), lines=club.bank_review.templates(topic))


@pages.get("/templates/<template>")
@trainers_only
def template(template: str) -> str:
    """Show what the answers say about one template."""
    club = the_club()
    found = club.shelf.template(template)
    return render_template(
        "class/template.html",
        template=found,
        topic=club.shelf.topic(found.topic),
        report=club.bank_review.template(template),
    )


# -- groups ------------------------------------------------------------------------------------------------------------
@pages.route("/groups", methods=["GET", "POST"])
@trainers_only
def groups() -> str | AnyResponse | tuple[str, int]:
    """Show the groups; make a new one."""
    form = GroupForm()
    if request.method == "GET":
        return _groups_page(form)
    if not form.validate():
        return _groups_page(form), 422
    try:
        the_club().class_room.make_group(form.name.data or "")
    except (GroupTakenError, PlanError) as error:
        return _groups_page(form, str(error)), 422
    return redirect(url_for("class_room.groups"), 303)


def _groups_page(form: GroupForm, says: str = "") -> str:
    club = the_club()
    return render_template(
        "class/groups.html",
        form=form,
        button=ButtonForm(),
        groups=club.class_room.groups(),
        members=club.membership.everybody(),
        says=says,
    )


@pages.post("/groups/<int:group>")
@trainers_only
def set_group(group: int) -> AnyResponse:
    """Say who belongs to a group."""
    chosen = [int(text) for text in request.form.getlist("member") if text.isascii() and text.isdigit()]
    the_club().class_room.set_group(group, chosen)
    return redirect(url_for("class_room.groups"), 303)


@pages.post("/groups/<int:group>/drop")
@trainers_only
def drop_group(group: int) -> AnyResponse:
    """Drop a group; its members stay."""
    the_club().class_room.drop_group(group)
    return redirect(url_for("class_room.groups"), 303)
