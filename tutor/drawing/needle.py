"""The drawn meter of a standing: a moving-coil scale from 0 to 100 with its needle, and the band as a thick arc."""

from __future__ import annotations

import math
from html import escape

_CENTRE_X, _CENTRE_Y, _RADIUS = 60.0, 58.0, 48.0
_SWING = 100.0  # degrees from end to end


def needle_svg(mean: float, low: float, high: float, *, uid: str, title: str) -> str:
    """Return the meter as SVG; colours and lines come from the page's style.

    Args:
        mean: Where the needle stands, 0 to 1.
        low: Lower end of the band.
        high: Upper end of the band.
        uid: Unique on the page.
        title: What a screen reader says.
    """
    ticks = "".join(_tick(share / 10, 9 if share in (0, 5, 10) else 5) for share in range(11))
    tip = _point(mean, _RADIUS - 3)
    return (
        f'<svg class="needle" viewBox="0 0 120 64" width="120" height="64" role="img" aria-labelledby="{escape(uid)}">'
        f'<title id="{escape(uid)}">{escape(title)}</title>'
        f'<path class="scale" d="{_arc(0, 1, _RADIUS)}"/><path class="band" d="{_arc(low, high, _RADIUS - 7)}"/>'
        f'<path class="ticks" d="{ticks}"/>'
        f'<path class="pointer" d="M{_n(_CENTRE_X)} {_n(_CENTRE_Y)}L{tip}"/>'
        f'<circle class="hub" cx="{_n(_CENTRE_X)}" cy="{_n(_CENTRE_Y)}" r="3"/></svg>'
    )


def _angle(share: float) -> float:
    return math.radians(-90 - _SWING / 2 + _SWING * min(max(share, 0.0), 1.0))


def _point(share: float, radius: float) -> str:
    x = _CENTRE_X + radius * math.cos(_angle(share))
    y = _CENTRE_Y + radius * math.sin(_angle(share))
    return f"{_n(x)} {_n(y)}"


def _tick(share: float, length: float) -> str:
    return f"M{_point(share, _RADIUS)}L{_point(share, _RADIUS + length - 2)}"


def _arc(start: float, end: float, radius: float) -> str:
    return f"M{_point(start, radius)}A{_n(radius)} {_n(radius)} 0 0 1 {_point(end, radius)}"


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
