"""From panels to one SVG element, with the plot in words, its figures as tables, and what is not as it should be.

No style attribute is written: a strict content policy would drop it. Everything is drawn in the colour of the
surrounding text unless a style sheet colours the classes `c1` to `c8`, `mark`, `grid`, `band` and `bar`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tutor.drawing.plots import texts
from tutor.drawing.plots.axes import LENGTH, Axis
from tutor.drawing.plots.errors import PlotError
from tutor.drawing.plots.frame import Frame
from tutor.drawing.plots.geometry import outline_of
from tutor.drawing.plots.grid import FIGURES_ROOM, TITLE_ROOM, Paper, left_room, paper, right_room
from tutor.drawing.plots.marks import Curve, Drawn, Mark, Upright
from tutor.drawing.plots.places import Wanted, place
from tutor.drawing.plots.room import Room
from tutor.drawing.plots.table import Table, table_of, words_of
from tutor.drawing.plots.texts import number
from tutor.drawing.schematic.labels import Place
from tutor.drawing.schematic.text import marked_up

HEIGHT = 210.0
"""Pixels of a usual panel."""

_MARGIN = 4.0
_HEADROOM = 17.0
_BETWEEN = 12.0
_ON_EDGE = 0.6
_KEY_ROOM = 18
_SAMPLE = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """A pair of axes and what is drawn between them.

    Attributes:
        x: The axis across; the panels of a plot share it.
        y: The upright axis.
        marks: What is drawn, the first lowest.
        height: Pixels.
    """

    x: Axis
    y: Axis
    marks: tuple[Mark, ...]
    height: float = HEIGHT


@dataclass(frozen=True, slots=True)
class Picture:
    """A finished plot.

    Attributes:
        svg: One `svg` element, ready to stand in a page.
        words: The plot in words.
        tables: The figures of each panel.
        faults: Labels that found no free place.
        width: Pixels.
        height: Pixels.
    """

    svg: str
    words: str
    tables: tuple[Table, ...]
    faults: tuple[str, ...]
    width: int
    height: int

    @property
    def table(self) -> str:
        """The figures as HTML."""
        return "".join(table.html for table in self.tables)


def draw_plot(panels: Sequence[Panel], *, title: str, uid: str) -> Picture:
    """Return the drawing of panels, one below the other.

    Args:
        panels: From the top.
        title: The plot's accessible name.
        uid: Begins every id; different for each drawing of a page.

    Raises:
        PlotError: If there is no panel.
    """
    if not panels:
        raise PlotError("panels", "none", "one or more")
    frames, width, height = _frames(panels)
    room = Room(width, height)
    drawings, papers = [], []
    for panel, frame in zip(panels, frames, strict=True):
        headroom = _wants_headroom(panel, frame)
        title_at = frame.top - 9 - (_HEADROOM if headroom else 0)
        papers.append(paper(frame, title_at=title_at, labelled=panel is panels[-1]))
        drawings.append([mark.drawn(frame, headroom=headroom) for mark in panel.marks])
    for one, frame in zip(papers, frames, strict=True):
        room.take_line("frame", outline_of(frame.box))
        for name, box in one.boxes:
            room.take_box(name, box)
    for drawn in (drawn for group in drawings for drawn in group):
        for line in drawn.lines:
            room.take_line(drawn.name, line)
        for box in drawn.boxes:
            room.take_box(drawn.name, box)
    wanted = [one for group in drawings for drawn in group for one in drawn.labels]
    labels, keyed, faults = _labels(wanted, room)
    key, height = _key(keyed, frames[-1].left, height)
    words = words_of(title, [(panel.x, panel.y, panel.marks) for panel in panels])
    tables = tuple(table for panel in panels if (table := table_of(panel.x, panel.y, panel.marks)) is not None)
    body = "".join(_panel(one, group) for one, group in zip(papers, drawings, strict=True))
    svg = _svg(body + f'<g class="labels">{labels}{key}</g>', title, words, texts.safe_id(uid), width, height)
    return Picture(svg, words, tables, faults, width, height)


def _frames(panels: Sequence[Panel]) -> tuple[list[Frame], int, int]:
    """Return where the panels stand, and the size of the drawing."""
    rough = [Frame(0.0, 0.0, LENGTH, panel.height, panel.x, panel.y) for panel in panels]
    left = _MARGIN + max(left_room(frame) for frame in rough)
    right = max(
        max(right_room(frame), _labels_beside(panel, frame)) for panel, frame in zip(panels, rough, strict=True)
    )
    width = left + LENGTH + right + _MARGIN
    frames, top = [], _MARGIN
    for panel, frame in zip(panels, rough, strict=True):
        titles = 2.0 + max(texts.width(axis.title) for axis in (panel.x, panel.y)) + _MARGIN
        width = max(width, titles)
        top += TITLE_ROOM + (_HEADROOM if _wants_headroom(panel, frame) else 0)
        frames.append(Frame(left, top, LENGTH, panel.height, panel.x, panel.y))
        top += panel.height + _BETWEEN
    return frames, round(width + 0.5), round(top - _BETWEEN + FIGURES_ROOM + TITLE_ROOM + _MARGIN)


def _labels_beside(panel: Panel, frame: Frame) -> float:
    """Return the pixels that the labels of curves need right of the frame that they leave there."""
    return max(
        (
            6 + texts.width(mark.label)
            for mark in panel.marks
            if isinstance(mark, Curve) and mark.label and mark.at_end and _leaves(mark, frame)[0]
        ),
        default=0.0,
    )


def _wants_headroom(panel: Panel, frame: Frame) -> bool:
    """Whether labels stand above the frame: of curves that leave it there, and of upright lines."""
    return any(
        (isinstance(mark, Upright) and mark.label)
        or (isinstance(mark, Curve) and mark.label and mark.at_end and _leaves(mark, frame)[1])
        for mark in panel.marks
    )


def _leaves(curve: Curve, frame: Frame) -> tuple[bool, bool]:
    """Tell whether a curve ends on the right edge of its frame, and on the upper one."""
    runs = frame.runs(curve.points)
    if not runs:
        return False, False
    ends = [point for run in runs for point in (run[0], run[-1])]
    right = any(abs(x - frame.right) < _ON_EDGE for x, _ in ends)
    return right, not right and any(abs(y - frame.top) < _ON_EDGE for _, y in ends)


def _labels(wanted: Sequence[Wanted], room: Room) -> tuple[str, tuple[Wanted, ...], tuple[str, ...]]:
    """Return the labels as SVG, each at the first place that is free; those of curves without one; faults of others."""
    written, keyed, faults = [], [], []
    for label in wanted:
        places: list[Place] = []  # as far as they were looked at: most labels stand at one of the first
        best = None
        for spot in label.places:
            if room.is_free(spot.boxes[0]):
                best = spot
                break
            places.append(spot)
        if best is None and label.sample:
            keyed.append(label)
            continue
        if best is None:
            best = min(places, key=lambda spot: (len(room.overlapped(spot.boxes[0])), spot.cost), default=None)
            if best is None:
                continue
            faults.append(f"{label.name} overlaps {', '.join(room.overlapped(best.boxes[0]))}")
        room.take_box(label.name, best.boxes[0])
        written.append(_text(label, best))
    return "".join(written), tuple(keyed), tuple(faults)


def _key(labels: Sequence[Wanted], left: float, height: int) -> tuple[str, int]:
    """Return a key of curves that could not be labelled beside them, and the height of the drawing with it."""
    lines = []
    for label in labels:
        middle = height + _KEY_ROOM / 2 - _MARGIN
        spot = place(label.text, left + _SAMPLE + 6, middle + 0.36 * texts.SIZE)
        lines.append(
            f'<path {label.sample} d="M{number(left)} {number(middle)}h{number(_SAMPLE)}"/>{_text(label, spot)}'
        )
        height += _KEY_ROOM
    return "".join(lines), height


def _text(label: Wanted, spot: Place) -> str:
    anchor = "" if spot.anchor == "start" else f' text-anchor="{spot.anchor}"'
    return (
        f'<text class="{label.css}"{anchor} fill="currentColor" stroke="none" x="{number(spot.x)}" '
        f'y="{number(spot.y[0])}">{texts.markup(label.text)}</text>'
    )


def _panel(one: Paper, group: Sequence[Drawn]) -> str:
    return f'<g class="panel">{one.lines}{"".join(drawn.markup for drawn in group)}{one.texts}</g>'


def _svg(body: str, title: str, words: str, uid: str, width: int, height: int) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{uid}" class="plot" role="img" '
        f'aria-labelledby="{uid}-title" aria-describedby="{uid}-desc" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" fill="none" stroke="currentColor" stroke-width="1.6" '
        f'stroke-linecap="round" stroke-linejoin="round" font-size="{texts.SIZE}">'
        f'<title id="{uid}-title">{marked_up(texts.plain(title))}</title>'
        f'<desc id="{uid}-desc">{marked_up(words)}</desc>{body}</svg>'
    )
