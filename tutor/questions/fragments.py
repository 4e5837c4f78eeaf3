"""A question's texts for page, mail and terminal, and its drawing.

HTML comes out safe by construction: words go through a Markdown reader that lets no HTML, link or picture pass,
formulas are MathML made from trees, and everything else is escaped.
"""

from __future__ import annotations

import re
from functools import cache
from html import escape
from typing import Any

from tutor.circuits.expressions import Expression, Name, read_expression
from tutor.drawing.maths import math_element, mathml, plain, quantity_mathml
from tutor.drawing.schematic import Drawing, DrawnPart, draw_schematic
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
        )
        for part in question.parts
    ]


def schematic_of(question: Question, uid: str) -> Drawing:
    """Return the drawing of a question's circuit."""
    return draw_schematic(drawing_parts(question), title=f"Circuit: {question.title}", uid=uid)
