"""The HTML part of letters: the same words, laid out calmly, with the drawings between them.

Mail programs show neither MathML nor most of CSS, so formulas stay in words, styles stand on the elements, and drawings
come as attachments that the text points at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape

from tutor.learning.ports.post import Advice
from tutor.learning.records import Issue
from tutor.learning.round_records import RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.labels import places_of
from tutor.post.marks_text import key_words, late_words, total
from tutor.post.paper_text import ANSWER, how_to_answer, manner, membership
from tutor.post.pictures import Picture
from tutor.post.style import House, counted, one_line, plain_words
from tutor.questions.cautions import caution_text
from tutor.questions.marking import letter_of
from tutor.questions.marks import Verdict

_BODY = (
    "margin:0;padding:16px;background:#fffdf7;color:#1f1d1a;font:16px/1.5 Georgia,'DejaVu Serif',serif;max-width:44em"
)
_RULE = "border:0;border-top:1px solid #c9bfa8;margin:20px 0 8px"
_QUIET = "color:#5d574c;font-size:15px"
_CAUTION = "border:2px solid #7a2e1f;padding:6px 12px;font-size:15px"
_FIELD = "margin:4px 0 14px;padding:4px 0 4px 12px;border-left:3px solid #c9bfa8"
_SIDES = {Verdict.RIGHT: "#23522f", Verdict.FOLLOW_THROUGH: "#1f4a63", Verdict.RIGHT_UNIT_WRONG: "#1f4a63"}

Pictures = Mapping[str, Picture]
"""Issue → its drawing."""


def paper_html(house: House, sheet: RoundSheet, pictures: Pictures) -> str:
    """Return a paper as HTML."""
    pieces = [
        _p(house.club, _QUIET),
        f'<h1 style="font-size:22px;margin:0">{escape(sheet.round.title)}</h1>',
        _p(f"Paper {shown(sheet.paper.code)}, for {sheet.member.name}"),
    ]
    if sheet.round.closes is not None:
        pieces.append(_p(f"Please answer by {house.moment(sheet.round.closes)}."))
    pieces += [_p(line) for line in sheet.round.note.split("\n") if line.strip()]
    pieces.append(_p(how_to_answer(sheet), _QUIET))
    warned: set[str] = set()
    for number, issue in enumerate(sheet.issues, start=1):
        pieces += _heading(number, issue.question.title, counted(issue.question.marks, "mark"))
        if issue.question.caution and issue.question.caution not in warned:
            warned.add(issue.question.caution)
            pieces.append(_p(f"Caution: {caution_text(issue.question.caution)}", _CAUTION))
        pieces += _question(sheet, issue, pictures)
    pieces.append(f'<hr style="{_RULE}">')
    foot = f"The code of this paper is {shown(sheet.paper.code)}. Please leave it in the subject of your reply."
    pieces += [_p(foot, _QUIET), _p(membership(house), _QUIET)]
    return _page(sheet.round.title, pieces)


def _question(sheet: RoundSheet, issue: Issue, pictures: Pictures) -> Iterator[str]:
    question = issue.question
    yield from (_p(paragraph) for paragraph in plain_words(question.text).split("\n\n"))
    if question.givens:
        yield _p("Given: " + "; ".join(f"{given.name} = {given.shown}" for given in question.givens) + ".")
    picture = pictures.get(issue.id)
    if picture is not None:
        yield (
            f'<p><img src="cid:{escape(picture.cid)}" alt="{escape(picture.words, quote=True)}" '
            f'width="{picture.width}" style="max-width:100%;height:auto;background:#fff"></p>'
        )
    for place in places_of(sheet.issues):
        if place.issue is not issue:
            continue
        yield _p(f"{place.label}. {plain_words(place.ask.text)}")
        options = [f"{letter_of(i).upper()}: {plain_words(o.text)}" for i, o in enumerate(place.ask.options, start=1)]
        yield from (f'<p style="margin:2px 0 2px 28px">{escape(option)}</p>' for option in options)
        yield f'<p style="{_FIELD}">{ANSWER} {place.label}{escape(manner(place.ask))}:</p>'


def marks_html(house: House, sheet: RoundSheet, advice: Advice) -> str:
    """Return the marks of a paper as HTML."""
    earned, of = total(sheet)
    pieces = [
        _p(f"Dear {sheet.member.name},"),
        _p(f'Thank you for your answers to "{sheet.round.title}", paper {shown(sheet.paper.code)}.'),
        f'<p style="font-size:20px">You have <b>{earned} of {counted(of, "mark")}</b>.</p>',
    ]
    if sheet.paper.late:
        pieces.append(_p(late_words(house, sheet)))
    for number, issue in enumerate(sheet.issues, start=1):
        pieces += _heading(number, issue.question.title, "")
        pieces += [_p(paragraph) for paragraph in plain_words(issue.question.text).split("\n\n")]
        pieces += _marks(sheet, issue)
    pieces.append(f'<hr style="{_RULE}">')
    if advice.next:
        pieces.append(_p(f"What to practise next: {advice.next}"))
    pieces.append(_p("If you think that something was read or marked wrongly, reply to this mail: a person reads it."))
    pieces.append(_p(house.club))
    return _page(sheet.round.title, pieces)


def _marks(sheet: RoundSheet, issue: Issue) -> Iterator[str]:
    last = issue.last
    places = [place for place in places_of(sheet.issues) if place.issue is issue]
    for place in places:
        yield _p(f"{place.label}. {plain_words(place.ask.text)}")
        mark = last.mark.asks[place.ask.name] if last else None
        verdict = mark.verdict if mark else Verdict.BLANK
        says = f" {escape(plain_words(mark.says))}" if mark and mark.says else ""
        wrote = f"<br>You wrote “{escape(one_line(mark.typed))}”" if mark and mark.typed.strip() else ""
        read = f", read as {escape(mark.read)}." if wrote and mark and mark.read else "." if wrote else ""
        side = _SIDES.get(verdict, "#7a2e1f")
        yield (
            f'<p style="{_FIELD};border-color:{side}"><b style="color:{side}">{verdict.words}</b>: '
            f"{mark.marks if mark else 0} of {counted(place.ask.marks, 'mark')}.{says}{wrote}{read}</p>"
        )
    yield _p("The worked solution:")
    steps = "".join(f"<li>{escape(plain_words(step))}</li>" for step in issue.question.solution)
    yield f'<ol style="margin-top:0">{steps}</ol>'
    keys = "; ".join(f"{place.label}: {key_words(place.ask)}" for place in places)
    yield f"<p><b>The answer{'s' if len(places) > 1 else ''}:</b> {escape(keys)}.</p>"


def words_html(text: str) -> str:
    """Return a short letter's words as HTML."""
    paragraphs = [" ".join(paragraph.split("\n")) for paragraph in text.strip().split("\n\n")]
    return _page("", [_p(paragraph) for paragraph in paragraphs])


def _heading(number: int, title: str, marks: str) -> list[str]:
    small = f' <span style="{_QUIET};font-weight:normal">{marks}</span>' if marks else ""
    return [
        f'<hr style="{_RULE}">',
        f'<h2 style="font-size:18px;margin:0 0 8px">Question {number}: {escape(title)}{small}</h2>',
    ]


def _p(text: str, style: str = "") -> str:
    return f"<p{f' style={chr(34)}{style}{chr(34)}' if style else ''}>{escape(text)}</p>"


def _page(title: str, pieces: list[str]) -> str:
    inner = "\n".join(pieces)
    return (
        f'<!doctype html>\n<html lang="en-GB"><head><meta charset="utf-8"><title>{escape(title)}</title></head>\n'
        f'<body style="{_BODY}">\n{inner}\n</body></html>\n'
    )
