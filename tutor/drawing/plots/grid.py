"""The paper that a panel is drawn on: its frame, its ruled lines, the figures beside them, and what is plotted."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.drawing.plots import texts
from tutor.drawing.plots.frame import Frame
from tutor.drawing.plots.geometry import Box
from tutor.drawing.plots.texts import number

TITLE_ROOM = 22.0
"""Pixels for the line of text above a panel or below its figures."""

FIGURES_ROOM = 19.0
"""Pixels for the figures below a panel."""

_BESIDE = 5.0
_LEAST_LEFT = 26.0


@dataclass(frozen=True, slots=True)
class Paper:
    """The ruled lines of a panel as SVG, its texts as SVG, and the room that the texts take."""

    lines: str
    texts: str
    boxes: tuple[tuple[str, Box], ...]


def left_room(frame: Frame) -> float:
    """Return the pixels that the figures left of a panel need."""
    return max(_LEAST_LEFT, 2 * _BESIDE + max((texts.width(tick.label) for tick in frame.y.ticks), default=0.0))


def right_room(frame: Frame) -> float:
    """Return the pixels right of a panel that its last figure below needs."""
    overhang = (frame.across(tick.value) + texts.width(tick.label) / 2 - frame.right for tick in frame.x.ticks[-1:])
    return max(4.0, *overhang) if frame.x.ticks else 4.0


def paper(frame: Frame, *, title_at: float, labelled: bool) -> Paper:
    """Return the paper of a panel.

    Args:
        frame: Where.
        title_at: The baseline of the upright axis's title.
        labelled: Whether the axis across has its figures and its title below this panel.
    """
    written, boxes = [], []

    def write(name: str, text: str, x: float, baseline: float, anchor: str, css: str = "") -> None:
        width = texts.width(text)
        start = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
        boxes.append((name, (start, baseline - texts.ASCENT * texts.SIZE, start + width, baseline + 4)))
        style = f' class="{css}"' if css else ""
        how = "" if anchor == "start" else f' text-anchor="{anchor}"'
        written.append(f'<text{style}{how} x="{number(x)}" y="{number(baseline)}">{texts.markup(text)}</text>')

    write("title", frame.y.title, 2.0, title_at, "start", "title")
    for tick in frame.y.ticks:
        write("figure", tick.label, frame.left - _BESIDE, frame.down(tick.value) + 0.36 * texts.SIZE, "end")
    if labelled:
        for tick in frame.x.ticks:
            write("figure", tick.label, frame.across(tick.value), frame.foot + 16, "middle")
        write("title", frame.x.title, frame.right, frame.foot + 16 + TITLE_ROOM - 2, "end", "title")
    return Paper(_ruled(frame), f'<g fill="currentColor" stroke="none">{"".join(written)}</g>', tuple(boxes))


def _ruled(frame: Frame) -> str:
    x, y = frame.x, frame.y
    small = _lines(frame, x.smalls, y.smalls)
    large = _lines(frame, tuple(tick.value for tick in x.ticks), tuple(tick.value for tick in y.ticks))
    return (
        f'<path class="grid small" stroke-width="0.5" stroke-opacity="0.35" d="{small}"/>'
        f'<path class="grid" stroke-width="0.7" stroke-opacity="0.7" d="{large}"/>'
        f'<path class="frame" stroke-width="1.2" d="M{number(frame.left)} {number(frame.top)}H{number(frame.right)}'
        f'V{number(frame.foot)}H{number(frame.left)}Z"/>'
    )


def _lines(frame: Frame, across: tuple[float, ...], upwards: tuple[float, ...]) -> str:
    uprights = (
        f"M{number(frame.across(value))} {number(frame.top)}V{number(frame.foot)}"
        for value in across
        if frame.left < frame.across(value) < frame.right
    )
    levels = (
        f"M{number(frame.left)} {number(frame.down(value))}H{number(frame.right)}"
        for value in upwards
        if frame.top < frame.down(value) < frame.foot
    )
    return "".join((*uprights, *levels))
