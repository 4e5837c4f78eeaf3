"""Forms: what may be typed where. They check the form of input; what it means is the business of the use cases."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import HiddenField, PasswordField, StringField
from wtforms.validators import InputRequired, Length

from tutor.learning.membership import LONGEST_PASSWORD, SHORTEST_PASSWORD
from tutor.questions.marking import LONGEST


def new_password(label: str) -> PasswordField:
    """Return a field for a password to be."""
    return PasswordField(
        label,
        [InputRequired("Choose a password."), Length(max=LONGEST_PASSWORD)],
        description=f"At least {SHORTEST_PASSWORD} characters; three or four words that do not belong together do well",
    )


class SignInForm(FlaskForm):
    """Name and password."""

    sign_in = StringField("Sign-in name", [InputRequired("Give your sign-in name."), Length(max=80)])
    password = PasswordField("Password", [InputRequired("Give your password."), Length(max=4 * LONGEST_PASSWORD)])
    second = StringField("Code of your second factor", [Length(max=80)], description="Or one of your recovery codes")
    next = HiddenField()


class JoinForm(FlaskForm):
    """A join code, and the account to make with it."""

    code = StringField("Join code", [InputRequired("Give the join code that the club sent you."), Length(max=40)])
    name = StringField("Your name", [InputRequired("Give your name."), Length(max=80)])
    sign_in = StringField(
        "Sign-in name",
        [InputRequired("Choose a sign-in name."), Length(max=40)],
        description="Small letters, figures, dots or hyphens, such as a.baker",
    )
    password = new_password("Password")


class ResetForm(FlaskForm):
    """A reset code, and the new password."""

    code = StringField("Code", [InputRequired("Give the code that the organiser gave you."), Length(max=80)])
    password = new_password("New password")


class ButtonForm(FlaskForm):
    """A form that is only a button: its token keeps strangers from pressing it."""


class AnswerForm(FlaskForm):
    """Answers to a question: one field an ask, named by the question; and the form's own key."""

    key = HiddenField(validators=[InputRequired(), Length(max=64)])


def typed(field: StringField) -> str:
    """Return what was typed into a field."""
    return field.data or ""


def typed_answers(form: object, names: list[str], prefix: str = "answer-") -> dict[str, str]:
    """Return what was typed for each ask, shortened to what is kept.

    Args:
        form: The request's form values.
        names: The asks.
        prefix: What stands before an ask's name in its field's name.
    """
    # A part and what is wrong with it are chosen in two fields of one name; every other ask has one.
    every = form.getlist  # type: ignore[attr-defined]  # a multi-dict
    return {name: " ".join(every(f"{prefix}{name}")).strip()[:LONGEST] for name in names}
