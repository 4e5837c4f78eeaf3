"""The circuit bench: a table of parts beside their drawing. One form; every button keeps what is typed."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from flask import redirect, render_template, request, url_for
from markupsafe import Markup

from tutor.learning.drafts import Draft
from tutor.learning.errors import ClosedError
from tutor.learning.workshop.errors import EditClashError
from tutor.questions.authoring.cleaning import clean_line
from tutor.questions.authoring.rows import KINDS, MOST_PINS, Row, free_reference, moved, parts_of, rows_of, with_rows
from tutor.questions.authoring.sketch import drawn, sketch, valve_types, with_figures_of_type
from tutor.questions.authoring.value_words import WAYS, ValueWordsError
from tutor.web.access import member, trainers_only
from tutor.web.club import the_club
from tutor.web.workshop.blueprint import Answer, clash, doing, pages, save, show, typed, version_seen

STEP = 2  # grid units that a press of an arrow moves a part
_ARROWS = {"left": (-STEP, 0), "right": (STEP, 0), "up": (0, -STEP), "down": (0, STEP)}


@dataclass(frozen=True, slots=True)
class BenchView:
    """The drawing of a circuit, with what is wrong with it.

    Attributes:
        svg: The drawing, or "" where there is none.
        words: The circuit in words.
        at_row: Reference → faults.
        overall: Faults of the whole.
        flaws: What is not as it should be in the drawing.
    """

    svg: Markup
    words: str
    at_row: dict[str, tuple[str, ...]]
    overall: tuple[str, ...]
    flaws: tuple[str, ...]


def bench_view(draft: Draft) -> BenchView:
    """Return the drawing of a draft's circuit with its faults."""
    bench = the_club().workshop.drafting.bench(draft)
    rows = rows_of(draft.data)
    words = {row.reference: row.words.get("type") or next(iter(row.figures.values()), "") for row in rows}
    made = sketch(drawn(bench.network, parts_of(draft.data), words), bench.network.nodes)
    return BenchView(
        svg=Markup(made[0].svg if made else ""),  # noqa: S704 - made safe by drawing.schematic
        words=made[0].words if made else "",
        at_row=dict(bench.at_row),
        overall=bench.overall,
        flaws=made[0].faults if made else (),
    )


@pages.get("/drafts/<draft>/circuit")
@trainers_only
def circuit(draft: str) -> Answer:
    """Show the table and the drawing."""
    found = the_club().workshop.drafting.draft(draft)
    return _page(found, rows_of(found.data))


def _page(draft: Draft, rows: list[Row], refused: dict[str, str] | None = None, status: int = 200) -> Answer:
    return show(
        "circuit.html",
        draft,
        status,
        rows=rows,
        kinds=KINDS,
        most_pins=MOST_PINS,
        view=bench_view(draft),
        refused=refused or {},
        shared=draft.data.get("circuit") if isinstance(draft.data.get("circuit"), str) else "",
        ways=WAYS,
        types=valve_types(),
        new={key: typed(f"new-{key}", 200) for key in ("kind", "reference", "value")} if refused else {},
    )


@pages.post("/drafts/<draft>/circuit")
@trainers_only
def change_circuit(draft: str) -> Answer:
    """Keep what is typed, and do what the button says."""
    found = the_club().workshop.drafting.draft(draft)
    verb, what = doing()
    rows = _typed_rows(found)
    data, refused = _with_typed(found.data, rows)
    if refused:
        return _page(found, rows, refused, 422)
    data = _done(data, verb, what)
    return save(draft, data, _says(verb, what), "workshop.circuit", "new-part" if verb == "add" else "drawing")


def _says(verb: str, what: str) -> str:
    if verb == "remove":
        return f"{what} taken out"
    if verb in (*_ARROWS, "turn", "free", "arrange", "move"):
        return f"{what.split(':')[0]} moved" if what else "parts arranged"
    return "a part added" if verb == "add" else "circuit changed"


def _with_typed(data: Any, rows: list[Row]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return a draft with the rows as they are typed, and what could not be read, by reference."""
    if not rows and not parts_of(data):
        return dict(data), {}
    refused: dict[str, str] = {}
    seen: set[str] = set()
    for row in rows:
        if not re.fullmatch(r"[A-Za-z]\w{0,30}", row.reference, re.ASCII):
            refused[row.reference] = "A reference is a letter, then letters or figures, such as R1."
        elif row.reference in seen:
            refused[row.reference] = "Two parts have this reference; give one of them another."
        seen.add(row.reference)
        try:
            with_rows({}, [row])
        except ValueWordsError as error:
            refused[row.reference] = str(error)
    return (dict(data), refused) if refused else (with_rows(data, rows), {})


def _done(data: dict[str, Any], verb: str, what: str) -> dict[str, Any]:
    """Return a draft after a button that moves, turns or takes out a part."""
    if verb == "remove":
        return with_rows(data, [row for row in rows_of(data) if row.reference != what])
    if verb in _ARROWS or verb in ("turn", "move", "arrange"):
        reference, _, by = what.partition(":")
        data = _arranged(data)
        steps = _ARROWS.get(verb) or _steps(by)
        part = parts_of(data).get(reference)
        if part is None or "at" not in part:
            return data
        place = int(part["at"][0]) + steps[0], int(part["at"][1]) + steps[1]
        turned = int(part.get("turned", 0)) + (90 if verb == "turn" else 0)
        return moved(data, reference, place, turned)
    if verb == "free":
        for reference in parts_of(data):
            data = moved(data, reference, None)
    return data


def _steps(by: str) -> tuple[int, int]:
    found = re.fullmatch(r"(-?\d{1,3}):(-?\d{1,3})", by)
    return (int(found[1]), int(found[2])) if found else (0, 0)


def _arranged(data: dict[str, Any]) -> dict[str, Any]:
    """Return a draft in which every part has a place of its own: the one that the drawing gave it, to begin with."""
    bench = the_club().workshop.drafting.bench(_as_draft(data))
    made = sketch(drawn(bench.network, parts_of(data), {}), bench.network.nodes)
    for reference, spot in (made[1].spots if made else {}).items():
        if "at" not in parts_of(data).get(reference, {}):
            data = moved(data, reference, (spot.x, spot.y), spot.turn)
    return data


def _as_draft(data: dict[str, Any]) -> Draft:
    now = the_club().workshop.drafting.clock.now()
    return Draft(id="", data=data, version=0, origin="", owner=None, made=now, changed=now, changed_by=None)


# -- what is typed -----------------------------------------------------------------------------------------------------
def _typed_rows(draft: Draft) -> list[Row]:
    """Return the rows as they are typed; a row whose fields did not come along stays as it was."""
    rows = [_typed_row(index, row) for index, row in enumerate(rows_of(draft.data))]
    new = _new_row([row.reference for row in rows])
    return [*rows, new] if new is not None else rows


def _typed_row(index: int, row: Row) -> Row:
    if not row.known or f"r{index}-reference" not in request.form:
        return row
    kind = typed(f"r{index}-kind", 60)
    kind = kind if kind in KINDS else row.kind
    shape = KINDS[kind]
    count = len(shape.pins)
    typed_row = Row(
        reference=clean_line(typed(f"r{index}-reference", 60)) or row.reference,
        kind=kind,
        nodes=tuple(clean_line(typed(f"r{index}-node{n}", 60)) for n in range(count)),
        figures={key: clean_line(typed(f"r{index}-{key}", 300)) for key in shape.figures},
        words={key: clean_line(typed(f"r{index}-{key}", 60)) for key in shape.words},
        raw=row.raw if kind == row.kind else {},
    )
    return with_figures_of_type(typed_row)


def _new_row(taken: list[str]) -> Row | None:
    nodes = [clean_line(typed(f"new-node{n}", 60)) for n in range(MOST_PINS)]
    kind = typed("new-kind", 60)
    # The last node is earth to begin with, so that it alone asks for no part.
    if kind not in KINDS or not any(nodes[:1]):
        return None
    shape = KINDS[kind]
    pins = len(shape.pins)
    value = clean_line(typed("new-value", 300))
    given = nodes[:pins]
    given = [node or "0" for node in given] if pins == 2 else given
    row = Row(
        reference=clean_line(typed("new-reference", 60)) or free_reference(kind, taken),
        kind=kind,
        nodes=tuple(given),
        figures=dict.fromkeys(shape.figures, "") | ({} if "type" in shape.words else {shape.figures[0]: value}),
        words=dict.fromkeys(shape.words, "") | ({"type": value} if "type" in shape.words else {}),
    )
    return with_figures_of_type(row)


# -- undo and preview --------------------------------------------------------------------------------------------------
@pages.post("/drafts/<draft>/undo")
@trainers_only
def undo(draft: str) -> Answer:
    """Take back the last change."""
    drafting = the_club().workshop.drafting
    try:
        drafting.undo(member(), draft, version_seen())
    except EditClashError as error:
        return clash(error)
    except ClosedError as error:
        return _page(drafting.draft(draft), rows_of(drafting.draft(draft).data), {"": str(error)}, 409)
    back = typed("back", 40)
    endpoint = "workshop.desk" if back == "desk" else "workshop.circuit"
    return redirect(url_for(endpoint, draft=draft), 303)


@pages.post("/drafts/<draft>/circuit/preview")
@trainers_only
def preview_circuit(draft: str) -> Answer:
    """Return the drawing of what is typed so far; nothing is kept."""
    found = the_club().workshop.drafting.draft(draft)
    data, refused = _with_typed(found.data, _typed_rows(found))
    view = bench_view(replace(found, data=data))
    return render_template("workshop/drawing.html", view=view, refused=refused, live=True)
