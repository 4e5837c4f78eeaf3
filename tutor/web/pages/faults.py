"""Pages for what went wrong: what was asked for, and what would do."""

from __future__ import annotations

import logging
import secrets

from flask import Flask, Response, g, make_response, render_template, request, url_for
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, TooManyRequests

from tutor.learning.errors import ClosedError, OfficeError, UnknownError
from tutor.learning.membership.trail import one_line
from tutor.learning.trouble import RecordsError
from tutor.questions.errors import AskError
from tutor.web.club import the_club

_log = logging.getLogger(__name__)

Answer = tuple[str, int]


def register(app: Flask) -> None:
    """Make the pages known to the site."""
    app.register_error_handler(UnknownError, _unknown)
    app.register_error_handler(ClosedError, _closed)
    app.register_error_handler(OfficeError, _closed)
    app.register_error_handler(AskError, _unfit)
    app.register_error_handler(RecordsError, _records)
    app.register_error_handler(CSRFError, _stale_form)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _fault)


def _page(status: int, title: str, says: str, near: list[tuple[str, str]] | None = None) -> Answer:
    return render_template("fault.html", title=title, says=says, near=near or []), status


def _unknown(error: UnknownError) -> Answer:
    near = []
    if error.what == "lesson":
        lessons = {lesson.name: lesson for lesson in the_club().shelf.lessons}
        near = [(lessons[name].title, url_for("lessons.lesson", lesson=name)) for name in error.near if name in lessons]
    return _page(404, f"No such {error.what}", str(error), near)


def _closed(error: ClosedError | OfficeError) -> Answer:
    return _page(409, "Too late for that" if isinstance(error, ClosedError) else "That cannot be done", str(error))


def _unfit(error: AskError) -> Answer:
    return _page(422, "That does not fit", str(error))


def _records(error: RecordsError) -> Response:
    """Say that nothing was stored, and give back what was typed: it may be the work of an evening."""
    _log.error("records in trouble on %s: %s", one_line(request.path), error, exc_info=error.__cause__)
    g.setdefault("member", None)
    typed = {
        name.removeprefix("answer-"): text
        for name, text in request.form.items()
        if text
        and name != "csrf_token"
        and name not in ("old", "second", "code", "secret")
        and not name.startswith(("was-", "password"))
    }
    page = make_response(
        render_template("records.html", says=error.says, typed=typed, sent=request.method == "POST"), 503
    )
    page.headers["Retry-After"] = str(error.wait)
    return page


def _stale_form(error: CSRFError) -> Answer:
    _log.info("form refused on %s: %s", one_line(request.path), error.description)
    return _page(
        400,
        "The form was too old",
        "It was opened before you signed in, or in another browser, so it was not taken. Go back, reload the page and "
        "send it again; what you typed is still in the fields of the page you came from.",
    )


def _http(error: HTTPException) -> Response:
    g.setdefault("member", None)
    code = error.code or 500
    titles = {403: "Not for you", 404: "No such page", 405: "Not that way", 413: "Too much at once", 429: "Too fast"}
    says = {
        403: "This page is for the club's trainers or its organiser.",
        404: "There is nothing at this address. It may have been mistyped, or belong to somebody else.",
        405: "This address wants to be reached by its own button.",
        413: "More was sent than this page takes.",
    }
    body, code = _page(code, titles.get(code, error.name), says.get(code, error.description or ""))
    answer = make_response(body, code)
    if isinstance(error, TooManyRequests) and error.retry_after is not None:
        answer.headers["Retry-After"] = str(error.retry_after)
    return answer


def _fault(error: Exception) -> Answer:
    # The number is all that goes out; what happened stands in the log beside it.
    number = secrets.token_hex(4)
    _log.error("fault %s on %s", number, one_line(request.path), exc_info=error)
    g.setdefault("member", None)
    return _page(
        500,
        "Something broke on our side",
        f"It is noted under the number {number}. Nothing that was acknowledged is lost; try again in a moment.",
    )
