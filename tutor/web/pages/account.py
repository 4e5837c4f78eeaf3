"""Your account: password, second factor, and where you are signed in."""

from __future__ import annotations

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from itsdangerous import BadData, URLSafeTimedSerializer
from werkzeug.wrappers import Response

from tutor.learning.errors import PasswordError, SecondFactorError, SignInError
from tutor.learning.membership.totp import setup_address
from tutor.learning.records import Role
from tutor.web.access import member, members_only, token
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm, typed
from tutor.web.people_forms import DropSecondForm, PasswordForm, SetSecondForm

pages = Blueprint("account", __name__, url_prefix="/account")

SECRET_GOOD_FOR = 30 * 60  # seconds

Page = str | Response | tuple[str, int]


@pages.get("/")
@members_only
def overview() -> str:
    """Show where one is signed in, and what can be changed."""
    return _page(PasswordForm())


def _page(form: PasswordForm, refused: str = "", says: str = "") -> str:
    doors = the_club().sign_ins
    return render_template(
        "account/overview.html",
        form=form,
        button=ButtonForm(formdata=None),
        sign_ins=[(one, doors.is_this(one, token())) for one in doors.of(member())],
        may_have_second=member().role is not Role.MEMBER,
        refused=refused,
        says=says,
    )


@pages.post("/password")
@members_only
def change_password() -> Page:
    """Change one's password."""
    form = PasswordForm()
    if not form.validate():
        return _page(form), 422
    address = request.remote_addr or ""
    try:
        the_club().own_account.change_password(member(), typed(form.old), typed(form.password), token(), address)
    except PasswordError as error:
        return _page(form, refused=str(error)), 422
    except SignInError as error:
        return _page(form, refused=str(error)), 429
    return _page(PasswordForm(formdata=None), says="The password is changed, and every other sign-in has ended.")


@pages.post("/sign-ins/<handle>/end")
@members_only
def end_sign_in(handle: str) -> Response:
    """End one of one's own sign-ins."""
    the_club().sign_ins.end(member(), handle)
    return redirect(url_for("account.overview"), 303)


@pages.post("/sign-ins/end-others")
@members_only
def end_others() -> Response:
    """End all of one's own sign-ins but this one."""
    the_club().sign_ins.end_others(member(), token())
    return redirect(url_for("account.overview"), 303)


# -- second factor -----------------------------------------------------------------------------------------------------
def _sealed() -> URLSafeTimedSerializer:
    # The secret travels on the page that shows it; the seal keeps anybody from slipping in another.
    return URLSafeTimedSerializer(str(current_app.secret_key), salt=f"second factor of {member().id}")


@pages.route("/second-factor", methods=["GET", "POST"])
@members_only
def second_factor() -> Page:
    """Set up a second factor."""
    account = the_club().own_account
    if member().second:
        left = account.recovery_codes(member())
        return render_template("account/second_factor.html", form=DropSecondForm(formdata=None), left=left)
    if request.method == "GET":
        return _setup_page(SetSecondForm(formdata=None), account.new_secret())
    form = SetSecondForm()
    try:
        secret = str(_sealed().loads(form.secret.data or "", max_age=SECRET_GOOD_FOR))
    except BadData:
        return _setup_page(form, account.new_secret(), "That took too long; here is another secret."), 422
    if not form.validate():
        return _setup_page(form, secret), 422
    try:
        codes = account.set_second_factor(member(), secret, typed(form.code))
    except SecondFactorError as error:
        return _setup_page(form, secret, str(error)), 422
    return render_template("account/recovery_codes.html", codes=codes)


def _setup_page(form: SetSecondForm, secret: str, refused: str = "") -> str:
    form.secret.data = _sealed().dumps(secret)
    return render_template(
        "account/set_second_factor.html",
        form=form,
        secret=" ".join(secret[i : i + 4] for i in range(0, len(secret), 4)),
        address=setup_address(secret, member().sign_in, str(current_app.jinja_env.globals["club_name"])),
        must=current_app.config["SECOND_FACTOR"] and member().role is not Role.MEMBER,
        refused=refused,
    )


@pages.post("/second-factor/off")
@members_only
def drop_second_factor() -> Page:
    """Sign in by password alone again."""
    form = DropSecondForm()
    account = the_club().own_account
    status, refused = 422, ""
    if form.validate():
        try:
            account.drop_second_factor(member(), typed(form.old), typed(form.code), request.remote_addr or "")
        except (PasswordError, SecondFactorError) as error:
            refused = str(error)
        except SignInError as error:
            status, refused = 429, str(error)
        else:
            return redirect(url_for("account.overview"), 303)
    left = account.recovery_codes(member())
    return render_template("account/second_factor.html", form=form, left=left, refused=refused), status
