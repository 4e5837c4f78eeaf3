r"""Texts of a plot: lowered letters, widths, and what may stand in XML.

A label may hold symbols as `V_g`, one letter with what is lowered behind it; anything else stands as it is.
"""

from __future__ import annotations

import re
from functools import lru_cache

from tutor.drawing.schematic.text import clean, marked_up
from tutor.drawing.schematic.text import width as plain_width

SIZE = 12
"""Of all text in a plot, in pixels at its own width of 360."""

ASCENT, DESCENT = 0.77, 0.23
"""Of the size, above and below the baseline."""

_LOWERED_SIZE = 9
_DROP = 2.5
_SYMBOL = re.compile(r"(?<!\w)([^\W\d_])_([^\W_]{1,4})(?!\w)")


def markup(text: str) -> str:
    """Return a label as content of a text element.

    >>> markup("V_g = <0 V")
    'V<tspan dy="2.5" font-size="9">g</tspan><tspan dy="-2.5"> = &lt;0 V</tspan>'
    >>> markup("setting_1")
    'setting_1'
    """
    parts = _SYMBOL.split(clean(text))
    written, raised = marked_up(parts[0]), True
    for letter, below, after in zip(parts[1::3], parts[2::3], parts[3::3], strict=True):
        # What comes before the next symbol's letter is raised again by the tspan that ends the last one.
        written += (marked_up(letter) if raised else f'<tspan dy="-{_DROP}">{marked_up(letter)}</tspan>') + (
            f'<tspan dy="{_DROP}" font-size="{_LOWERED_SIZE}">{marked_up(below)}</tspan>'
        )
        raised = False
        if after:
            written += f'<tspan dy="-{_DROP}">{marked_up(after)}</tspan>'
            raised = True
    return written


def plain(text: str) -> str:
    """Return a label for words and tables, where nothing is lowered.

    >>> plain("V_g = −1 V")
    'Vg = −1 V'
    """
    return _SYMBOL.sub(r"\1\2", clean(text))


@lru_cache(maxsize=2048)
def width(text: str) -> float:
    """Return an upper bound of the width of a label in pixels."""
    parts = _SYMBOL.split(clean(text))
    lowered = sum(plain_width(part, _LOWERED_SIZE) for part in parts[2::3])
    return lowered + sum(plain_width(part, SIZE) for index, part in enumerate(parts) if index % 3 != 2)


@lru_cache(maxsize=2048)
def below_baseline(text: str) -> float:
    """Return how far a label reaches below its baseline, in pixels."""
    return _DROP + DESCENT * _LOWERED_SIZE if _SYMBOL.search(text) else DESCENT * SIZE


def safe_id(name: str) -> str:
    """Return a name as it may stand in an id."""
    return "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "_" for c in name) or "plot"


def number(value: float) -> str:
    """Return a coordinate with a tenth of a pixel.

    >>> number(12.04), number(-0.02), number(3.25)
    ('12', '0', '3.2')
    """
    written = f"{value:.1f}"
    if written.endswith(".0"):
        written = written[:-2]
    return "0" if written == "-0" else written
