"""Coming in: the front page, signing in and out, joining."""

from __future__ import annotations

from flask import Blueprint, g, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from tutor.learning.errors import JoinCodeError, PasswordError, SignInError, SignInTakenError
from tutor.learning.samples import sample_of
from tutor.web.access import TOKEN, members_only, safe_address
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm, JoinForm, SignInForm, typed

pages = Blueprint("entry", __name__)


@pages.get("/")
def front() -> str | Response:
    """Show a stranger what this is, a member where they stand."""
    if g.member is not None:
        return redirect(url_for("lessons.home"))
    shelf = the_club().shelf
    return render_template(
        "front.html", form=SignInForm(formdata=None), courses=shelf.courses, sample=sample_of(shelf) is not None
    )


@pages.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> str | Response | tuple[str, int]:
    """Sign in."""
    form = SignInForm()
    if request.method == "GET":
        form.next.data = safe_address(request.args.get("next"))
        return render_template("sign_in.html", form=form)
    if not form.validate():
        return render_template("sign_in.html", form=form), 422
    try:
        _, token = the_club().membership.sign_in(typed(form.sign_in), typed(form.password), request.remote_addr or "")
    except SignInError as error:
        status = 429 if error.wait else 403
        return render_template("sign_in.html", form=form, refused=str(error)), status
    _remember(token)
    return redirect(safe_address(form.next.data) or url_for("lessons.home"))


def _remember(token: str) -> None:
    # A new session at every sign-in: nothing that stood in the old one survives.
    session.clear()
    session[TOKEN] = token
    session.permanent = True


@pages.post("/sign-out")
@members_only
def sign_out() -> Response:
    """Sign out."""
    ButtonForm()
    the_club().membership.sign_out(session[TOKEN])
    session.clear()
    return redirect(url_for("entry.front"))


@pages.route("/join", methods=["GET", "POST"])
def join() -> str | Response | tuple[str, int]:
    """Make an account with a join code."""
    form = JoinForm()
    if request.method == "GET":
        form.code.data = request.args.get("code", "")[:40]
        return render_template("join.html", form=form)
    if not form.validate():
        return render_template("join.html", form=form), 422
    membership = the_club().membership
    try:
        membership.join(typed(form.code), typed(form.sign_in), typed(form.name), typed(form.password))
        _, token = membership.sign_in(typed(form.sign_in), typed(form.password), request.remote_addr or "")
    except (JoinCodeError, SignInTakenError, PasswordError) as error:
        return render_template("join.html", form=form, refused=str(error)), 422
    _remember(token)
    return redirect(url_for("lessons.home"))
