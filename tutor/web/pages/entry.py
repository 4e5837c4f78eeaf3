"""Coming in: the front page, signing in and out, joining."""

from __future__ import annotations

from flask import Blueprint, g, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response
from wtforms import StringField

from tutor.learning.errors import (
    JoinCodeError,
    PasswordError,
    ResetCodeError,
    SecondFactorError,
    SignInError,
    SignInTakenError,
)
from tutor.learning.samples import sample_of
from tutor.web.access import begin_session, members_only, safe_address, token
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm, JoinForm, ResetForm, SignInForm, typed

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
        new = _sign_in(form.sign_in, form.password, typed(form.second))
    except SignInError as error:
        return render_template("sign_in.html", form=form, refused=str(error)), 429 if error.wait else 403
    except SecondFactorError as error:
        return render_template("sign_in.html", form=form, refused=str(error), second=True), 403
    begin_session(new)
    return redirect(safe_address(form.next.data) or url_for("lessons.home"))


def _sign_in(sign_in: StringField, password: StringField, second: str = "") -> str:
    browser = request.user_agent.string
    _, new = the_club().sign_ins.sign_in(typed(sign_in), typed(password), _address(), second=second, browser=browser)
    return new


def _address() -> str:
    return request.remote_addr or ""


@pages.post("/sign-out")
@members_only
def sign_out() -> Response:
    """Sign out."""
    ButtonForm()
    the_club().sign_ins.sign_out(token())
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
    try:
        the_club().membership.join(
            typed(form.code), typed(form.sign_in), typed(form.name), typed(form.password), _address()
        )
        new = _sign_in(form.sign_in, form.password)
    except (JoinCodeError, SignInTakenError, PasswordError) as error:
        return render_template("join.html", form=form, refused=str(error)), 422
    except SignInError as error:
        return render_template("join.html", form=form, refused=str(error)), 429
    begin_session(new)
    return redirect(url_for("lessons.home"))


@pages.route("/new-password", methods=["GET", "POST"])
def reset() -> str | Response | tuple[str, int]:
    """Set a new password with a code."""
    form = ResetForm()
    if request.method == "GET":
        form.code.data = request.args.get("code", "")[:80]
        return render_template("reset.html", form=form)
    if not form.validate():
        return render_template("reset.html", form=form), 422
    try:
        the_club().own_account.reset(typed(form.code), typed(form.password), _address())
    except (ResetCodeError, PasswordError) as error:
        return render_template("reset.html", form=form, refused=str(error)), 422
    except SignInError as error:
        return render_template("reset.html", form=form, refused=str(error)), 429
    session.clear()
    return render_template("reset.html", form=form, done=True)
