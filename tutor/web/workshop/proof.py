"""The proof panel: progress, agreement, the spread of the answers, samples side by side; publishing."""

from __future__ import annotations

from dataclasses import dataclass

from flask import redirect, url_for
from markupsafe import Markup

from tutor.learning.drafts import Draft
from tutor.learning.workshop.errors import NameTakenError, NotProvedError
from tutor.questions.authoring.proving import BARS, Spread
from tutor.questions.checking.report import CHECKS
from tutor.web.access import member, trainers_only
from tutor.web.club import the_club
from tutor.web.workshop.blueprint import Answer, pages, show, version_seen
from tutor.web.workshop.desk import preview_of

SAMPLES = 10
_HEIGHT, _BAR = 64, 16

CHECKED = {
    "draws": "values can be drawn",
    "served": "single questions are those of the proof",
    "choices": "choices have one right option",
    "answers": "answers are sensible and differ",
    "circuit": "formulas are the circuit's",
    "examples": "worked examples come out as printed",
    "tolerances": "tolerances are neither narrow nor wide",
    "rounding": "rounded figures still earn the mark",
    "slips": "slips can be told",
    "solution": "the solution is true step by step",
    "texts": "texts have values and give nothing away",
    "givens": "everything needed is given",
    "drawing": "the drawing shows every part",
    "caution": "the caution fits the voltages",
}


@dataclass(frozen=True, slots=True)
class SpreadView:
    """A histogram with its words."""

    ask: str
    svg: Markup
    words: str


def spread_view(spread: Spread) -> SpreadView:
    """Return the histogram of an ask's answers."""
    most = max(spread.bars) or 1
    bars = "".join(
        f'<rect x="{place * _BAR + 1}" y="{_HEIGHT - round(count / most * (_HEIGHT - 2))}" width="{_BAR - 2}" '
        f'height="{round(count / most * (_HEIGHT - 2))}"/>'
        for place, count in enumerate(spread.bars)
    )
    words = f"{sum(spread.bars)} answers from {spread.low} to {spread.high}; in {BARS} equal parts: " + ", ".join(
        str(count) for count in spread.bars
    )
    svg = f'<svg class="spread" viewBox="0 0 {BARS * _BAR} {_HEIGHT + 2}" aria-hidden="true">{bars}</svg>'
    return SpreadView(spread.ask, Markup(svg), words)  # noqa: S704 - numbers


@pages.get("/drafts/<draft>/proof")
@trainers_only
def proof(draft: str) -> Answer:
    """Show how far the proof is, or what came out."""
    return _page(the_club().workshop.drafting.draft(draft))


def _page(draft: Draft, says: str = "", status: int = 200) -> Answer:
    workshop = the_club().workshop
    reading = workshop.drafting.reading(draft)
    template = reading.template
    kept = workshop.proving.kept(template) if template is not None else None
    done = kept.proof if kept is not None else None
    samples = [preview_of(reading, serial, f"s{serial}") for serial in range(SAMPLES)] if done is not None else []
    return show(
        "proof.html",
        draft,
        status,
        says=says,
        running=kept is not None and workshop.proving.is_running(kept),
        progress=workshop.proving.progress(template) if template is not None else None,
        proof=done,
        checks=CHECKED,
        most=len(CHECKS),
        spreads=[spread_view(spread) for spread in done.spreads] if done is not None else [],
        samples=[sample for sample in samples if sample is not None],
        obstacles=workshop.publishing.obstacles(draft),
        published=next((r for r in workshop.publishing.live() if template and r.release == template.release), None),
    )


@pages.post("/drafts/<draft>/proof")
@trainers_only
def prove(draft: str) -> Answer:
    """Begin the proof."""
    workshop = the_club().workshop
    found = workshop.drafting.draft(draft)
    template = workshop.drafting.reading(found).template
    if template is None:
        return _page(found, "It cannot be proved yet.", 422)
    workshop.proving.begin(template)
    return redirect(url_for("workshop.proof", draft=draft), 303)


@pages.post("/drafts/<draft>/publish")
@trainers_only
def publish(draft: str) -> Answer:
    """Publish what is proved."""
    workshop = the_club().workshop
    try:
        workshop.publishing.publish(member(), draft, version_seen())
    except (NotProvedError, NameTakenError) as error:
        return _page(workshop.drafting.draft(draft), str(error), 409)
    return redirect(url_for("workshop.releases", draft=draft), 303)
