"""The template desk: what is asked, formulas and slips that the engine offers, hints, the worked solution."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from flask import render_template, request
from markupsafe import Markup

from tutor.circuits.errors import CircuitError, ExpressionError
from tutor.circuits.expressions import read_expression
from tutor.drawing.maths import math_element, mathml, plain
from tutor.learning.drafts import Draft
from tutor.questions.authoring.asking import Askable, askables, key_of
from tutor.questions.authoring.cleaning import clean_line, clean_text, slug_of
from tutor.questions.authoring.formulas import FormulaOffer, offered_formulas
from tutor.questions.authoring.reading_drafts import Reading, read_draft
from tutor.questions.authoring.sketch import MOST_DRAWN
from tutor.questions.authoring.slips import SlipOffer, offered_slips
from tutor.questions.authoring.wording import (
    offered_caution,
    offered_hints,
    offered_solution,
    offered_text,
    tolerance_advice,
)
from tutor.questions.cautions import CAUTIONS
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.template import Template
from tutor.web.access import trainers_only
from tutor.web.club import the_club
from tutor.web.views import QuestionView, question_view
from tutor.web.workshop.blueprint import Answer, doing, pages, save, show, typed

TAKES = ("", "magnitude", "phase", "decibels", "real", "imaginary")


@dataclass(frozen=True, slots=True)
class AskDesk:
    """One ask on the desk.

    Attributes:
        name: Its key.
        raw: As the draft has it.
        label: What of the circuit is asked.
        formulas: Formulas offered, each with its typeset form.
        slips: Slips offered, likewise.
        typeset: Its own formula, typeset.
        advice: On its tolerance.
        simple: Whether the form can change it; otherwise the file's text can.
    """

    name: str
    raw: Mapping[str, Any]
    label: str
    formulas: tuple[tuple[FormulaOffer, Markup], ...]
    slips: tuple[tuple[SlipOffer, Markup], ...]
    typeset: Markup
    advice: str
    simple: bool


def typeset(text: str) -> Markup:
    """Return a formula as MathML, or nothing while it cannot be read."""
    try:
        tree = read_expression(text)
    except (ExpressionError, ValueError):
        return Markup("")
    return Markup(math_element(mathml(tree), plain(tree)))  # noqa: S704 - made of a tree


def asks_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a draft's asks."""
    asks = data.get("ask")
    return {str(k): dict(v) for k, v in asks.items() if isinstance(v, Mapping)} if isinstance(asks, Mapping) else {}


def for_offers(data: Mapping[str, Any]) -> Template | None:
    """Return the draft as a template with its asks bare, to make offers from; None while its circuit is faulty."""
    drafting = the_club().workshop.drafting
    asks: dict[str, Any] = {}
    for name, raw in asks_of(data).items():
        asks[name] = {key: raw[key] for key in ("of circuit", "formula", "unit", "tolerance") if raw.get(key)}
        asks[name] |= {"text": "-", "slips": raw.get("slips") or {}}
    head = {"template": "offers", "title": "Offers", "topic": "offers", "level": "1", "text": "-"}
    rest = {key: data[key] for key in ("circuit", "values", "analysis", "frequency", "require") if data.get(key)}
    for bare in (asks, {n: {k: v for k, v in a.items() if k != "slips"} for n, a in asks.items()}, _formulaless(asks)):
        reading = read_draft(head | rest | {"ask": bare}, drafting.circuit)
        if reading.template is not None:
            return reading.template
    return None


def _formulaless(asks: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: {key: value for key, value in ask.items() if key in ("of circuit", "text")}
        for name, ask in asks.items()
        if "of circuit" in ask
    }


def _draft_of(data: Mapping[str, Any]) -> Draft:
    now = the_club().workshop.drafting.clock.now()
    return Draft(id="", data=data, version=0, origin="", owner=None, made=now, changed=now, changed_by=None)


@pages.get("/drafts/<draft>/question")
@trainers_only
def desk(draft: str) -> Answer:
    """Show the desk."""
    return _page(the_club().workshop.drafting.draft(draft))


def _page(draft: Draft, says: str = "", status: int = 200) -> Answer:
    club = the_club()
    bench = club.workshop.drafting.bench(draft)
    found = askables(bench.network) if bench.sound else ()
    offers = for_offers(draft.data)
    reading = club.workshop.drafting.reading(draft)
    hints = draft.data.get("hints") or []
    return show(
        "desk.html",
        draft,
        status,
        says=says,
        bench=bench,
        askables=found,
        asks=[_ask_desk(name, raw, offers, found) for name, raw in asks_of(draft.data).items()],
        hints_offered=[hint for hint in (offered_hints(offers) if offers else ()) if hint not in hints],
        topics=sorted(club.shelf.library.topics.values(), key=lambda topic: topic.title),
        cautions=list(CAUTIONS),
        preview=preview_of(reading),
        takes=TAKES,
    )


def _ask_desk(name: str, raw: Mapping[str, Any], offers: Template | None, found: tuple[Askable, ...]) -> AskDesk:
    ask = next((ask for ask in offers.asks if ask.name == name), None) if offers is not None else None
    form = raw.get("of circuit")
    bare = {key: value for key, value in form.items() if key != "take"} if isinstance(form, Mapping) else {}
    label = next((askable.label for askable in found if askable.key == key_of(bare)), "")
    formulas = offered_formulas(offers, ask) if offers is not None and ask is not None else ()
    slips = offered_slips(offers, ask) if offers is not None and ask is not None else ()
    return AskDesk(
        name=name,
        raw=raw,
        label=label,
        formulas=tuple((offer, typeset(offer.text)) for offer in formulas if offer.text != raw.get("formula")),
        slips=tuple((offer, typeset(offer.formula)) for offer in slips),
        typeset=typeset(str(raw.get("formula") or "")),
        advice=tolerance_advice(ask) if ask is not None else "",
        simple=raw.get("kind", "number") == "number",
    )


def preview_of(reading: Reading, serial: int = 0, uid: str = "preview") -> QuestionView | None:
    """Return the question of a draft as a member would see it; None while it cannot be drawn."""
    if reading.template is None:
        return None
    try:
        question = draw(the_club().shelf.cache.compiled(reading.template), serial)
        # Laying out a large circuit takes seconds; the bench and the member's own page show it.
        question = question if len(question.parts) <= MOST_DRAWN else replace(question, parts=())
        return question_view(question, uid)
    except (QuestionError, CircuitError):
        return None


@pages.post("/drafts/<draft>/question")
@trainers_only
def change_question(draft: str) -> Answer:
    """Keep what is typed and ticked, and do what the button says."""
    found = the_club().workshop.drafting.draft(draft)
    verb, what = doing()
    data = _with_typed(found.data)
    data = _done(data, verb, what)
    says = {"add": "an ask added", "drop": f"ask {what} taken out", "formula": f"formula of {what.split(':')[0]} taken"}
    anchor = f"ask-{what.split(':')[0]}" if verb in ("formula", "up") else "asks" if verb == "add" else "preview"
    return save(draft, data, says.get(verb, "question changed"), "workshop.desk", anchor)


@pages.post("/drafts/<draft>/question/preview")
@trainers_only
def preview_question(draft: str) -> str:
    """Return the question of what is typed so far; nothing is kept."""
    drafting = the_club().workshop.drafting
    found = drafting.draft(draft)
    reading = drafting.reading(replace(found, data=_with_typed(found.data)))
    return render_template("workshop/preview.html", preview=preview_of(reading), reading=reading)


# -- what is typed -----------------------------------------------------------------------------------------------------
def _with_typed(before: Mapping[str, Any]) -> dict[str, Any]:
    data = dict(before)
    for key, longest in (("title", 200), ("frequency", 60), ("source", 2000)):
        data[key] = clean_line(typed(key), longest)
    data["text"] = clean_text(typed("text"))
    name = slug_of(typed("template", 100)) or slug_of(data["title"])
    data |= {"template": name, "topic": typed("topic", 60), "level": typed("level", 1) or "1"}
    data |= {"caution": typed("caution", 60), "analysis": "ac" if typed("analysis") == "ac" else ""}
    data["require"] = _lines("require")
    data["hints"] = [*_lines("hints"), *_ticked("hint")]
    data["solution"] = _lines("solution")
    data["ask"] = {name: _typed_ask(name, raw) for name, raw in asks_of(before).items()}
    return {key: value for key, value in data.items() if value not in ("", [], {})}


def _lines(name: str) -> list[str]:
    return [line for line in (clean_line(line, 4000) for line in typed(name).splitlines()) if line]


def _ticked(name: str) -> list[str]:
    return [clean_line(value, 4000) for value in request.form.getlist(name)]


def _typed_ask(name: str, raw: dict[str, Any]) -> dict[str, Any]:
    if f"{name}-text" not in request.form:
        return raw
    ask = dict(raw)
    ask["text"] = clean_line(typed(f"{name}-text"), 4000)
    for key in ("formula", "unit", "tolerance"):
        ask[key] = clean_line(typed(f"{name}-{key}"), 4000)
    form = ask.get("of circuit")
    if isinstance(form, Mapping):
        take = typed(f"{name}-take", 20)
        ask["of circuit"] = {k: v for k, v in form.items() if k != "take"} | (
            {"take": take} if take in TAKES[1:] else {}
        )
    ask["slips"] = _typed_slips(name, raw)
    order = ("text", "kind", "of circuit", "formula", "unit", "tolerance", "slips")
    kept = {key: ask[key] for key in (*order, *(k for k in ask if k not in order)) if ask.get(key)}
    return kept if "text" in kept else {"text": "?"} | kept


def _typed_slips(ask: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    slips: dict[str, Any] = {}
    for name, slip in (raw.get("slips") or {}).items():
        if typed(f"{ask}-slip-{name}-drop"):
            continue
        formula, says = (clean_line(typed(f"{ask}-slip-{name}-{key}"), 4000) for key in ("formula", "says"))
        slips[name] = {"formula": formula or slip.get("formula", ""), "says": says or slip.get("says", "")}
    for name in _ticked(f"{ask}-offer"):
        formula, says = (clean_line(typed(f"{ask}-offer-{name}-{key}"), 4000) for key in ("formula", "says"))
        if slug_of(name) and formula:
            slips[slug_of(name)] = {"formula": formula, "says": says or "Look at this once more."}
    own = slug_of(typed(f"{ask}-new-name", 100))
    formula, says = (clean_line(typed(f"{ask}-new-{key}"), 4000) for key in ("formula", "says"))
    if formula or says:
        slips[own or slug_of(says)[:40].strip("-") or "own"] = {"formula": formula, "says": says or "Look again."}
    return slips


# -- what the button does ----------------------------------------------------------------------------------------------
def _done(data: dict[str, Any], verb: str, what: str) -> dict[str, Any]:
    asks = asks_of(data)
    if verb == "drop":
        asks.pop(what, None)
    elif verb == "up" and what in asks:
        names = list(asks)
        place = max(0, names.index(what) - 1)
        names.remove(what)
        names.insert(place, what)
        asks = {name: asks[name] for name in names}
    elif verb == "add":
        return _with_new_ask(data, typed("asked", 400))
    elif verb == "formula":
        name, _, number = what.partition(":")
        return _with_formula(data, name, int(number) if number.isdigit() else 0)
    elif verb == "solution":
        template = for_offers(data)
        return data | ({"solution": list(offered_solution(template))} if template else {})
    return {key: value for key, value in (data | {"ask": asks}).items() if value != {}}


def _with_new_ask(data: dict[str, Any], key: str) -> dict[str, Any]:
    """Return a draft with one more ask: its wording and formula as the engine offers them, to be changed at will."""
    drafting = the_club().workshop.drafting
    chosen = next((a for a in askables(drafting.bench(_draft_of(data)).network) if a.key == key), None)
    if chosen is None:
        return data
    asks = asks_of(data)
    name = next(n for n in (chosen.name, *(f"{chosen.name}_{i}" for i in range(2, 100))) if n not in asks)
    asks[name] = {"text": chosen.text, "of circuit": dict(chosen.form)}
    data = _with_formula(data | {"ask": asks}, name, 0)
    template = for_offers(data)
    if template is not None:
        data = {"text": offered_text(template), "caution": offered_caution(template)} | data
        if len(asks) == 1 or not data.get("solution"):
            data["solution"] = list(offered_solution(template))
        else:
            data["solution"] = [*data["solution"], *offered_solution(template)[-1:]]
    return data


def _with_formula(data: dict[str, Any], name: str, number: int) -> dict[str, Any]:
    template = for_offers(data)
    ask = next((ask for ask in template.asks if ask.name == name), None) if template is not None else None
    if template is None or ask is None:
        return data
    current = asks_of(data)[name].get("formula")
    offers = [offer for offer in offered_formulas(template, ask) if offer.text != current]
    if number >= len(offers):
        return data
    asks = asks_of(data)
    raw = asks[name] | {"formula": offers[number].text}
    order = ("text", "kind", "of circuit", "formula", "unit", "tolerance", "slips")
    asks[name] = {key: raw[key] for key in (*order, *(k for k in raw if k not in order)) if key in raw}
    return data | {"ask": asks}
