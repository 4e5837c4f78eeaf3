"""A question's texts for page, mail and terminal, and its drawing.

HTML comes out safe by construction: words go through a Markdown reader that lets no HTML, link or picture pass,
formulas are MathML made from trees, and everything else is escaped.
"""

from __future__ import annotations

import json
import re
from functools import cache, lru_cache
from html import escape
from typing import Any

from tutor.circuits.expressions import Expression, Name, read_expression
from tutor.drawing.maths import math_element, mathml, plain, quantity_mathml
from tutor.drawing.plots import Picture
from tutor.drawing.schematic import Drawing, DrawnPart, Layout, lay_out
from tutor.questions.drawn_plot import picture_of
from tutor.questions.question import Question
from tutor.questions.text import Filled, FilledSpan

_FIRST_PLACEHOLDER = 0xE000
_PRIVATE = re.compile("[\ue000-\uf8ff]")
_NOT_HERE = [
    "image", "link", "autolink", "reference", "entity", "code", "fence", "html_block", "html_inline", "backticks",
    "table", "heading", "lheading",
]  # fmt: skip


# -- HTML ------------------------------------------------------------------------------------------------------------
def html_block(filled: Filled) -> str:
    """Return a text as paragraphs of HTML."""
    return _html(filled, block=True)


def html_line(filled: Filled) -> str:
    """Return a text as HTML within a line."""
    return _html(filled, block=False)


def _html(filled: Filled, *, block: bool) -> str:
    pieces: list[str] = []
    spans: list[FilledSpan] = []
    for piece in filled:
        if isinstance(piece, str):
            pieces.append(_PRIVATE.sub("", piece))
        else:
            spans.append(piece)
            pieces.append(chr(_FIRST_PLACEHOLDER + len(spans) - 1))
    text = "".join(pieces)
    rendered: str = _markdown().render(text) if block else _markdown().renderInline(text)
    return _PRIVATE.sub(lambda match: span_html(spans[ord(match[0]) - _FIRST_PLACEHOLDER]), rendered)


@cache
def _markdown() -> Any:
    from markdown_it import MarkdownIt

    # No entities: `&#xE000;` would otherwise turn into a placeholder. No links: a question leads nowhere else, and a
    # placeholder in an attribute would put MathML there.
    return MarkdownIt("js-default", {"html": False, "linkify": False, "typographer": False}).disable(_NOT_HERE)


def span_html(span: FilledSpan) -> str:
    """Return a code span as MathML; a step that also reads in figures breaks at each sign of equality."""
    if span.alone:
        return _value_html(span.shown)
    trees = [read_expression(member) for member in span.members]
    first, *others = trees
    rows = [math_element(mathml(first), plain(first))]
    rows += [_equal(mathml(tree), plain(tree)) for tree in others]
    last = trees[-1]
    if span.numbers:
        rows.append(_equal(mathml(last, span.numbers), plain(last, span.numbers)))
    if span.shown:
        rows.append(_equal(quantity_mathml(span.shown), span.shown))
    if len(rows) == 2 and isinstance(first, Name):
        inner = f"{mathml(first)}<mo>=</mo>{quantity_mathml(span.shown) if span.shown else mathml(last)}"
        return math_element(inner, f"{plain(first)} = {span.shown or plain(last)}")
    return rows[0] if len(rows) == 1 else f'<span class="chain">{" ".join(rows)}</span>'


def _equal(inner: str, alternative: str) -> str:
    return math_element(f"<mo>=</mo>{inner}", f"= {alternative}")


def _value_html(shown: str) -> str:
    if shown[:1].isdigit() or shown[:1] in "−-":
        return math_element(quantity_mathml(shown), shown)
    return f'<span class="word">{escape(shown)}</span>'


def value_html(shown: str) -> str:
    """Return a shown value as HTML."""
    return _value_html(shown)


# -- plain text ------------------------------------------------------------------------------------------------------
def text_of(filled: Filled) -> str:
    """Return a text as plain words, formulas on one line."""
    pieces = [piece if isinstance(piece, str) else _span_text(piece) for piece in filled]
    return "".join(pieces).strip()


def _span_text(span: FilledSpan) -> str:
    if span.alone:
        return span.shown
    trees = [read_expression(member) for member in span.members]
    parts = [plain(tree) for tree in trees]
    last: Expression = trees[-1]
    if span.numbers:
        parts.append(plain(last, span.numbers))
    if span.shown:
        parts.append(span.shown)
    return " = ".join(parts)


# -- drawing ---------------------------------------------------------------------------------------------------------
def drawing_parts(question: Question) -> list[DrawnPart]:
    """Return a question's parts in the drawing's own terms."""
    return [
        DrawnPart(
            reference=part["reference"],
            kind=part["kind"],
            nodes=dict(part["nodes"]),
            value=part["value"],
            at=tuple(part["at"]) if part.get("at") else None,
            turn=part.get("turned", 0),
            polarised=part.get("polarised", False),
            flavour=part.get("flavour", ""),
            pins=part.get("pins", {}),
            of=tuple(part.get("coils") or ([part["control"]] if "control" in part else [])),
        )
        for part in question.parts
    ]


def schematic_of(question: Question, uid: str) -> Drawing:
    """Return the drawing of a question's circuit."""
    parts = drawing_parts(question)
    wiring = [[p.reference, p.kind, dict(p.nodes), p.at, p.turn, p.polarised, p.flavour, p.of] for p in parts]
    layout = _laid_out(json.dumps(wiring, ensure_ascii=False))
    title = f"Circuit: {question.title}"
    drawing = layout.render(parts, title=title, uid=uid, node_labels=question.nodes)
    # A node's name is a help, not a must: where there is no room for it, it is left out.
    cramped = {node for node in question.nodes if any(f"label of node {node} " in fault for fault in drawing.faults)}
    if cramped:
        fitting = {node: label for node, label in question.nodes.items() if node not in cramped}
        drawing = layout.render(parts, title=title, uid=uid, node_labels=fitting)
    return drawing


def plot_of(question: Question, uid: str) -> Picture:
    """Return the picture of a question's plot, which it must have."""
    assert question.plot is not None
    return picture_of(question.plot, title=question.title, uid=uid)


@lru_cache(maxsize=512)
def _laid_out(wiring: str) -> Layout:
    """Return where a circuit's parts stand: the slow half of a drawing, the same for every question of a template."""
    return lay_out(
        [
            DrawnPart(
                reference=reference,
                kind=kind,
                nodes=nodes,
                at=tuple(at) if at else None,
                turn=turn,
                polarised=polarised,
                flavour=flavour,
                of=tuple(of),
            )
            for reference, kind, nodes, at, turn, polarised, flavour, of in json.loads(wiring)
        ]
    )
