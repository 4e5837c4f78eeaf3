"""What is drawn in a panel: curves with their bands, points, reference lines, measured stretches, bars.

Each says how it is drawn in a frame, what room it takes, where its label may stand, and what it tells in words.
Curves and bars have many figures; those stand in the table behind the plot (`table`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from tutor.drawing.plots import texts
from tutor.drawing.plots.axes import Axis
from tutor.drawing.plots.frame import Frame
from tutor.drawing.plots.geometry import Box, Point, Run, clipped_area
from tutor.drawing.plots.places import Wanted, along, around, at_end, beside_level, beside_span, beside_upright
from tutor.drawing.plots.texts import number
from tutor.drawing.schematic.labels import Place
from tutor.drawing.schematic.text import marked_up

DASHES = ("", "7 3", "2 3", "9 3 2 3", "12 4", "5 2", "1 2.5", "9 3 2 3 2 3")
"""The dash pattern of each curve of a plot, in order: they are told apart without colour."""

COLOURS = 5
_ARROW = 4.0
_DOT = 'fill="currentColor" stroke="none"'
_BAND = 'fill="currentColor" fill-opacity="0.2" stroke="none"'
_BAR = 'fill="currentColor" fill-opacity="0.35"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A mark in its frame.

    Attributes:
        name: What it is, for the list of faults.
        markup: SVG.
        lines: Lines that no label should cross.
        boxes: Boxes that no label should cover.
        labels: What wants to be written beside it.
    """

    name: str
    markup: str
    lines: tuple[Run, ...] = ()
    boxes: tuple[Box, ...] = ()
    labels: tuple[Wanted, ...] = ()


class Mark(Protocol):
    """Anything that can be drawn in a panel."""

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:
        """Return the mark as it is drawn in a frame.

        Args:
            frame: Where.
            headroom: Whether labels may stand above the frame.
        """

    def told(self, x: Axis, y: Axis) -> str:
        """Return what the mark says, as a part of a sentence, in the axes' units; "" where a table says it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A line through points.

    Attributes:
        points: Pairs of values; one that is no number leaves a gap.
        label: Written beside it; see `texts` for symbols.
        name: In the data table, if it is not the label.
        colour: From 1 to 5.
        dash: Lengths of its dashes and gaps in pixels, or "" for an unbroken line.
        band: A lower and an upper value for every point, drawn as an area behind it.
        at_end: Whether its label should stand where it leaves the frame.
        weight: "", "thick" or "thin".
        in_key: Whether it may be named in a key below the paper; not so for one of a family, which all look alike.
    """

    points: Sequence[tuple[float, float]]
    label: str = ""
    name: str = ""
    colour: int = 1
    dash: str = ""
    band: Sequence[tuple[float, float]] = ()
    at_end: bool = False
    weight: str = ""
    in_key: bool = True

    @property
    def called(self) -> str:
        """Its name, in plain letters."""
        return texts.plain(self.name or self.label)

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:
        """Return the curve; see `Mark`."""
        runs = frame.runs(self.points)
        title = f"<title>{marked_up(self.called)}</title>" if self.called else ""
        dash = f' stroke-dasharray="{marked_up(self.dash)}"' if self.dash else ""
        css = " ".join(word for word in ("curve", css_of(self.colour), self.weight) if word)
        sample = f'class="{css}"{dash}'
        line = f'<path {sample} d="{path_of(runs)}">{title}</path>' if runs else ""
        return Drawn(
            name=f"curve {self.called}".rstrip(),
            markup=self._area(frame) + line,
            lines=tuple(runs),
            labels=_wanted(
                self.label,
                css_of(self.colour),
                self._places(runs, frame, headroom=headroom),
                sample if self.in_key else "",
            ),
        )

    def told(self, x: Axis, y: Axis) -> str:  # noqa: ARG002 - as every mark
        """Return nothing; see `Mark`."""
        return ""

    def _places(self, runs: list[Run], frame: Frame, *, headroom: bool) -> Iterator[Place]:
        if self.at_end:
            for spot in at_end(self.label, runs, frame):
                if headroom or spot.x > frame.right:
                    yield spot
        left, top, right, foot = frame.box
        for spot in along(self.label, runs):
            box = spot.boxes[0]
            if left < box[0] and top < box[1] and box[2] < right and box[3] < foot:
                yield spot

    def _area(self, frame: Frame) -> str:
        """Return the band as a filled area, one piece for each stretch without a gap."""
        if not self.band:
            return ""
        upper = frame.pixels([(x, high) for (x, _), (_, high) in zip(self.points, self.band, strict=True)])
        lower = frame.pixels([(x, low) for (x, _), (low, _) in zip(self.points, self.band, strict=True)])
        edges = [(*up, *down) for up, down in zip(upper, lower, strict=True)]
        pieces: list[list[Point]] = []
        current: list[tuple[float, ...]] = []
        for edge in [*edges, (math.nan,) * 4]:
            if not any(value != value for value in edge):
                current.append(edge)
            elif current:
                outline = [(x, y) for x, y, _, _ in current] + [(x, y) for _, _, x, y in reversed(current)]
                pieces.append(clipped_area(outline, frame.box))
                current = []
        drawn = "".join(path_of([piece]) + "Z" for piece in pieces if len(piece) > 2)
        return f'<path class="band {css_of(self.colour)}" {_BAND} d="{drawn}"/>' if drawn else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """A point with a label.

    Attributes:
        x: Value across.
        y: Value upwards.
        label: Written beside it, or "".
        colour: From 1 to 5, or 0 for the colour of marks.
    """

    x: float
    y: float
    label: str = ""
    colour: int = 0

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:  # noqa: ARG002 - as every mark
        """Return the point; see `Mark`."""
        name = f"point {texts.plain(self.label)}".rstrip()
        point = frame.point(self.x, self.y)
        if point is None:
            return Drawn(name=name, markup="")
        css = css_of(self.colour)
        x, y = point
        return Drawn(
            name=name,
            markup=f'<circle class="dot {css}" {_DOT} cx="{number(x)}" cy="{number(y)}" r="3"/>',
            boxes=((x - 4, y - 4, x + 4, y + 4),),
            labels=_wanted(self.label, css, around(self.label, point)),
        )

    def told(self, x: Axis, y: Axis) -> str:
        """Return where the point stands; see `Mark`."""
        return f"{texts.plain(self.label) or 'a point'} at {x.told(self.x)} and {y.told(self.y)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """An upright line over the whole height, at a value across.

    Attributes:
        x: The value.
        label: Written above the frame or beside it, or "".
    """

    x: float
    label: str = ""

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:
        """Return the line; see `Mark`."""
        name, x = f"line {texts.plain(self.label)}".rstrip(), frame.across(self.x)
        if not frame.left - 0.01 <= x <= frame.right + 0.01:
            return Drawn(name=name, markup="")
        return _reference(
            name,
            [(x, frame.top), (x, frame.foot)],
            self.label,
            beside_upright(self.label, x, frame, outside=headroom),
        )

    def told(self, x: Axis, y: Axis) -> str:  # noqa: ARG002 - as every mark
        """Return where the line stands; see `Mark`."""
        return f"an upright line{_called(self.label, x.told(self.x))} at {x.told(self.x)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A level line over the whole width, at a value upwards.

    Attributes:
        y: The value.
        label: Written above or below it, or "".
    """

    y: float
    label: str = ""

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:  # noqa: ARG002 - as every mark
        """Return the line; see `Mark`."""
        name, y = f"line {texts.plain(self.label)}".rstrip(), frame.down(self.y)
        if not frame.top - 0.01 <= y <= frame.foot + 0.01:
            return Drawn(name=name, markup="")
        line = [(frame.left, y), (frame.right, y)]
        return _reference(name, line, self.label, beside_level(self.label, y, frame))

    def told(self, x: Axis, y: Axis) -> str:  # noqa: ARG002 - as every mark
        """Return where the line stands; see `Mark`."""
        return f"a level line{_called(self.label, y.told(self.y))} at {y.told(self.y)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A measured stretch with an arrow at either end, as on a drawing.

    Attributes:
        start: Values of its first end.
        end: Values of its second end; the stretch is upright or level.
        label: Written beside it, or "".
    """

    start: tuple[float, float]
    end: tuple[float, float]
    label: str = ""

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:  # noqa: ARG002 - as every mark
        """Return the stretch; see `Mark`."""
        name = f"stretch {texts.plain(self.label)}".rstrip()
        start, end = frame.point(*self.start), frame.point(*self.end)
        if start is None or end is None:
            return Drawn(name=name, markup="")
        length = math.dist(start, end)
        arrows = _arrow(start, end) + _arrow(end, start) if length > 2 * _ARROW else ""
        return Drawn(
            name=name,
            markup=f'<path class="mark span" d="{path_of([[start, end]])}{arrows}"/>',
            lines=([start, end],),
            labels=_wanted(self.label, "mark", beside_span(self.label, start, end)),
        )

    def told(self, x: Axis, y: Axis) -> str:
        """Return what is measured; see `Mark`."""
        axis, index = (x, 0) if self.start[1] == self.end[1] else (y, 1)
        return f"a stretch{_called(self.label)} from {axis.told(self.start[index])} to {axis.told(self.end[index])}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """Bars from nought, side by side.

    Attributes:
        edges: Their edges across; one more than there are bars.
        heights: How high each is.
        colour: From 1 to 5.
    """

    edges: Sequence[float]
    heights: Sequence[float]
    colour: int = 1

    def drawn(self, frame: Frame, *, headroom: bool) -> Drawn:  # noqa: ARG002 - as every mark
        """Return the bars; see `Mark`."""
        foot = min(max(frame.down(0.0), frame.top), frame.foot)
        outline, boxes = "", []
        for left, right, height in zip(self.edges, self.edges[1:], self.heights, strict=False):
            x0, x1, y = frame.across(left), frame.across(right), frame.down(height)
            if height and not any(math.isnan(value) for value in (x0, x1, y)):
                x0, x1 = max(x0, frame.left), min(x1, frame.right)
                y = max(y, frame.top)
                outline += f"M{number(x0)} {number(foot)}V{number(y)}H{number(x1)}V{number(foot)}Z"
                boxes.append((x0, y, x1, foot))
        markup = f'<path class="bar {css_of(self.colour)}" {_BAR} d="{outline}"/>' if outline else ""
        return Drawn(name="bars", markup=markup, boxes=tuple(boxes))

    def told(self, x: Axis, y: Axis) -> str:  # noqa: ARG002 - as every mark
        """Return nothing; see `Mark`."""
        return ""


def hyperbola(product: float, x: Axis, points: int = 90) -> list[tuple[float, float]]:
    """Return the points whose two values have a given product, over an axis: a dissipation over voltages.

    Args:
        product: Of the two values, such as watts.
        x: The axis across.
        points: How many.
    """
    # Closer together at the steep end: even steps of the ratio and not of the difference.
    low = max(x.low, x.high / 1000) if x.high > 0 else x.low
    if low <= 0 or x.high <= low:
        return []
    ratio = (x.high / low) ** (1 / (points - 1))
    values = [low * ratio**index for index in range(points - 1)]
    return [(value, product / value) for value in [*values, x.high]]


def path_of(runs: Sequence[Run]) -> str:
    """Return runs as the data of a path; a single point as a dot of the pen."""
    written = []
    for run in runs:
        corners = [f"{number(x)} {number(y)}" for x, y in run]
        kept = [corner for index, corner in enumerate(corners) if index == 0 or corner != corners[index - 1]]
        written.append(f"M{'L'.join(kept)}" + ("h.1" if len(kept) == 1 else ""))
    return "".join(written)


def _reference(name: str, line: Run, label: str, places: Iterator[Place]) -> Drawn:
    return Drawn(
        name=name,
        markup=f'<path class="mark" stroke-dasharray="5 3" d="{path_of([line])}"/>',
        lines=(line,),
        labels=_wanted(label, "mark", places),
    )


def css_of(colour: int) -> str:
    """Return the class of a colour from 1 to 5, or of marks for 0."""
    return f"c{(colour - 1) % COLOURS + 1}" if colour else "mark"


def _wanted(label: str, css: str, places: Iterator[Place], sample: str = "") -> tuple[Wanted, ...]:
    return (Wanted(f"label {texts.plain(label)}", label, css, places, sample),) if label else ()


def _called(label: str, value: str = "") -> str:
    """Return a label within a sentence, unless it says no more than the value that follows."""
    return f", {texts.plain(label)}," if label and label != value else ""


def _arrow(tip: Point, tail: Point) -> str:
    """Return an open arrow head at the tip of a line from the tail."""
    length = math.dist(tip, tail)
    dx, dy = (tail[0] - tip[0]) / length * _ARROW, (tail[1] - tip[1]) / length * _ARROW
    wings = [(tip[0] + dx - dy * 0.6, tip[1] + dy + dx * 0.6), (tip[0] + dx + dy * 0.6, tip[1] + dy - dx * 0.6)]
    return path_of([[wings[0], tip, wings[1]]])
