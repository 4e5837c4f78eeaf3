"""The workshop's blueprint, and what all its pages share."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tutor.learning.drafts import Draft
from tutor.learning.workshop.errors import EditClashError
from tutor.web.access import member
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm

pages = Blueprint("workshop", __name__, url_prefix="/workshop")

PATIENCE = timedelta(seconds=20)
"""How long members' pages may go without what another process published."""

Answer = str | Response | tuple[str, int]


@pages.before_request
def keep_up() -> None:
    """Let the shelf hold what another process published."""
    the_club().workshop.publishing.keep_up()


def keep_up_at_times() -> None:
    """The same for every other page, now and then: it costs one look into the records."""
    if request.endpoint != "static":
        the_club().workshop.publishing.keep_up(PATIENCE)


def typed(name: str, longest: int = 20_000) -> str:
    """Return what was typed into a field."""
    return request.form.get(name, "")[:longest]


def version_seen() -> int:
    """Return the version that the page was made of."""
    text = typed("version", 12)
    if not text.isdigit():
        abort(400)
    return int(text)


def doing() -> tuple[str, str]:
    """Return which button was pressed, and on what: `remove:R1` is ("remove", "R1")."""
    verb, _, what = typed("do", 200).partition(":")
    return verb, what


def show(template: str, draft: Draft, status: int = 200, **values: Any) -> tuple[str, int]:
    """Return a page about a draft."""
    drafting = the_club().workshop.drafting
    page = render_template(
        f"workshop/{template}", draft=draft, form=ButtonForm(), reading=drafting.reading(draft), **values
    )
    return page, status


def save(draft: str, data: Mapping[str, Any], says: str, endpoint: str, anchor: str = "") -> Answer:
    """Store a change of a draft and go to a page of it; tell who comes second that nothing was overwritten."""
    club = the_club()
    try:
        club.workshop.drafting.save(member(), draft, version_seen(), data, says)
    except EditClashError as error:
        return clash(error)
    return redirect(url_for(endpoint, draft=draft, _anchor=anchor or None), 303)


def clash(error: EditClashError) -> tuple[str, int]:
    """Return the page for who comes second; what was typed is kept in it."""
    kept = [(name, value) for name, value in request.form.items(multi=True) if name not in ("csrf_token", "version")]
    people = names()
    page = render_template(
        "workshop/clash.html",
        draft=error.draft,
        says=error.says,
        by=people.get(error.draft.changed_by or 0, "Somebody"),
        kept=kept,
        address=request.path,
        form=ButtonForm(),
    )
    return page, 409


def names() -> dict[int, str]:
    """Return everybody's name by their number."""
    with the_club().workshop.drafting.records.look() as work:
        return {person.id: person.name for person in work.people.everybody()}
