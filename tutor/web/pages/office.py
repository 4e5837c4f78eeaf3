"""The club's accounts, for organisers: members, join codes, reset codes, and the log of what was done."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from tutor.learning.errors import PasswordError, SignInTakenError
from tutor.learning.membership.codes import grouped
from tutor.learning.membership.office import PRINTED_CODE_FOR
from tutor.learning.records import Member, Role
from tutor.web.access import member as signed_in_member
from tutor.web.access import organisers_only
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm, typed
from tutor.web.people_forms import AddMemberForm, JoinCodeForm, RoleForm

pages = Blueprint("office", __name__, url_prefix="/members")

Page = str | Response | tuple[str, int]


@pages.route("/", methods=["GET", "POST"])
@organisers_only
def members() -> Page:
    """List everybody; make an account for somebody."""
    if request.method == "GET":
        return _members_page(AddMemberForm(formdata=None))
    form = AddMemberForm()
    if not form.validate():
        return _members_page(form), 422
    try:
        made, code = the_club().office.add(
            signed_in_member(), typed(form.sign_in), typed(form.name), Role(form.role.data)
        )
    except (PasswordError, SignInTakenError) as error:
        return _members_page(form, refused=str(error)), 422
    return _code_page(made, code)


def _members_page(form: AddMemberForm, code_form: JoinCodeForm | None = None, refused: str = "") -> str:
    club = the_club()
    return render_template(
        "office/members.html",
        form=form,
        code_form=code_form or JoinCodeForm(formdata=None),
        button=ButtonForm(formdata=None),
        members=club.membership.everybody(),
        codes=club.office.join_codes(),
        refused=refused,
    )


def _code_page(whose: Member, code: str) -> str:
    days = PRINTED_CODE_FOR.days
    return render_template("office/reset_code.html", whose=whose, code=grouped(code), days=days)


@pages.post("/codes")
@organisers_only
def make_code() -> Page:
    """Make a join code."""
    form = JoinCodeForm()
    if not form.validate():
        return _members_page(AddMemberForm(formdata=None), form), 422
    the_club().office.make_join_code(signed_in_member(), Role(form.role.data), form.uses.data or 1, form.days.data or 1)
    return redirect(url_for("office.members"), 303)


@pages.post("/codes/<code>/drop")
@organisers_only
def drop_code(code: str) -> Response:
    """Make a join code void."""
    the_club().office.drop_join_code(signed_in_member(), code)
    return redirect(url_for("office.members"), 303)


@pages.get("/log")
@organisers_only
def log() -> str:
    """Show what was done to accounts, the latest first."""
    before = request.args.get("before", "")
    number = int(before) if before.isascii() and before.isdigit() and len(before) < 10 else None
    acts = the_club().office.acts(number)
    return render_template(
        "office/log.html", acts=acts, older=acts[-1].act.id if acts and acts[-1].act.id > 1 else None
    )


# -- one member --------------------------------------------------------------------------------------------------------
@pages.get("/<int:member>")
@organisers_only
def one(member: int) -> str:
    """Show one account."""
    found, sign_ins = the_club().office.member(member)
    form = RoleForm(formdata=None, role=found.role.value)
    button = ButtonForm(formdata=None)
    return render_template("office/member.html", whose=found, sign_ins=sign_ins, form=form, button=button)


@pages.post("/<int:member>/role")
@organisers_only
def set_role(member: int) -> Response:
    """Give a member another role."""
    form = RoleForm()
    if form.validate():
        the_club().office.set_role(signed_in_member(), member, Role(form.role.data))
    return _back(member)


@pages.post("/<int:member>/reset-code")
@organisers_only
def reset_code(member: int) -> str:
    """Print a code with which a member sets a new password; shown this once."""
    office = the_club().office
    code = office.print_reset_code(signed_in_member(), member)
    return _code_page(office.member(member)[0], code)


@pages.post("/<int:member>/end-sign-ins")
@organisers_only
def end_sign_ins(member: int) -> Response:
    """End all sign-ins of a member."""
    the_club().office.end_sign_ins(signed_in_member(), member)
    return _back(member)


@pages.post("/<int:member>/close")
@organisers_only
def close(member: int) -> Response:
    """Close an account."""
    the_club().office.close(signed_in_member(), member)
    return _back(member)


@pages.post("/<int:member>/reopen")
@organisers_only
def reopen(member: int) -> Response:
    """Open a closed account again."""
    the_club().office.reopen(signed_in_member(), member)
    return _back(member)


@pages.post("/<int:member>/second-factor-off")
@organisers_only
def drop_second_factor(member: int) -> Response:
    """Take off the second factor of a member whose device is lost."""
    the_club().office.drop_second_factor(signed_in_member(), member)
    return _back(member)


def _back(member: int) -> Response:
    return redirect(url_for("office.one", member=member), 303)
