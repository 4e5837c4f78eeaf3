"""What the wrong answers to one ask have in common: a named slip, or one value.

Values drawn anew for every member make every wrong number another number, so numbers are compared by their ratio to the
key too: a key that is wrong by a factor shows as one ratio, whatever was drawn.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from tutor.learning.item_analysis.answers import AskAnswer

ALIKE = 0.02
"""Wrong numbers whose ratios to the key lie within 2 % are one value: the usual tolerance of an answer."""


@dataclass(frozen=True, slots=True)
class Common:
    """What several wrong answers share.

    Attributes:
        what: An option, a number as it was given, or the ratio of the wrong number to the key.
        is_ratio: Whether it is a ratio.
        count: How many wrong answers.
        share: Of all wrong answers to the ask.
    """

    what: float | str
    is_ratio: bool
    count: int
    share: float


def slip_shares(answers: Sequence[AskAnswer]) -> tuple[tuple[str, float], ...]:
    """Return (slip, share of all answers to the ask), the most frequent first; equals in the order of their names."""
    counts = Counter(answer.slip for answer in answers if answer.slip)
    return tuple((slip, n / len(answers)) for slip, n in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def is_wrong(answer: AskAnswer) -> bool:
    """Whether a wrong value was given, as against a right one or none."""
    return answer.wrong is not None or bool(answer.slip)


def commonest_wrong(answers: Sequence[AskAnswer]) -> Common | None:
    """Return the value that most wrong answers give, or None when there is no wrong value."""
    wrong = sum(map(is_wrong, answers))
    found = [one for one in (_commonest_text(answers), _commonest(_ratios(answers)), _commonest(_bare(answers))) if one]
    if not found:
        return None
    what, count, is_ratio = max(found, key=lambda one: one[1])
    return Common(what, is_ratio, count, count / wrong)


def _commonest_text(answers: Sequence[AskAnswer]) -> tuple[str, int, bool] | None:
    counts = Counter(answer.wrong for answer in answers if isinstance(answer.wrong, str))
    if not counts:
        return None
    text, count = min(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return text, count, False


def _ratios(answers: Sequence[AskAnswer]) -> tuple[list[float], bool]:
    pairs = [(a.wrong, a.key) for a in answers if not isinstance(a.wrong, str | None) and not isinstance(a.key, str)]
    return [wrong / key for wrong, key in pairs if key and abs(key) > 1e-300], True


def _bare(answers: Sequence[AskAnswer]) -> tuple[list[float], bool]:
    return [a.wrong for a in answers if not isinstance(a.wrong, str | None)], False


def _commonest(values_and_kind: tuple[list[float], bool]) -> tuple[float, int, bool] | None:
    """Return the middle of the most crowded stretch of `ALIKE`, and how many lie in it."""
    values, is_ratio = values_and_kind
    ordered = sorted(value for value in values if math.isfinite(value))
    best, first = (0, 0), 0
    for last, value in enumerate(ordered):
        while value - ordered[first] > ALIKE * max(abs(value), abs(ordered[first])):
            first += 1
        best = max(best, (last - first + 1, -first))
    if not ordered:
        return None
    count, begin = best[0], -best[1]
    return ordered[begin + count // 2], count, is_ratio
