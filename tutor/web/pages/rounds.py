"""Rounds by mail and paper: making one, its overview, what waits for a person, quick entry, sheets, addresses."""

from __future__ import annotations

from datetime import datetime

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from tutor.learning.errors import ClosedError
from tutor.learning.ports.post import PageSize, SheetForm, SheetKind
from tutor.learning.round_records import By, LetterState
from tutor.learning.rounds.answering import preview
from tutor.learning.rounds.errors import RoundError
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import MOST_QUESTIONS, RoundPlan
from tutor.learning.rounds.overview import as_csv
from tutor.questions.marking import LONGEST
from tutor.web.access import organisers_only, trainers_only
from tutor.web.club import club_zone, the_club
from tutor.web.csv_answers import as_download
from tutor.web.forms import ButtonForm

pages = Blueprint("rounds", __name__, url_prefix="/rounds")

LARGEST_UPLOAD = 40 * 1024 * 1024


@pages.errorhandler(RoundError)
def _refused(error: RoundError) -> tuple[str, int]:
    return render_template("fault.html", title="That cannot be done", says=str(error), near=[]), 422


@pages.get("/")
@trainers_only
def index() -> str:
    """Show the rounds, and what waits for a person."""
    rounds = the_club().rounds
    return render_template("rounds/index.html", rounds=rounds.making.all(), queue=rounds.receiving.queue())


# -- making ----------------------------------------------------------------------------------------------------------
@pages.get("/new")
@organisers_only
def new() -> str:
    """Show the form for a round."""
    return _new_page("", 200)[0]


@pages.post("/new")
@organisers_only
def make() -> AnyResponse | tuple[str, int]:
    """Make a round."""
    form = request.form
    try:
        plan = RoundPlan(
            title=form.get("title", ""),
            lesson=form.get("lesson", ""),
            topics=tuple(form.getlist("topic")),
            questions=_whole(form.get("questions", ""), "How many questions"),
            members=tuple(_whole(number, "A member") for number in form.getlist("member")),
            groups=tuple(_whole(number, "A group") for number in form.getlist("group")),
            closes=_closes(form.get("closes", "")),
            common="common" in form,
            note=form.get("note", ""),
        )
        made = the_club().rounds.making.make(plan)
    except RoundError as error:
        return _new_page(str(error), 422)
    return redirect(url_for("rounds.show", round_=made.id), 303)


def _new_page(says: str, status: int) -> tuple[str, int]:
    club = the_club()
    page = render_template(
        "rounds/new.html",
        says=says,
        form=ButtonForm(),
        typed=request.form,
        lessons=club.shelf.lessons,
        topics=[topic for topic in club.shelf.library.topics.values() if club.shelf.of_topic(topic.name)],
        members=club.rounds.addresses.everybody(),
        groups=club.class_room.groups(),
        most=MOST_QUESTIONS,
        By=By,
    )
    return page, status


def _whole(text: str, what: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise RoundError(f"{what}: found {text[:20]!r}; a whole number is wanted.")
    return int(text)


def _closes(text: str) -> datetime | None:
    if not text.strip():
        return None
    try:
        return datetime.fromisoformat(text.strip()).replace(tzinfo=club_zone())
    except ValueError as error:
        raise RoundError(f"Closing time: found {text[:30]!r}; give a day and time such as 2026-03-16T19:00.") from error


# -- one round -------------------------------------------------------------------------------------------------------
@pages.get("/<round_>")
@trainers_only
def show(round_: str) -> str:
    """Show who was sent a paper, who replied, what waits, who was answered."""
    rounds = the_club().rounds
    return render_template(
        "rounds/show.html",
        overview=rounds.overviews.of(round_),
        drafts=len(rounds.answering.drafts(round_)),
        form=ButtonForm(),
        LetterState=LetterState,
    )


@pages.get("/<round_>.csv")
@trainers_only
def table(round_: str) -> Response:
    """Give the overview as a table for a spreadsheet."""
    return as_download(as_csv(the_club().rounds.overviews.of(round_)), "round.csv")


@pages.post("/<round_>/<what>")
@organisers_only
def act(round_: str, what: str) -> AnyResponse:
    """Queue the papers or reminders, or approve all drafts."""
    rounds = the_club().rounds
    rounds.making.get(round_)
    acts = {
        "send": rounds.outbox.queue_papers,
        "remind": rounds.outbox.queue_reminders,
        "approve": rounds.answering.approve_all,
    }
    if what not in acts:
        raise RoundError(f"There is nothing called {what!r} to do with a round.")
    acts[what](round_)
    return redirect(url_for("rounds.show", round_=round_), 303)


@pages.get("/<round_>/drafts")
@trainers_only
def drafts(round_: str) -> str:
    """Show the drafted letters with marks, each to be approved or withdrawn."""
    rounds = the_club().rounds
    letters = [(letter, rounds.outbox.words(letter.id)) for letter in rounds.answering.drafts(round_)]
    return render_template("rounds/drafts.html", round=rounds.making.get(round_), letters=letters, form=ButtonForm())


@pages.post("/letters/<int:letter>/<what>")
@organisers_only
def decide_letter(letter: int, what: str) -> AnyResponse:
    """Decide about a letter: approve or withdraw a draft, send again, count as sent."""
    rounds = the_club().rounds
    acts = {
        "approve": rounds.answering.approve,
        "withdraw": rounds.answering.withdraw,
        "again": rounds.outbox.send_again,
        "sent": rounds.outbox.count_as_sent,
    }
    if what not in acts:
        raise RoundError(f"There is nothing called {what!r} to do with a letter.")
    acts[what](letter)
    round_ = request.args.get("round", "")
    page = "rounds.drafts" if what in ("approve", "withdraw") else "rounds.show"
    return redirect(url_for(page, round_=round_) if round_ else url_for("rounds.index"), 303)


@pages.get("/<round_>/sheets")
@trainers_only
def sheets(round_: str) -> Response:
    """Give sheets for printing, as PDF where this machine can, else as a page to print."""
    rounds = the_club().rounds
    kind, size = request.args.get("kind", ""), request.args.get("size", "")
    form = SheetForm(
        SheetKind(kind) if kind in list(SheetKind) else SheetKind.PAPERS,
        PageSize(size) if size in list(PageSize) else PageSize.A4,
        "large" in request.args,
    )
    papers = rounds.making.sheets(rounds.making.get(round_).id)
    if "page" in request.args:
        return Response(rounds.writer.sheets(papers, form, styles=url_for("static", filename="sheets.css")))
    return Response(rounds.writer.pdf(papers, form), mimetype="application/pdf")


# -- what came in ----------------------------------------------------------------------------------------------------
@pages.get("/replies/<int:reply>")
@trainers_only
def reply(reply: int) -> str:
    """Show a reply's words beside what was read in them."""
    return _reply_page(reply, "", 200)[0]


def _reply_page(number: int, says: str, status: int) -> tuple[str, int]:
    rounds = the_club().rounds
    found = rounds.receiving.get(number)
    sheet = rounds.answering.sheet(found.paper) if found.paper else None
    typed = {label: request.form.get(f"answer-{label}") for label in (*found.found, *found.unsure)}
    marks = preview(sheet, found.found) if sheet else {}
    page = render_template(
        "rounds/reply.html",
        reply=found,
        sheet=sheet,
        places=places_of(sheet.issues) if sheet else (),
        typed=typed,
        marks=marks,
        says=says,
        form=ButtonForm(),
    )
    return page, status


@pages.post("/replies/<int:reply>/<what>")
@trainers_only
def decide(reply: int, what: str) -> AnyResponse | tuple[str, int]:
    """Decide about a reply: mark it, say whose it is, or set it aside."""
    receiving = the_club().rounds.receiving
    try:
        if what == "mark":
            receiving.decide(reply, _answers())
        elif what == "assign":
            receiving.assign(reply, request.form.get("code", ""))
            return redirect(url_for("rounds.reply", reply=reply), 303)
        else:
            receiving.set_aside(reply)
    except (RoundError, ClosedError) as error:
        return _reply_page(reply, str(error), 422)
    following = receiving.queue()
    return redirect(url_for("rounds.reply", reply=following[0].id) if following else url_for("rounds.index"), 303)


def _answers() -> dict[str, str]:
    return {
        name.removeprefix("answer-"): value[:LONGEST]
        for name, value in request.form.items()
        if name.startswith("answer-")
    }


@pages.get("/take-in")
@trainers_only
def take_in() -> str:
    """Show the forms for a mail file and for pasted words."""
    return render_template("rounds/take_in.html", form=ButtonForm(), done=None)


@pages.post("/take-in")
@trainers_only
def take() -> AnyResponse | str:
    """Take in an uploaded file, or words that were pasted for a paper."""
    request.max_content_length = LARGEST_UPLOAD
    request.max_form_memory_size = 1024 * 1024
    receiving = the_club().rounds.receiving
    file = request.files.get("file")
    if file is not None and file.filename:
        taken = receiving.take_all(file.read(), file.filename)
        done = receiving.process()
        return render_template("rounds/take_in.html", form=ButtonForm(), done=done, taken=taken)
    found = receiving.paste(request.form.get("words", ""), request.form.get("code", ""))
    return redirect(url_for("rounds.reply", reply=found.id), 303)


# -- sheets of paper -------------------------------------------------------------------------------------------------
@pages.get("/entry")
@trainers_only
def entry() -> str:
    """Show the field for a paper's code, or the fields of a paper whose code was given."""
    code = request.args.get("code", "")
    try:
        sheet = the_club().rounds.answering.sheet(code) if code else None
    except RoundError as error:
        return _entry_page(None, str(error), {}, 200)[0]
    return _entry_page(sheet, "", {}, 200)[0]


@pages.post("/entry/marks")
@trainers_only
def enter() -> AnyResponse | tuple[str, int]:
    """Mark the answers of a sheet, and go on to the next one."""
    answering, code = the_club().rounds.answering, request.form.get("code", "")
    sheet = answering.sheet(code)
    try:
        entered = answering.enter(code, _answers())
    except (RoundError, ClosedError) as error:
        return _entry_page(sheet, str(error), {}, 422)
    if not entered.taken:
        says = f"This cannot be read: {', '.join(entered.marks)}. Nothing was stored yet."
        return _entry_page(sheet, says, entered.marks, 422)
    earned = sum(mark.marks for mark in entered.marks.values())
    last = f"{sheet.member.name}: {earned} of {sum(issue.question.marks for issue in sheet.issues)}"
    return redirect(url_for("rounds.entry", last=last), 303)


def _entry_page(sheet: object, says: str, marks: object, status: int) -> tuple[str, int]:
    places = places_of(sheet.issues) if sheet is not None else ()  # type: ignore[attr-defined]  # a RoundSheet
    page = render_template(
        "rounds/entry.html", sheet=sheet, places=places, says=says, marks=marks, typed=_answers(), form=ButtonForm()
    )
    return page, status


# -- addresses -------------------------------------------------------------------------------------------------------
@pages.get("/addresses")
@organisers_only
def addresses() -> str:
    """Show where members are reached."""
    return _addresses_page("", 200)[0]


@pages.post("/addresses/<int:member>")
@organisers_only
def put_address(member: int) -> AnyResponse | tuple[str, int]:
    """Note where a member is reached."""
    by = request.form.get("by", "")
    try:
        the_club().rounds.addresses.put(member, request.form.get("email", ""), By(by) if by in list(By) else By.NONE)
    except RoundError as error:
        return _addresses_page(str(error), 422)
    return redirect(url_for("rounds.addresses", _anchor=f"m{member}"), 303)


def _addresses_page(says: str, status: int) -> tuple[str, int]:
    known = the_club().rounds.addresses
    page = render_template(
        "rounds/addresses.html", everybody=known.everybody(), shared=known.shared(), says=says, By=By, form=ButtonForm()
    )
    return page, status
