"""Small helps for the page templates: times, counts, shares."""

from __future__ import annotations

from datetime import UTC, datetime

from flask import Flask
from markupsafe import Markup

from tutor.drawing.needle import needle_svg
from tutor.learning.needle import Score


def register(app: Flask) -> None:
    """Make the filters known to the templates."""
    app.jinja_env.globals.update(needle=needle)
    app.jinja_env.filters.update(day=day, moment=moment, hundredths=hundredths, counted=counted)


def day(time: datetime) -> str:
    """Return a day such as 3 March 2026."""
    return f"{time.day} {time:%B %Y}"


def moment(time: datetime) -> str:
    """Return day and time in UTC, such as 3 March 2026, 19:42 UTC."""
    utc = time.astimezone(UTC)
    return f"{day(utc)}, {utc:%H:%M} UTC"


def hundredths(share: float) -> int:
    """Return a share of 1 as whole hundredths."""
    return round(100 * share)


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: 1 mark, 2 marks."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def needle(score: Score, name: str) -> Markup:
    """Return the drawn meter of a score."""
    title = f"Needle at {hundredths(score.mean)} of 100, band from {hundredths(score.low)} to {hundredths(score.high)}"
    return Markup(needle_svg(score.mean, score.low, score.high, uid=f"needle-{name}", title=title))  # noqa: S704 - numbers
