"""Small helps for the page templates: times, counts, shares."""

from __future__ import annotations

from datetime import date, datetime, tzinfo

from flask import Flask
from markupsafe import Markup

from tutor.drawing.needle import needle_svg
from tutor.learning.needle import Score
from tutor.learning.rounds.codes import shown as paper_code
from tutor.questions.fragments import html_line
from tutor.questions.text import Filled


def register(app: Flask, zone: tzinfo) -> None:
    """Make the filters known to the templates; times are shown in the club's zone."""
    app.jinja_env.globals.update(needle=needle)
    app.jinja_env.filters.update(
        day=lambda time: day(time, zone),
        moment=lambda time: moment(time, zone),
        hundredths=hundredths,
        counted=counted,
        paper_code=paper_code,
        line=line,
        lower_first=lower_first,
    )


def line(filled: Filled) -> Markup:
    """Return a question's text as HTML within a line."""
    return Markup(html_line(filled))  # noqa: S704 - made safe by questions.fragments


def day(time: date, zone: tzinfo) -> str:
    """Return a day such as 3 March 2026."""
    there = time.astimezone(zone) if isinstance(time, datetime) else time
    return f"{there.day} {there:%B %Y}"


def moment(time: datetime, zone: tzinfo) -> str:
    """Return day and time of a zone, such as 3 March 2026, 19:42 GMT."""
    there = time.astimezone(zone)
    return f"{day(there, zone)}, {there:%H:%M %Z}"


def hundredths(share: float) -> int:
    """Return a share of 1 as whole hundredths."""
    return round(100 * share)


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: 1 mark, 2 marks."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def lower_first(text: str) -> str:
    """Return a title as it stands in a sentence; abbreviations stay.

    >>> lower_first("Dividers, sources and meters"), lower_first("RC networks")
    ('dividers, sources and meters', 'RC networks')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def needle(score: Score, name: str) -> Markup:
    """Return the drawn meter of a score."""
    title = f"Needle at {hundredths(score.mean)} of 100, band from {hundredths(score.low)} to {hundredths(score.high)}"
    return Markup(needle_svg(score.mean, score.low, score.high, uid=f"needle-{name}", title=title))  # noqa: S704 - numbers
