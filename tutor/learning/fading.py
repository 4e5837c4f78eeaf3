"""Fading: how much of a worked example stands beside a kind of problem that is new to a member.

Somebody who begins reads the whole example; as the needle rises its last steps are blanked, and in the end there is
none: help that is no longer needed is in the way.

Source: backward fading after Renkl and Atkinson (2003), expertise reversal after Kalyuga et al. (2003); the thresholds
are the project's own.
"""

from __future__ import annotations

ALL_BELOW, LAST_BLANK_BELOW, HALF_BELOW = 0.40, 0.55, 0.70


def steps_shown(score: float, steps: int) -> int:
    """Return how many steps of a worked example are shown.

    Args:
        score: Expected score on the topic's bank, 0 to 1.
        steps: Steps of the example.

    >>> [steps_shown(score, 4) for score in (0.2, 0.5, 0.6, 0.9)]
    [4, 3, 2, 0]
    """
    if score < ALL_BELOW:
        return steps
    if score < LAST_BLANK_BELOW:
        return max(steps - 1, 0)
    if score < HALF_BELOW:
        return steps // 2
    return 0
