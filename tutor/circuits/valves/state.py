"""What can be said of a valve at its operating point.

Several things may hold at once (a grid that draws current and an anode over its rating), so a state is a set of flags;
nothing hides another.
"""

from __future__ import annotations

from enum import IntFlag


class State(IntFlag):
    """How a valve stands. As an integer it fits an array of bytes."""

    CONDUCTING = 1
    """It passes current within its ratings and within the range of its law; nothing else is to be said."""
    CUT_OFF = 2
    """Its cathode gives less than a thousandth of the current that the sheet shows."""
    GRID_CURRENT = 4
    """Its grid draws current."""
    OVER_DISSIPATION = 8
    """Anode or screen turns more power into heat than it is rated for."""
    OUTSIDE_RANGE = 16
    """It conducts where its law has no point of the sheet near by, or beyond a rated voltage or current."""
    NO_OPERATING_POINT = 32
    """No voltages were found at which valves and circuit agree; the numbers of this draw are NaN."""


_WORDS = {
    State.NO_OPERATING_POINT: "no operating point",
    State.OUTSIDE_RANGE: "outside the model's range",
    State.OVER_DISSIPATION: "over-dissipation",
    State.GRID_CURRENT: "grid current",
    State.CUT_OFF: "cut off",
    State.CONDUCTING: "conducting",
}


def in_words(state: int) -> str:
    """Return a state as a sentence's end, the gravest first.

    >>> in_words(State.GRID_CURRENT | State.OVER_DISSIPATION)
    'over-dissipation, grid current'
    """
    return ", ".join(words for flag, words in _WORDS.items() if state & flag)
