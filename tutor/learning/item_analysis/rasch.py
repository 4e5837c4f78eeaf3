"""Difficulties by the Rasch model: P(right) = 1/(1 + e^−(θ − b)), with b summing to zero over the questions of a test.

Conditional maximum likelihood asks only how the questions share out the scores that members got, so it needs no idea of
how able the members are; it is the one to use. Joint maximum likelihood estimates the members too and spreads the
difficulties too wide; it is here for comparison, corrected by (k − 1)/k.

Nothing right or everything right tells nothing about difficulties, so such members are left out; a question that all
the others got right, or none, has no finite difficulty and gets None; and so does every question when the test falls
into parts between which nobody got the harder one right and the easier one wrong. Missing answers: conditional
estimation groups the members by the questions that they answered; joint estimation takes whole rows only.

Source: G. H. Fischer and I. W. Molenaar (eds), Rasch Models (Springer 1995), chapters 2, 3 and 8 (from memory); the
tests hold the results to published ones.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from tutor.learning.item_analysis.existence import Answered, informative
from tutor.learning.item_analysis.numerics import SquareMatrix, Vector, cholesky, logistic, softplus, solved
from tutor.learning.item_analysis.responses import Matrix, complete_rows, right_or_wrong
from tutor.learning.item_analysis.symmetric import expected_totals, information, log_symmetric

CLOSE = 1e-10
"""Logits; a climb has arrived when no difficulty moves further."""

MOST_STEPS = 200
WIDEST = 690.0
"""Σ ln(1 + ε) beyond which a symmetric function would leave the range of floats; no real test comes near."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RaschFit:
    """Difficulties by conditional maximum likelihood.

    Attributes:
        difficulties: b of each question [logit], sum zero; None where there is no finite one.
        errors: Their standard errors [logit].
        log_likelihood: Conditional on the scores.
        members: Whose answers tell something.
    """

    difficulties: tuple[float | None, ...]
    errors: tuple[float | None, ...]
    log_likelihood: float
    members: int


@dataclass(frozen=True, slots=True)
class _Group:
    """Members who answered the same questions: places among the questions, number right per question and score."""

    places: tuple[int, ...]
    totals: tuple[float, ...]
    counts: tuple[float, ...]

    def weights(self, difficulties: Sequence[float]) -> Vector | None:
        """Return ε with product 1 (only ratios matter; so every γ_r is at least 1), or None when out of range."""
        own = [difficulties[place] for place in self.places]
        middle = math.fsum(own) / len(own)
        if max(abs(b - middle) for b in own) > WIDEST:
            return None
        weights = [math.exp(middle - b) for b in own]
        return weights if math.fsum(map(math.log1p, weights)) < WIDEST else None

    def log_likelihood(self, difficulties: Sequence[float]) -> float:
        weights = self.weights(difficulties)
        if weights is None:
            return -math.inf
        earned = math.fsum(s * math.log(w) for s, w in zip(self.totals, weights, strict=True))
        return earned - log_symmetric(weights, self.counts)


def conditional(answers: Matrix) -> RaschFit | None:
    """Return difficulties by conditional maximum likelihood.

    Args:
        answers: Members × questions, 1 for right, 0 for wrong, None for not answered.
    Returns:
        The fit, or None when fewer than two questions have a finite difficulty.
    Raises:
        ResponsesError: If the answers are not a matrix of 0, 1 and None.
    """
    rows = right_or_wrong(answers)
    kept, members = informative(rows)
    if not kept:
        return None
    groups = _grouped(members)
    climb = _climb(groups, len(kept), _log_odds(groups, len(kept)))
    if climb is None:
        return None
    places = {question: place for place, question in enumerate(kept)}
    return RaschFit(
        difficulties=tuple(climb.place[places[q]] if q in places else None for q in range(len(rows[0]))),
        errors=tuple(climb.errors[places[q]] if q in places else None for q in range(len(rows[0]))),
        log_likelihood=climb.value,
        members=len(members),
    )


def conditional_from_totals(item_totals: Sequence[float], score_counts: Sequence[float]) -> RaschFit | None:
    """Return difficulties from the two tables that suffice when everybody answered everything.

    Args:
        item_totals: How many got each of k questions right, among those with 1 to k − 1 right.
        score_counts: How many had 1, 2, … k − 1 questions right.
    Returns:
        The fit, or None when there is no finite one (which includes tables that do not belong together).
    """
    k = len(item_totals)
    right = math.fsum(r * n for r, n in enumerate(score_counts, 1))
    if k < 2 or len(score_counts) != k - 1 or abs(math.fsum(item_totals) - right) > 1e-6 * max(right, 1.0):
        return None
    # Finite if and only if no m questions took every mark that m questions could take.
    for m, total in enumerate(accumulate(sorted(item_totals, reverse=True)[:-1]), 1):
        if total >= math.fsum(n * min(r, m) for r, n in enumerate(score_counts, 1)) - 1e-9:
            return None
    group = _Group(tuple(range(k)), tuple(map(float, item_totals)), (0.0, *map(float, score_counts), 0.0))
    climb = _climb([group], k, _log_odds([group], k))
    if climb is None:
        return None
    return RaschFit(
        difficulties=tuple(climb.place),
        errors=tuple(climb.errors),
        log_likelihood=climb.value,
        members=round(math.fsum(score_counts)),
    )


def _grouped(members: Sequence[Answered]) -> list[_Group]:
    tables: dict[tuple[int, ...], tuple[list[float], list[float]]] = {}
    for member in members:
        places = tuple(member)
        totals, counts = tables.setdefault(places, ([0.0] * len(places), [0.0] * (len(places) + 1)))
        for index, right in enumerate(member.values()):
            totals[index] += right
        counts[sum(member.values())] += 1
    return [_Group(places, tuple(totals), tuple(counts)) for places, (totals, counts) in tables.items()]


def _log_odds(groups: Sequence[_Group], questions: int) -> Vector:
    """Return where to start: the logits of the shares that got each question wrong, centred."""
    right, answered = [0.5] * questions, [1.0] * questions
    for group in groups:
        for place, total in zip(group.places, group.totals, strict=True):
            right[place] += total
            answered[place] += math.fsum(group.counts)
    return _centred([math.log((n - r) / r) for r, n in zip(right, answered, strict=True)])


def _centred(values: Sequence[float]) -> Vector:
    middle = math.fsum(values) / len(values)
    return [value - middle for value in values]


@dataclass(frozen=True, slots=True)
class _Climb:
    place: Vector
    value: float
    errors: Vector


def _climb(groups: Sequence[_Group], questions: int, start: Vector) -> _Climb | None:
    """Climb to the top of the conditional likelihood by Newton's method, halving a step that loses; it is concave."""
    place, value = start, math.fsum(group.log_likelihood(start) for group in groups)
    for _ in range(MOST_STEPS):
        lower = cholesky(_curvature(groups, questions, place))
        if lower is None or value == -math.inf:
            return None
        step = solved(lower, _slope(groups, questions, place))
        length = 1.0
        while length > 1e-6:
            moved = _centred([b + length * s for b, s in zip(place, step, strict=True)])
            reached = math.fsum(group.log_likelihood(moved) for group in groups)
            # Near the top the gain is less than rounding, and the step is to be trusted.
            if reached >= value - 1e-12 * abs(value):
                break
            length /= 2
        else:
            return None
        place, value = moved, reached
        if max(map(abs, step)) < CLOSE:
            return _Climb(place, value, _errors(groups, questions, place))
    return None


def _slope(groups: Sequence[_Group], questions: int, place: Vector) -> Vector:
    slope = [0.0] * questions
    for group in groups:
        weights = group.weights(place)
        assert weights is not None
        expected = expected_totals(weights, group.counts)
        for where, seen, awaited in zip(group.places, group.totals, expected, strict=True):
            slope[where] += awaited - seen
    return slope


def _curvature(groups: Sequence[_Group], questions: int, place: Vector) -> SquareMatrix:
    """Return the information, plus a constant in the one direction in which it is flat: all difficulties alike."""
    total = [[1.0 / questions] * questions for _ in range(questions)]
    for group in groups:
        weights = group.weights(place)
        if weights is None:
            return [[math.nan] * questions for _ in range(questions)]
        for i, row in zip(group.places, information(weights, group.counts), strict=True):
            for j, entry in zip(group.places, row, strict=True):
                total[i][j] += entry
    return total


def _errors(groups: Sequence[_Group], questions: int, place: Vector) -> Vector:
    lower = cholesky(_curvature(groups, questions, place))
    assert lower is not None
    units = [[float(i == j) for j in range(questions)] for i in range(questions)]
    # The constant's own share of the inverse, 1/k, is taken off again.
    variances = [solved(lower, unit)[i] - 1 / questions for i, unit in enumerate(units)]
    return [math.sqrt(max(variance, 0.0)) for variance in variances]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointFit:
    """Difficulties and abilities by joint maximum likelihood.

    Attributes:
        difficulties: b of each question [logit], sum zero, corrected by (k − 1)/k; None where there is no finite one.
        abilities: θ [logit] of those with 1 to k − 1 right of the k questions with a difficulty; not corrected.
        log_likelihood: Joint, before the correction.
        members: Whose answers tell something.
    """

    difficulties: tuple[float | None, ...]
    abilities: tuple[float, ...]
    log_likelihood: float
    members: int


def joint(answers: Matrix) -> JointFit | None:
    """Return difficulties and abilities by joint maximum likelihood, from whole rows.

    Args:
        answers: Members × questions, 1 for right, 0 for wrong, None for not answered.
    Returns:
        The fit, or None when fewer than two questions have a finite difficulty.
    Raises:
        ResponsesError: If the answers are not a matrix of 0, 1 and None.
    Source:
        The correction: B. D. Wright and G. A. Douglas 1977 (from memory).
    """
    rows = right_or_wrong(answers)
    columns, complete = complete_rows(rows)
    kept, members = informative([tuple(map(int, row)) for row in complete])
    if not kept:
        return None
    (group,) = _grouped(members)
    k = len(kept)
    climb = _joint_climb(group, k)
    if climb is None:
        return None
    raw, abilities, value = climb
    difficulties: dict[int, float] = {columns[q]: (k - 1) / k * b for q, b in zip(kept, raw, strict=True)}
    return JointFit(
        difficulties=tuple(difficulties.get(q) for q in range(len(rows[0]))),
        abilities=tuple(abilities),
        log_likelihood=value,
        members=len(members),
    )


def _joint_climb(group: _Group, k: int) -> tuple[Vector, Vector, float] | None:
    """Alternate one Newton step for every score with one for every question until neither moves."""
    counts = group.counts[1:k]
    b = _log_odds([group], k)
    theta = [math.log(r / (k - r)) for r in range(1, k)]
    for _ in range(100 * MOST_STEPS):
        chances = [[logistic(t - d) for d in b] for t in theta]
        moves = [(r - sum(row)) / sum(p * (1 - p) for p in row) for r, row in enumerate(chances, 1)]
        theta = [t + min(max(move, -1.0), 1.0) for t, move in zip(theta, moves, strict=True)]
        columns = list(zip(*([logistic(t - d) for d in b] for t in theta), strict=True))
        steps = [
            (sum(n * p for n, p in zip(counts, column, strict=True)) - seen)
            / sum(n * p * (1 - p) for n, p in zip(counts, column, strict=True))
            for seen, column in zip(group.totals, columns, strict=True)
        ]
        b = _centred([d + min(max(step, -1.0), 1.0) for d, step in zip(b, steps, strict=True)])
        if max(map(abs, [*moves, *steps])) < CLOSE:
            value = math.fsum(r * n * t for (r, n), t in zip(enumerate(counts, 1), theta, strict=True))
            value -= math.fsum(s * d for s, d in zip(group.totals, b, strict=True))
            value -= math.fsum(n * softplus(t - d) for n, t in zip(counts, theta, strict=True) for d in b)
            return b, theta, value
    return None


def difficulty_from_abilities(shares: Sequence[float], abilities: Sequence[float]) -> tuple[float, float] | None:
    """Return the difficulty of one question and its standard error, when the abilities of its members are known.

    Takes the abilities as if they were exact, so the error is a little too small.

    Args:
        shares: Of the marks, one per member.
        abilities: θ of each member [logit].
    Returns:
        b and its standard error [logit], or None when all or none of the marks were earned, or nobody answered.
    """
    earned, n = math.fsum(shares), len(shares)
    if not 1e-9 < earned < n - 1e-9 or not all(map(math.isfinite, abilities)):
        return None
    level = math.log(earned / (n - earned))
    low, high = min(abilities) - level, max(abilities) - level
    b = (low + high) / 2
    for _ in range(MOST_STEPS):
        chances = [logistic(theta - b) for theta in abilities]
        slope, excess = math.fsum(p * (1 - p) for p in chances), math.fsum(chances) - earned
        low, high = (b, high) if excess > 0 else (low, b)
        step = excess / slope if slope > 0 else 0.0
        # Newton's step where it stays inside the bracket, half the bracket where it does not.
        moved = b + step if low < b + step < high else (low + high) / 2
        arrived, b = abs(moved - b) < CLOSE, moved
        if arrived:
            break
    informed = math.fsum(p * (1 - p) for p in (logistic(theta - b) for theta in abilities))
    return (b, 1 / math.sqrt(informed)) if informed > 0 else None
