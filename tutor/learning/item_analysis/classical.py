"""Facility and discrimination of single questions, by the classical theory of tests.

Missing answers: facility counts everybody who answered the question. Discrimination counts everybody who answered it
and, for item-rest figures, at least one other; they are ordered by their mean share of what they answered, which orders
them as the sum does where everybody answered everything. Reliability (`reliability.py`) needs whole rows.

Every function here computes whenever its formula has a meaning; `describe_items` adds the rule that with fewer than
`ENOUGH` learners only the facility is told, because the rest is mostly chance.

Source: the formulas are those of any textbook of test theory, from memory; the tests hold them to published figures.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from tutor.learning.item_analysis.responses import Matrix, Rows, checked
from tutor.learning.item_analysis.spread import correlation, is_constant

ENOUGH = 20
"""Learners below which no discrimination and no reliability is told: alpha's standard error is then about 0.2."""

TAIL = 0.27
"""Share of the learners in the upper and in the lower group (T. L. Kelley 1939, from memory)."""

CERTAINTY = 0.95
"""Of the interval about a facility."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facility:
    """How easy a question was found.

    Attributes:
        value: Mean share of the marks, 0 to 1.
        low: Lower end of its interval.
        high: Upper end.
        answered: How many answered.
    """

    value: float
    low: float
    high: float
    answered: int


def wilson_interval(right: float, answered: int, certainty: float = CERTAINTY) -> tuple[float, float] | None:
    """Return Wilson's score interval of a share, or None when nobody answered.

    With part marks it is a little too wide: shares between 0 and 1 scatter less than right and wrong do.

    Args:
        right: How many were right; the sum of shares with part marks.
        answered: How many answered.
        certainty: Chance that the interval holds the true share, such as 0.95.
    Source:
        E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212 (from memory).
    """
    if answered < 1:
        return None
    p, z = min(max(right / answered, 0.0), 1.0), NormalDist().inv_cdf((1 + certainty) / 2)
    weight = 1 + z * z / answered
    middle = (p + z * z / (2 * answered)) / weight
    half = z * math.sqrt(p * (1 - p) / answered + (z / (2 * answered)) ** 2) / weight
    # At the ends the interval touches p itself, which rounding must not undo.
    return min(max(middle - half, 0.0), p), max(min(middle + half, 1.0), p)


def facility(shares: Sequence[float | None], certainty: float = CERTAINTY) -> Facility | None:
    """Return the facility of one question, or None when nobody answered it.

    Args:
        shares: Of each learner, None where not answered.
        certainty: Of the interval.
    Raises:
        ResponsesError: If a share is not a number from 0 to 1.
    """
    given = [share for (share,) in checked([[share] for share in shares]) if share is not None]
    interval = wilson_interval(math.fsum(given), len(given), certainty)
    if interval is None:
        return None
    value = min(math.fsum(given) / len(given), 1.0)
    return Facility(value=value, low=interval[0], high=interval[1], answered=len(given))


def upper_lower(shares: Sequence[float], criterion: Sequence[float], tail: float = TAIL) -> float | None:
    """Return the discrimination D: facility in the upper group less facility in the lower one.

    Learners who tie at a cut share what is left of the group, each with the same fraction of a place, so that each
    group weighs exactly its share of all. (With five questions nearly everybody ties.)

    Args:
        shares: Of the question, one per learner.
        criterion: What orders the learners, one figure each.
        tail: Share of the learners in each group, at most a half.
    Returns:
        D from −1 to 1, or None when the criterion orders nobody.
    """
    if is_constant(criterion):
        return None
    by_score: dict[float, list[float]] = {}
    for share, score in zip(shares, criterion, strict=True):
        by_score.setdefault(round(score, 9), []).append(share)
    rising = [by_score[score] for score in sorted(by_score)]
    if len(rising) < 2:
        return None
    size = tail * len(shares)
    return (_earned(rising[::-1], size) - _earned(rising, size)) / size


def _earned(ties: Sequence[Sequence[float]], size: float) -> float:
    """Return the shares earned by the first so many learners, those who tie at the cut in part."""
    parts, left = [], size
    for tie in ties:
        taken = min(left, len(tie))
        parts.append(math.fsum(tie) * taken / len(tie))
        left -= taken
        if left <= 0:
            break
    return math.fsum(parts)


def item_total_correlations(answers: Matrix) -> tuple[float | None, ...]:
    """Return, per question, the point-biserial correlation with the total, the question itself included.

    Raises:
        ResponsesError: If the answers are not a matrix of shares.
    """
    rows = checked(answers)
    return tuple(correlation(*_against_total(rows, question)) for question in _questions(rows))


def item_rest_correlations(answers: Matrix) -> tuple[float | None, ...]:
    """Return, per question, the point-biserial correlation with the total of the other questions.

    Raises:
        ResponsesError: If the answers are not a matrix of shares.
    """
    rows = checked(answers)
    return tuple(correlation(*_against_rest(rows, question)) for question in _questions(rows))


def upper_lower_discriminations(answers: Matrix, tail: float = TAIL) -> tuple[float | None, ...]:
    """Return, per question, D between the upper and the lower group by total.

    Raises:
        ResponsesError: If the answers are not a matrix of shares.
    """
    rows = checked(answers)
    return tuple(upper_lower(*_against_total(rows, question), tail) for question in _questions(rows))


def _questions(rows: Rows) -> range:
    return range(len(rows[0]) if rows else 0)


def _against_total(rows: Rows, question: int) -> tuple[list[float], list[float]]:
    pairs = [(share, _mean_share(row)) for row in rows if (share := row[question]) is not None]
    return [share for share, _ in pairs], [total for _, total in pairs]


def _against_rest(rows: Rows, question: int) -> tuple[list[float], list[float]]:
    shares, rests = [], []
    for row in rows:
        share, others = row[question], (*row[:question], *row[question + 1 :])
        if share is not None and any(other is not None for other in others):
            shares.append(share)
            rests.append(_mean_share(others))
    return shares, rests


def _mean_share(entries: Sequence[float | None]) -> float:
    given = [entry for entry in entries if entry is not None]
    return math.fsum(given) / len(given)


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFigures:
    """The figures of one question of a test.

    Attributes:
        facility: With its interval; None when nobody answered.
        item_total: Correlation with the total, the question included.
        item_rest: Correlation with the rest.
        upper_lower: D of the upper and lower 27 %.
        too_few: Whether too few answered for anything but the facility.
    """

    facility: Facility | None
    item_total: float | None
    item_rest: float | None
    upper_lower: float | None
    too_few: bool


def describe_items(answers: Matrix) -> tuple[ItemFigures, ...]:
    """Return the figures of every question; only the facility of those that fewer than `ENOUGH` learners answered.

    Raises:
        ResponsesError: If the answers are not a matrix of shares.
    """
    rows = checked(answers)
    return tuple(_described(rows, question) for question in _questions(rows))


def _described(rows: Rows, question: int) -> ItemFigures:
    found = facility([row[question] for row in rows])
    if found is None or found.answered < ENOUGH:
        return ItemFigures(facility=found, item_total=None, item_rest=None, upper_lower=None, too_few=True)
    shares, totals = _against_total(rows, question)
    rests = _against_rest(rows, question)
    return ItemFigures(
        facility=found,
        item_total=correlation(shares, totals),
        item_rest=correlation(*rests) if len(rests[0]) >= ENOUGH else None,
        upper_lower=upper_lower(shares, totals),
        too_few=False,
    )
