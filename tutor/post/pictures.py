"""Drawings as pictures for mail: PNG where a Chromium is at hand, else the SVG itself."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from html import escape

from tutor.learning.records import Issue
from tutor.post.chromium import Chromium, ChromiumError
from tutor.questions.fragments import schematic_of

_log = logging.getLogger(__name__)

ZOOM = 1.25
"""Size of a drawing in a mail against that on the site; letters in it are then about those of the text."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing.

    Attributes:
        cid: Content-ID, without its angle brackets.
        data: The file.
        subtype: `png` or `svg+xml`.
        width: As it is shown, in pixels.
        words: The circuit in words.
    """

    cid: str
    data: bytes
    subtype: str
    width: int
    words: str


def picture_of(issue: Issue, cid: str, browser: Chromium | None) -> Picture | None:
    """Return the drawing of a question, or None when it has none."""
    if not issue.question.parts:
        return None
    drawing = schematic_of(issue.question, "d")
    width = round(drawing.width * ZOOM)
    if browser is not None:
        try:
            data = browser.png(_page(drawing.svg, width), width, round(drawing.height * ZOOM))
            return Picture(cid, data, "png", width, drawing.words)
        except ChromiumError:
            _log.warning("the drawing of %s goes out as SVG", issue.question.template, exc_info=True)
    svg = drawing.svg.replace("currentColor", "#000").replace(
        "<svg ", '<svg font-family="Helvetica, Arial, sans-serif" ', 1
    )
    return Picture(cid, svg.encode(), "svg+xml", width, drawing.words)


def _page(svg: str, width: int) -> str:
    style = "body{margin:0;background:#fff;color:#000;font-family:'DejaVu Sans',sans-serif}"
    style += "svg{display:block;height:auto;width:"
    return (
        f"<!doctype html><html><head><title>{escape('Drawing')}</title><style>{style}{width}px}}</style></head>"
        f"<body>{svg}</body></html>"
    )
