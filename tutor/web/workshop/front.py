"""The workshop's own page: drafts, what is published, beginning, taking in, the trash."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tutor.learning.workshop.errors import ImportRefusedError
from tutor.questions.authoring.cleaning import clean_line
from tutor.web.access import member, organisers_only, trainers_only
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm
from tutor.web.workshop.blueprint import Answer, names, pages, typed


@pages.get("/")
@trainers_only
def front() -> str:
    """Show the drafts and what is published."""
    return _front()


def _front(refused: ImportRefusedError | None = None, text: str = "") -> str:
    club = the_club()
    workshop = club.workshop
    templates = sorted(club.shelf.library.templates.values(), key=lambda template: template.title)
    return render_template(
        "workshop/front.html",
        form=ButtonForm(),
        drafts=workshop.drafting.drafts(),
        live=workshop.publishing.live(),
        trash=workshop.drafting.trash(),
        templates=templates,
        with_circuit=[template for template in templates if template.parts],
        names=names(),
        refused=refused,
        text=text,
    )


@pages.post("/drafts")
@trainers_only
def begin() -> Response:
    """Begin a draft: blank, with a circuit of the library, or as a copy of a template."""
    drafting = the_club().workshop.drafting
    copied, circuit, title = typed("copy", 100), typed("circuit", 100), clean_line(typed("title", 400))
    if copied:
        draft = drafting.begin_from(member(), copied)
    elif circuit:
        draft = drafting.begin_with_circuit(member(), circuit, title)
    else:
        draft = drafting.begin(member(), title)
    return redirect(url_for("workshop.circuit", draft=draft.id), 303)


@pages.post("/import")
@trainers_only
def take_in() -> Answer:
    """Take in a template file, whole or not at all."""
    upload = request.files.get("file")
    text = typed("text", 300_000)
    name = "the text"
    if upload is not None and upload.filename:
        name = clean_line(upload.filename, 80)
        # What is no text becomes replacement characters, which no template holds; it is refused with words below.
        text = upload.read().decode("utf-8-sig", errors="replace")
    try:
        draft, says = the_club().workshop.drafting.take_in(member(), text.replace("\r\n", "\n"), name)
    except ImportRefusedError as error:
        return _front(error, text if not upload else ""), 422
    flash(says or "Taken in.")
    return redirect(url_for("workshop.circuit", draft=draft.id), 303)


@pages.post("/drafts/<draft>/trash")
@trainers_only
def put_into_trash(draft: str) -> Response:
    """Put a draft into the trash."""
    the_club().workshop.drafting.put_into_trash(draft)
    flash("The draft lies in the trash; it can be taken out again.")
    return redirect(url_for("workshop.front"), 303)


@pages.post("/drafts/<draft>/restore")
@trainers_only
def restore(draft: str) -> Response:
    """Take a draft out of the trash."""
    the_club().workshop.drafting.take_out_of_trash(draft)
    return redirect(url_for("workshop.circuit", draft=draft), 303)


@pages.post("/trash/empty")
@organisers_only
def empty_trash() -> Response:
    """Delete what is in the trash for good."""
    count = the_club().workshop.drafting.empty_trash(member())
    flash(f"Deleted for good: {count}.")
    return redirect(url_for("workshop.front"), 303)
