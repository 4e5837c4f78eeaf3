"""Help, open to everybody: guides for each kind of person, how answers may be written, the words of the trade."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, render_template
from werkzeug.exceptions import NotFound

from tutor.quantities import read_unit
from tutor.questions.read_back import read_back
from tutor.web.glossary import GLOSSARY

pages = Blueprint("help", __name__, url_prefix="/help")

GUIDES = {
    "members": "For members",
    "trainers": "For trainers",
    "organisers": "For organisers",
    "answers": "How answers may be written",
    "words": "The words",
}
"""Guide → title, in the order in which they are listed."""

NOTATIONS = (
    ("68.2", "V", "A bare number is taken in the unit printed beside the field."),
    ("3.3 kΩ", "Ω", "With a unit of your own, whatever is printed."),
    ("3.3 kohm", "Ω", "Where Ω is hard to type."),
    ("4k7", "Ω", "The letter in place of the point, as on drawings."),
    ("R47", "Ω", "Below one ohm."),
    ("1 meg", "Ω", "As it is said."),
    ("2n2", "F", "Capacitors likewise."),
    ("0.05 mfd", "µF", "As on old sheets: mfd is the microfarad."),
    ("100 mmfd", "pF", "And mmfd, or µµF, the picofarad."),
    ("22u", "F", "u stands for µ."),
    ("50 c/s", "Hz", "Cycles a second; kc/s too."),
    ("1,5 mA", "A", "A decimal comma."),
    ("3.3e-3", "A", "Powers of ten, as calculators print them."),
    ("3.3 × 10^-3", "A", "Or as on paper; x and * do for ×."),
    ("-12", "V", "A sign, where the answer has one."),
    ("12 %", "%", "A share."),
)
"""What is typed, the unit printed beside the field, and a remark; the page adds what the reader makes of it."""


@dataclass(frozen=True, slots=True)
class NotationView:
    """One way of writing an answer."""

    typed: str
    printed: str
    read: str
    remark: str


def notations() -> tuple[NotationView, ...]:
    """Return the ways of writing an answer, each as the reader of marking reads it."""
    return tuple(
        NotationView(typed, unit, read_back(typed, read_unit(unit)) or "", remark) for typed, unit, remark in NOTATIONS
    )


@pages.get("/")
def contents() -> str:
    """List the guides."""
    return render_template("help/contents.html", guides=GUIDES)


@pages.get("/<guide>")
def one(guide: str) -> str:
    """Show one guide."""
    if guide not in GUIDES:
        raise NotFound
    return render_template(f"help/{guide}.html", guides=GUIDES, guide=guide, glossary=GLOSSARY, notations=notations())
