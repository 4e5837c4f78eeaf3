"""Forms of the pages about accounts: one's own, and those of others."""

from __future__ import annotations

from typing import Any

from flask_wtf import FlaskForm
from wtforms import HiddenField, IntegerField, PasswordField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange

from tutor.learning.membership import LONGEST_PASSWORD
from tutor.learning.membership.office import MOST_DAYS, MOST_USES
from tutor.learning.records import Role
from tutor.web.forms import new_password

_ROLES: Any = [role.value for role in Role]  # plain values, which the library takes and its stubs do not know


class PasswordForm(FlaskForm):
    """The present password, and the new one."""

    old = PasswordField(
        "Present password", [InputRequired("Give your present password."), Length(max=LONGEST_PASSWORD)]
    )
    password = new_password("New password")


class SetSecondForm(FlaskForm):
    """The code that a device shows, and the secret it was given."""

    secret = HiddenField(validators=[InputRequired(), Length(max=300)])
    code = StringField("Code that it shows", [InputRequired("Give the six figures."), Length(max=20)])


class DropSecondForm(FlaskForm):
    """What it takes to sign in by password alone."""

    old = PasswordField("Password", [InputRequired("Give your password."), Length(max=LONGEST_PASSWORD)])
    code = StringField("Code, or a recovery code", [InputRequired("Give a code."), Length(max=80)])


class AddMemberForm(FlaskForm):
    """An account to be made for somebody."""

    name = StringField("Name", [InputRequired("Give a name."), Length(max=80)])
    sign_in = StringField(
        "Sign-in name",
        [InputRequired("Give a sign-in name."), Length(max=40)],
        description="Small letters, figures, dots or hyphens, such as a.baker",
    )
    role = SelectField("Role", choices=_ROLES)


class RoleForm(FlaskForm):
    """A role."""

    role = SelectField("Role", choices=_ROLES)


class JoinCodeForm(FlaskForm):
    """A join code to be made."""

    role = SelectField("Role that it gives", choices=_ROLES)
    uses = IntegerField("How many may join with it", [InputRequired(), NumberRange(1, MOST_USES)], default=1)
    days = IntegerField("Good for how many days", [InputRequired(), NumberRange(1, MOST_DAYS)], default=30)
