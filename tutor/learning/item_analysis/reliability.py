"""Reliability of a whole test: how far the order of the totals would stay the same with other questions like these.

Missing answers: only members who answered every question count (questions that nobody answered are left out first).
One divisor throughout: item and total variances both divide by n, which makes alpha of right and wrong answers the same
as KR-20; mixing n with n − 1, as a popular recipe does, breaks that. The standard deviation of the totals, and with it
the standard error of measurement, divides by n − 1, as published figures do.

Source: textbook formulas, from memory; the tests hold them to published figures.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from tutor.learning.item_analysis.classical import ENOUGH
from tutor.learning.item_analysis.responses import MOST_MARKS, Complete, Matrix, checked, complete_rows, right_or_wrong
from tutor.learning.item_analysis.spread import correlation, is_constant, mean, variance

BAND = 0.80
"""Chance that a band about a score holds the true score."""


def cronbach_alpha(answers: Matrix) -> float | None:
    """Return Cronbach's alpha, at most 1; negative where the questions pull apart.

    Args:
        answers: Members × questions; marks may stand in place of shares, questions then weigh as marked.
    Returns:
        Alpha, or None with fewer than two questions or complete rows, or when all totals are one.
    Raises:
        ResponsesError: If the answers are not a matrix of marks.
    """
    return _alpha(complete_rows(checked(answers, highest=MOST_MARKS))[1])


def _alpha(rows: Complete) -> float | None:
    columns = list(zip(*rows, strict=True))
    return _alpha_from([variance(column) or 0.0 for column in columns], [math.fsum(row) for row in rows], len(columns))


def _alpha_from(item_variances: Sequence[float], totals: Sequence[float], items: int) -> float | None:
    if items < 2 or len(totals) < 2 or is_constant(totals):
        return None
    total = variance(totals)
    assert total is not None
    return items / (items - 1) * (1 - math.fsum(item_variances) / total)


def kr20(answers: Matrix) -> float | None:
    """Return Kuder and Richardson's formula 20, from p·q of each question; equals alpha, for right and wrong only.

    Raises:
        ResponsesError: If the answers are not a matrix, or an entry is neither 0 nor 1.
    """
    rows = complete_rows(right_or_wrong(answers))[1]
    facilities = [math.fsum(column) / len(column) for column in zip(*rows, strict=True)]
    return _alpha_from([p * (1 - p) for p in facilities], [math.fsum(row) for row in rows], len(facilities))


def kr21(items: int, mean_total: float, total_variance: float) -> float | None:
    """Return Kuder and Richardson's formula 21, which takes all questions as equally hard.

    Args:
        items: Number of questions.
        mean_total: Mean number right.
        total_variance: Variance of the number right, divisor n.
    Returns:
        The reliability, or None where it has no meaning.
    """
    if items < 2 or not 0 <= mean_total <= items or not total_variance > 0:
        return None
    return items / (items - 1) * (1 - mean_total * (items - mean_total) / (items * total_variance))


def alpha_if_deleted(answers: Matrix) -> tuple[float | None, ...]:
    """Return, per question, the alpha of the others.

    Raises:
        ResponsesError: If the answers are not a matrix of marks.
    """
    rows = checked(answers, highest=MOST_MARKS)
    columns, complete = complete_rows(rows)
    found: dict[int, float | None] = {}
    spreads = [variance(column) or 0.0 for column in zip(*complete, strict=True)]
    for place, question in enumerate(columns if complete else ()):
        rest = [math.fsum((*row[:place], *row[place + 1 :])) for row in complete]
        found[question] = _alpha_from([*spreads[:place], *spreads[place + 1 :]], rest, len(columns) - 1)
    return tuple(found.get(question) for question in range(len(rows[0]) if rows else 0))


def standard_error_of_measurement(spread: float, reliability: float) -> float | None:
    """Return how far a total scatters about the true score, in the unit of the spread.

    Args:
        spread: Standard deviation of the totals.
        reliability: Alpha or its like. With a negative one the error has no meaning.
    """
    if not 0 <= reliability <= 1 or spread < 0:
        return None
    return spread * math.sqrt(1 - reliability)


def half_band(error: float, chance: float = BAND) -> float:
    """Return how far the band about a score reaches to either side: 1.28 standard errors for 80 %."""
    return NormalDist().inv_cdf((1 + chance) / 2) * error


def score_band(score: float, error: float, most: float, chance: float = BAND) -> tuple[float, float]:
    """Return the band about a score that holds the true score with the given chance, cut at 0 and at the most."""
    half = half_band(error, chance)
    return max(score - half, 0.0), min(score + half, most)


def spearman_brown(reliability: float, times: float) -> float | None:
    """Return the reliability of a test so many times as long; None where the formula has no meaning."""
    below = 1 + (times - 1) * reliability
    return times * reliability / below if times > 0 and below > 0 and reliability <= 1 else None


def times_as_long(reliability: float, wanted: float) -> float | None:
    """Return how many times as long a test must be for the reliability wanted; None when no length would do."""
    if not (0 < reliability < 1 and 0 < wanted < 1):
        return None
    return wanted * (1 - reliability) / (reliability * (1 - wanted))


def rulon(spread_of_differences: float, spread_of_totals: float) -> float | None:
    """Return the reliability from two halves of a test: 1 − (s_difference/s_total)².

    Args:
        spread_of_differences: Standard deviation of first half less second half, or anything in proportion to it.
        spread_of_totals: The same of first half plus second half.
    Source:
        P. J. Rulon, Harvard Educational Review 9 (1939) 99-103 (from memory).
    """
    return 1 - (spread_of_differences / spread_of_totals) ** 2 if spread_of_totals > 0 else None


def split_half(answers: Matrix) -> float | None:
    """Return the correlation of odd with even questions, stepped up to the whole length.

    Raises:
        ResponsesError: If the answers are not a matrix of marks.
    """
    rows = complete_rows(checked(answers, highest=MOST_MARKS))[1]
    halves = correlation([math.fsum(row[::2]) for row in rows], [math.fsum(row[1::2]) for row in rows])
    return None if halves is None else spearman_brown(halves, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliabilityFigures:
    """The figures of a whole test.

    Attributes:
        members: Who answered anything.
        complete: Who answered every question that anybody answered; the figures below are theirs.
        items: Questions that anybody answered.
        mean: Mean total, in questions.
        spread: Standard deviation of the totals, divisor n − 1.
        alpha: Cronbach's alpha, which is KR-20 for right and wrong.
        alpha_if_deleted: Alpha of the others, per question.
        split_half: Odd against even, stepped up.
        error: Standard error of measurement, in questions.
        too_few: Whether too few complete rows for anything but the mean and spread.
    """

    members: int
    complete: int
    items: int
    mean: float | None
    spread: float | None
    alpha: float | None
    alpha_if_deleted: tuple[float | None, ...]
    split_half: float | None
    error: float | None
    too_few: bool


def describe_reliability(answers: Matrix) -> ReliabilityFigures:
    """Return the figures of a whole test; no reliability with fewer than `ENOUGH` complete rows.

    Raises:
        ResponsesError: If the answers are not a matrix of shares.
    """
    rows = checked(answers)
    columns, complete = complete_rows(rows)
    totals = [math.fsum(row) for row in complete]
    scatter = variance(totals, sample=True)
    spread = None if scatter is None else math.sqrt(scatter)
    too_few = len(complete) < ENOUGH
    alpha = None if too_few else cronbach_alpha(rows)
    return ReliabilityFigures(
        members=sum(any(entry is not None for entry in row) for row in rows),
        complete=len(complete),
        items=len(columns),
        mean=mean(totals),
        spread=spread,
        alpha=alpha,
        alpha_if_deleted=(None,) * len(rows[0] if rows else ()) if too_few else alpha_if_deleted(rows),
        split_half=None if too_few else split_half(rows),
        error=None if alpha is None or spread is None else standard_error_of_measurement(spread, alpha),
        too_few=too_few,
    )
