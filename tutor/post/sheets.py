"""Printed sheets: papers, one common paper, the answer key, the mark sheet; as one page of HTML.

The look stands in `static/sheets.css`; within a PDF that file and the mathematics font are put into the page, because
what Chromium prints may fetch nothing.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from tutor.drawing.maths import math_element, name_mathml
from tutor.learning.ports.post import SheetForm, SheetKind
from tutor.learning.records import Issue
from tutor.learning.round_records import RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.labels import AskPlace, places_of
from tutor.post.style import House, counted
from tutor.questions.cautions import caution_text
from tutor.questions.fragments import html_block, html_line, schematic_of, value_html
from tutor.questions.marking import letter_of

STYLES = "sheets.css"
FONT = "fonts/math.woff2"


@dataclass(frozen=True, slots=True)
class Look:
    """Where the look of sheets stands.

    Attributes:
        static: Folder of the static files.
    """

    static: Path

    def within(self) -> str:
        """Return the style sheet with the font in it."""
        font = base64.b64encode((self.static / FONT).read_bytes()).decode("ascii")
        styles = (self.static / STYLES).read_text(encoding="utf-8")
        return styles.replace(f'url("{FONT}")', f'url("data:font/woff2;base64,{font}")')


def sheets_html(house: House, sheets: Sequence[RoundSheet], form: SheetForm, look: Look, *, styles: str = "") -> str:
    """Return sheets as a page.

    Args:
        house: Whose they are.
        sheets: The papers of a round.
        form: What is printed, and how.
        look: Where its style sheet stands.
        styles: Address of the style sheet; "" to have it within the page.
    """
    title = escape(f"{sheets[0].round.title if sheets else house.club}: {form.kind.value}")
    style = (
        f'<link rel="stylesheet" href="{escape(styles, quote=True)}">' if styles else f"<style>{look.within()}</style>"
    )
    classes = f"{form.size.value.lower()}{' large' if form.large else ''}"
    return (
        f'<!doctype html>\n<html lang="en-GB" class="{classes}"><head><meta charset="utf-8"><title>{title}</title>\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">{style}</head>\n'
        f"<body><main>\n{_body(house, sheets, form)}\n</main></body></html>\n"
    )


def _body(house: House, sheets: Sequence[RoundSheet], form: SheetForm) -> str:
    if form.kind is SheetKind.KEY:
        return _key(house, sheets)
    if form.kind is SheetKind.MARKS:
        return _mark_sheet(house, sheets)
    if form.kind is SheetKind.COMMON:
        return "\n".join(_paper(house, sheet, named=False) for sheet in sheets[:1])
    return "\n".join(_paper(house, sheet, named=True) for sheet in sheets)


# -- papers ----------------------------------------------------------------------------------------------------------
def _paper(house: House, sheet: RoundSheet, *, named: bool) -> str:
    code = shown(sheet.paper.code) if named else ""
    pieces = [f'<article class="paper">{_masthead(house, sheet, named=named)}']
    if sheet.round.note:
        pieces += [f"<p>{escape(line)}</p>" for line in sheet.round.note.split("\n") if line.strip()]
    pieces += [f'<p class="caution">{escape(text)}</p>' for text in _cautions(sheet)]
    places = places_of(sheet.issues)
    for number, issue in enumerate(sheet.issues, start=1):
        own = [place for place in places if place.issue is issue]
        pieces.append(_question(number, issue, own, code))
    return "\n".join([*pieces, "</article>"])


def _masthead(house: House, sheet: RoundSheet, *, named: bool) -> str:
    name = escape(sheet.member.name) if named else ""
    code = shown(sheet.paper.code) if named else "&emsp;&emsp;&emsp;-&emsp;&emsp;&emsp;"
    closes = sheet.round.closes
    until = f'<p class="small">Please hand it in by {escape(house.moment(closes))}.</p>' if closes else ""
    marks = sum(issue.question.marks for issue in sheet.issues)
    return (
        f'<div class="masthead"><div><p class="small">{escape(house.club)}</p><h1>{escape(sheet.round.title)}</h1>'
        f'<p>Name: <span class="name">{name}</span></p>{until}</div>'
        f'<div><p class="code">{code}</p><p class="small">{counted(marks, "mark")} in all</p></div></div>'
    )


def _cautions(sheet: RoundSheet) -> list[str]:
    keys = dict.fromkeys(issue.question.caution for issue in sheet.issues if issue.question.caution)
    return [caution_text(key) for key in keys]


def _question(number: int, issue: Issue, places: list[AskPlace], code: str) -> str:
    question = issue.question
    head = f"<h2>{number}. {escape(question.title)}</h2>"
    small = f'<p class="small">{counted(question.marks, "mark")}{f" · {code}" if code else ""}</p>'
    wording = html_block(question.text) + _givens(issue)
    drawing = ""
    if question.parts:
        # Unlike ids for the same drawing on many sheets: they are joined to titles by them.
        drawing = f"<figure>{schematic_of(question, f'd{issue.id}').svg}</figure>"
    asks = "".join(_ask(place) for place in places)
    return (
        f'<section class="of-paper"><header>{head}{small}</header>'
        f'<div class="side"><div>{wording}</div>{drawing}</div>{asks}</section>'
    )


def _givens(issue: Issue) -> str:
    rows = "".join(
        f'<tr><th scope="row">{math_element(name_mathml(given.name), given.name)}</th>'
        f"<td>{value_html(given.shown)}</td></tr>"
        for given in issue.question.givens
    )
    return f'<table class="givens"><tbody>{rows}</tbody></table>' if rows else ""


def _ask(place: AskPlace) -> str:
    ask = place.ask
    text = f"<p><b>{place.label}</b>&ensp;{html_line(ask.text)}</p>"
    tick = '<span class="tick"></span>'
    if ask.options:
        options = "".join(
            f"<li>{tick}{letter_of(i).upper()}&ensp;{html_line(option.text)}</li>"
            for i, option in enumerate(ask.options, start=1)
        )
        return f'<div class="ask">{text}<ul class="choices long">{options}</ul></div>'
    if ask.kind == "change":
        words = "".join(f"<li>{tick}{word}</li>" for word in ("rises", "falls", "unchanged"))
        return f'<div class="ask">{text}<ul class="choices">{words}</ul></div>'
    unit = f"<span>{escape(ask.printed)}</span>" if ask.printed else ""
    return f'<div class="ask">{text}<div class="field"><span class="line"></span>{unit}</div></div>'


# -- for the trainer -------------------------------------------------------------------------------------------------
def _key(house: House, sheets: Sequence[RoundSheet]) -> str:
    if not sheets:
        return ""
    common = sheets[0].round.common
    rows = "".join(_key_row(sheet, named=not common) for sheet in (sheets[:1] if common else sheets))
    questions = "".join(f"<li>{escape(issue.question.title)}</li>" for issue in sheets[0].issues)
    return (
        f'<article class="page"><p class="small">{escape(house.club)}</p>'
        f"<h1>Answer key: {escape(sheets[0].round.title)}</h1><ol>{questions}</ol>"
        f'<table class="ruled"><thead><tr><th scope="col">Paper</th><th scope="col">Answers</th></tr></thead>'
        f"<tbody>{rows}</tbody></table></article>"
    )


def _key_row(sheet: RoundSheet, *, named: bool) -> str:
    who = f'{escape(sheet.member.name)}<br><span class="mono">{shown(sheet.paper.code)}</span>' if named else "All"
    keys = "".join(f"<span><b>{place.label}</b>&ensp;{_key_of(place)}</span>" for place in places_of(sheet.issues))
    return f'<tr><th scope="row">{who}</th><td><div class="keys">{keys}</div></td></tr>'


def _key_of(place: AskPlace) -> str:
    for index, option in enumerate(place.ask.options, start=1):
        if option.right:
            return f"{letter_of(index).upper()}: {html_line(option.text)}"
    band = f' <span class="small">± {escape(place.ask.tolerance)}</span>' if place.ask.tolerance else ""
    return value_html(place.ask.shown) + band


def _mark_sheet(house: House, sheets: Sequence[RoundSheet]) -> str:
    if not sheets:
        return ""
    # A column for each question, not for each ask: a dozen of them fit the page.
    head = "".join(
        f'<th scope="col">{number}<br><span class="small">of {issue.question.marks}</span></th>'
        for number, issue in enumerate(sheets[0].issues, start=1)
    )
    rows = "".join(
        f'<tr><th scope="row">{escape(sheet.member.name)}</th><td class="mono">{shown(sheet.paper.code)}</td>'
        f"{'<td></td>' * (len(sheet.issues) + 1)}</tr>"
        for sheet in sheets
    )
    of = sum(issue.question.marks for issue in sheets[0].issues)
    return (
        f'<article class="page"><p class="small">{escape(house.club)}</p>'
        f"<h1>Mark sheet: {escape(sheets[0].round.title)}</h1>"
        f'<table class="ruled"><thead><tr><th scope="col">Name</th><th scope="col">Paper</th>{head}'
        f'<th scope="col">Sum<br><span class="small">of {of}</span></th></tr></thead>'
        f"<tbody>{rows}</tbody></table></article>"
    )
