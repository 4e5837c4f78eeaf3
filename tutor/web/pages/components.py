"""One page with every component in each of its states, for whoever changes the look; organisers only."""

from __future__ import annotations

from types import SimpleNamespace

from flask import Blueprint, render_template
from markupsafe import Markup

from tutor.learning.records import Sureness
from tutor.learning.samples import sample_of
from tutor.learning.standing import Word
from tutor.questions.cautions import CAUTIONS, caution_text
from tutor.questions.marks import Verdict
from tutor.web.access import organisers_only
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm, JoinForm
from tutor.web.views import AskView, MarkView, OptionView, question_view

pages = Blueprint("components", __name__)

SERIAL = 7  # fixed, so that two pictures of the page can be laid side by side

ASKS = (
    AskView("number", "", Markup("What voltage stands at the tap?"), "number", "V", 2, ()),
    AskView("formula", "b", Markup("Write it as a formula."), "formula", "V", 2, (), "V1, R1, R2"),
    AskView("change", "c", Markup("What does it do when the foot comes off?"), "change", "", 1, ()),
    AskView(
        "choice", "d", Markup("Which part is at fault?"), "choice", "", 1,
        (OptionView("A", Markup("the upper resistor")), OptionView("B", Markup("the coupling capacitor, which leaks"))),
    ),
)  # fmt: skip


@pages.get("/components")
@organisers_only
def show() -> str:
    """Show the components."""
    sample = sample_of(the_club().shelf)
    question = the_club().shelf.draw(sample.templates[0], SERIAL) if sample else None
    faulty = JoinForm(formdata=None)
    faulty.sign_in.data = "Ann Baker"
    faulty.sign_in.errors = ["'Ann Baker' cannot be a sign-in name; a.baker would do."]
    return render_template(
        "components.html",
        form=ButtonForm(formdata=None),
        good=JoinForm(formdata=None),
        faulty=faulty,
        view=question_view(question, "shown") if question else None,
        asks=ASKS,
        marks=[_mark(verdict) for verdict in Verdict],
        cautions=[caution_text(key) for key in CAUTIONS],
        standings=[SimpleNamespace(word=word) for word in Word],
        forecasts=Sureness,
    )


def _mark(verdict: Verdict) -> MarkView:
    read = "" if verdict in (Verdict.BLANK, Verdict.UNREADABLE) else "68.2 V"
    marks = {Verdict.RIGHT: 2, Verdict.FOLLOW_THROUGH: 2, Verdict.RIGHT_UNIT_WRONG: 1}.get(verdict, 0)
    says = "" if verdict in (Verdict.BLANK, Verdict.RIGHT) else "A sentence that says why."
    return MarkView(verdict, verdict.words, read, marks, 2, Markup(says))  # noqa: S704 - our own words
