"""Difficulties by hand: the normal approximation to the Rasch model, logits stretched by one factor.

A second opinion on `rasch.py` by other means. Good where abilities and difficulties both lie like a normal distribution
and the questions are many; with few it spreads the difficulties too wide by about k/(k − 1), as joint estimation does.

Source: B. D. Wright and M. H. Stone, Best Test Design (1979), chapter 2 (formula from memory; checked against simulated
answers and against conditional estimates in the tests).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from tutor.learning.item_analysis.existence import informative
from tutor.learning.item_analysis.responses import Matrix, complete_rows, right_or_wrong
from tutor.learning.item_analysis.spread import variance

LOGISTIC = 1.7
"""A logistic curve runs within 0.01 of a normal one that is 1.7 times as wide."""


def expansion(own: float, other: float) -> float | None:
    """Return the factor that stretches the logits of one side for the spread of the other.

    Args:
        own: Variance of this side's logits: of the questions, to stretch difficulties.
        other: Variance of the other side's logits: of the members, to stretch difficulties.
    Returns:
        The factor, at least 1, or None when both sides spread too widely for the approximation.
    """
    below = 1 - own * other / LOGISTIC**4
    return math.sqrt((1 + other / LOGISTIC**2) / below) if below > 0 else None


def stretched(logits: Sequence[float], factor: float) -> tuple[float, ...]:
    """Return difficulties from logits of the shares wrong, already centred, and the expansion factor."""
    return tuple(factor * logit for logit in logits)


def prox(answers: Matrix) -> tuple[float | None, ...] | None:
    """Return difficulties [logit] by the normal approximation, from whole rows, sum zero.

    Args:
        answers: Members × questions, 1 for right, 0 for wrong, None for not answered.
    Returns:
        b of each question, None where there is no finite one; or None when there is no approximation at all.
    Raises:
        ResponsesError: If the answers are not a matrix of 0, 1 and None.
    """
    rows = right_or_wrong(answers)
    columns, complete = complete_rows(rows)
    kept, members = informative([tuple(map(int, row)) for row in complete])
    if not kept:
        return None
    k, n = len(kept), len(members)
    right = [sum(member[place] for member in members) for place in range(k)]
    logits = [math.log((n - r) / r) for r in right]
    middle = math.fsum(logits) / k
    scores = [sum(member.values()) for member in members]
    of_members = variance([math.log(score / (k - score)) for score in scores], sample=True)
    of_questions = variance(logits, sample=True)
    if of_members is None or of_questions is None:
        return None
    factor = expansion(of_questions, of_members)
    if factor is None:
        return None
    found = dict(zip((columns[q] for q in kept), stretched([x - middle for x in logits], factor), strict=True))
    return tuple(found.get(question) for question in range(len(rows[0])))
