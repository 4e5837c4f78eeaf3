"""Marginal maximum likelihood: difficulties, and slopes too, with abilities taken as normal, N(0, 1).

P(right) = 1/(1 + e^−(a·θ + d)) with slope a > 0, intercept d and difficulty b = −d/a. The normal is summed over a fixed
grid; its step of 0.2 makes the sum as good as exact for slopes up to about 4. Every slope is held between `FLATTEST`
and `STEEPEST`: with all slopes negative the likelihood is the same again, mirrored, and nothing else keeps a climb from
ending there. Missing answers are simply not there. A question that all who answered got right, or none, gets None.

For comparison with the conditional difficulties of `rasch.py`, and for abilities from known slopes and difficulties.

Source: R. D. Bock and M. Lieberman, Psychometrika 35 (1970) 179-197, for the likelihood (from memory); the gradient is
that of the expected complete data (R. A. Fisher's identity). The tests hold the results to published ones.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import mul

from tutor.learning.item_analysis.numerics import Vector, climbed, logistic, softplus
from tutor.learning.item_analysis.responses import Matrix, checked, right_or_wrong

GRID = tuple(round(-6 + 0.2 * i, 1) for i in range(61))
_BELL = [math.exp(-theta * theta / 2) for theta in GRID]
LOG_WEIGHTS = tuple(math.log(w / math.fsum(_BELL)) for w in _BELL)

FLATTEST, STEEPEST = 0.05, 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginalFit:
    """Slopes and intercepts by marginal maximum likelihood.

    Attributes:
        slopes: a of each question; None where the question tells nothing. One at an end of its range has not converged
            to anything: the question does not go with the others, or goes too well.
        intercepts: d of each question.
        log_likelihood: Of all answers to the questions that were fitted.
        members: Who answered any of these.
    """

    slopes: tuple[float | None, ...]
    intercepts: tuple[float | None, ...]
    log_likelihood: float
    members: int

    @property
    def difficulties(self) -> tuple[float | None, ...]:
        """Difficulty b = −d/a of each question, in standard deviations of ability."""
        pairs = zip(self.slopes, self.intercepts, strict=True)
        return tuple(None if a is None or d is None else -d / a for a, d in pairs)


def one_slope(answers: Matrix, slope: float | None = None) -> MarginalFit | None:
    """Return the fit with one slope for all questions.

    Args:
        answers: Members × questions, 1 for right, 0 for wrong, None for not answered.
        slope: The slope, such as 1, or None to estimate it.
    Returns:
        The fit, or None when no question tells anything or the climb did not end.
    Raises:
        ResponsesError: If the answers are not a matrix of 0, 1 and None.
        ValueError: If the slope is not positive.
    """
    if slope is not None and not slope > 0:
        raise ValueError(f"found the slope {slope!r}; wanted a positive one, such as 1, or None to estimate it")
    patterns = _Patterns.of(answers)
    k = len(patterns.kept)

    def unpacked(place: Vector) -> tuple[Vector, Vector]:
        return [slope if slope is not None else _slope_at(place[-1])] * k, place[:k]

    def packed(by_slope: Vector, by_intercept: Vector, place: Vector) -> Vector:
        return by_intercept if slope is not None else [*by_intercept, math.fsum(by_slope) * _slope_change(place[-1])]

    return _fitted(patterns, unpacked, packed, [] if slope is not None else [_place_of(1.0)])


def two_parameters(answers: Matrix) -> MarginalFit | None:
    """Return the fit with a slope for every question.

    Args:
        answers: Members × questions, 1 for right, 0 for wrong, None for not answered.
    Returns:
        The fit, or None when no question tells anything or the climb did not end.
    Raises:
        ResponsesError: If the answers are not a matrix of 0, 1 and None.
    """
    patterns = _Patterns.of(answers)
    k = len(patterns.kept)

    def unpacked(place: Vector) -> tuple[Vector, Vector]:
        return [_slope_at(u) for u in place[k:]], place[:k]

    def packed(by_slope: Vector, by_intercept: Vector, place: Vector) -> Vector:
        return [*by_intercept, *(g * _slope_change(u) for g, u in zip(by_slope, place[k:], strict=True))]

    return _fitted(patterns, unpacked, packed, [_place_of(1.0)] * k)


def _slope_at(place: float) -> float:
    """Return the slope for any real number: smooth, rising, within its range."""
    return FLATTEST + (STEEPEST - FLATTEST) * logistic(place)


def _slope_change(place: float) -> float:
    p = logistic(place)
    return (STEEPEST - FLATTEST) * p * (1 - p)


def _place_of(slope: float) -> float:
    return math.log((slope - FLATTEST) / (STEEPEST - slope))


@dataclass(frozen=True, slots=True)
class _Patterns:
    """Distinct rows of answers to the questions kept, each with how many members gave it, by questions answered."""

    questions: int
    kept: tuple[int, ...]
    by_answered: dict[tuple[int, ...], list[tuple[tuple[int, ...], int]]]
    """Places answered → (places right, how many)."""

    @staticmethod
    def of(answers: Matrix) -> _Patterns:
        rows = right_or_wrong(answers)
        questions = len(rows[0]) if rows else 0
        kept = tuple(q for q in range(questions) if {0, 1} <= {row[q] for row in rows})
        by_answered: dict[tuple[int, ...], list[tuple[tuple[int, ...], int]]] = {}
        for row, count in Counter(tuple(row[q] for q in kept) for row in rows).items():
            answered = tuple(place for place, right in enumerate(row) if right is not None)
            if answered:
                right = tuple(place for place in answered if row[place])
                by_answered.setdefault(answered, []).append((right, count))
        return _Patterns(questions, kept, by_answered)

    @property
    def members(self) -> int:
        return sum(count for rows in self.by_answered.values() for _, count in rows)

    def likelihood(self, slopes: Vector, intercepts: Vector) -> tuple[float, Vector, Vector]:
        """Return the log-likelihood and its gradients by slope and by intercept."""
        curves = [[a * theta + d for theta in GRID] for a, d in zip(slopes, intercepts, strict=True)]
        chances = [[logistic(z) for z in curve] for curve in curves]
        misses = [[softplus(z) for z in curve] for curve in curves]
        total, by_slope, by_intercept = 0.0, [0.0] * len(slopes), [0.0] * len(slopes)
        for answered, rows in self.by_answered.items():
            base = [w - sum(column) for w, *column in zip(LOG_WEIGHTS, *(misses[j] for j in answered), strict=True)]
            crowd = [0.0] * len(GRID)
            for right, count in rows:
                steep = math.fsum(slopes[j] for j in right)
                logs = [steep * theta + b for theta, b in zip(GRID, base, strict=True)]
                highest = max(logs)
                shares = [math.exp(x - highest) for x in logs]
                weight = sum(shares)
                total += count * (highest + math.log(weight) + math.fsum(intercepts[j] for j in right))
                crowd = [c + count / weight * share for c, share in zip(crowd, shares, strict=True)]
                ability = sum(map(mul, GRID, shares)) / weight
                for j in right:
                    by_intercept[j] += count
                    by_slope[j] += count * ability
            tilted = list(map(mul, GRID, crowd))
            for j in answered:
                by_intercept[j] -= sum(map(mul, crowd, chances[j]))
                by_slope[j] -= sum(map(mul, tilted, chances[j]))
        return total, by_slope, by_intercept


def _fitted(
    patterns: _Patterns,
    unpacked: Callable[[Vector], tuple[Vector, Vector]],
    packed: Callable[[Vector, Vector, Vector], Vector],
    slopes_start: Vector,
) -> MarginalFit | None:
    """Climb from intercepts of nought; the likelihood is taken per member, so that one steepness suits all sizes."""
    members = patterns.members
    if not members:
        return None

    def function(place: Vector) -> tuple[float, Vector]:
        value, by_slope, by_intercept = patterns.likelihood(*unpacked(place))
        return value / members, [entry / members for entry in packed(by_slope, by_intercept, place)]

    top = climbed(function, [0.0] * len(patterns.kept) + slopes_start)
    if top is None:
        return None
    slopes, intercepts = unpacked(top[0])
    by_question = {q: (a, d) for q, a, d in zip(patterns.kept, slopes, intercepts, strict=True)}
    pairs = [by_question.get(q, (None, None)) for q in range(patterns.questions)]
    return MarginalFit(
        slopes=tuple(a for a, _ in pairs),
        intercepts=tuple(d for _, d in pairs),
        log_likelihood=top[1] * members,
        members=members,
    )


def posterior_mode(
    shares: Sequence[float | None], slopes: Sequence[float], intercepts: Sequence[float]
) -> tuple[float, float]:
    """Return the most probable ability of one member and its standard error, with N(0, 1) before any answer.

    Args:
        shares: Of the marks of each question, None where not answered.
        slopes: a of each question.
        intercepts: d of each question.
    Raises:
        ResponsesError: If a share is not a number from 0 to 1.
    """
    given = [(x, a, d) for x, a, d in zip(checked([shares])[0], slopes, intercepts, strict=True) if x is not None]
    theta = 0.0
    for _ in range(100):
        chances = [logistic(a * theta + d) for _, a, d in given]
        slope = math.fsum(a * (x - p) for (x, a, _), p in zip(given, chances, strict=True)) - theta
        bend = 1 + math.fsum(a * a * p * (1 - p) for (_, a, _), p in zip(given, chances, strict=True))
        step = min(max(slope / bend, -1.0), 1.0)
        theta += step
        if abs(step) < 1e-12:
            break
    bend = 1 + math.fsum(a * a * p * (1 - p) for _, a, d in given for p in [logistic(a * theta + d)])
    return theta, 1 / math.sqrt(bend)


def pattern_chance(answers: Sequence[int | None], slopes: Sequence[float], intercepts: Sequence[float]) -> float:
    """Return the chance that a member drawn from N(0, 1) gives these answers; times the members, their expected number.

    Args:
        answers: 1 for right, 0 for wrong, None for not answered.
        slopes: a of each question.
        intercepts: d of each question.
    Raises:
        ResponsesError: If an answer is not 0, 1 or None.
    """
    signs = [
        (1 if x else -1, a, d)
        for x, a, d in zip(*right_or_wrong([answers]), slopes, intercepts, strict=True)
        if x is not None
    ]
    logs = [
        weight - math.fsum(softplus(-sign * (a * theta + d)) for sign, a, d in signs)
        for theta, weight in zip(GRID, LOG_WEIGHTS, strict=True)
    ]
    return math.fsum(map(math.exp, logs))
