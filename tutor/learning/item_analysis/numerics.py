"""Small numerical helpers in plain Python: safe logistic functions, symmetric systems, a quasi-Newton climb."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from operator import mul
from typing import TypeAlias

Vector: TypeAlias = list[float]
SquareMatrix: TypeAlias = list[list[float]]

ARMIJO = 1e-4
"""A step of a climb must gain at least this part of what the slope promises."""

ROUNDING = 1e-14
"""Of a value that is the sum of very many terms, relative."""


def logistic(x: float) -> float:
    """Return 1/(1 + e^−x) for any x, without overflow.

    >>> logistic(0), logistic(1000), logistic(-1000)
    (0.5, 1.0, 0.0)
    """
    if x >= 0:
        return 1 / (1 + math.exp(-x))
    grown = math.exp(x)
    return grown / (1 + grown)


def softplus(x: float) -> float:
    """Return ln(1 + e^x) for any x, without overflow."""
    return max(x, 0.0) + math.log1p(math.exp(-abs(x)))


def dot(a: Sequence[float], b: Sequence[float]) -> float:
    """Return the sum of products."""
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def cholesky(matrix: SquareMatrix) -> SquareMatrix | None:
    """Return the lower triangle L with L·Lᵀ = matrix, or None when the matrix is not positive definite."""
    lower: SquareMatrix = []
    for i, row in enumerate(matrix):
        made: Vector = []
        for j in range(i + 1):
            rest = row[j] - sum(map(mul, made, lower[j] if j < i else made))
            if j < i:
                made.append(rest / lower[j][j])
            elif rest > 0:
                made.append(math.sqrt(rest))
            else:
                return None
        lower.append(made)
    return lower


def solved(lower: SquareMatrix, right: Sequence[float]) -> Vector:
    """Return x with L·Lᵀ·x = right, for the L that `cholesky` gives."""
    forward: Vector = []
    for row, value in zip(lower, right, strict=True):
        forward.append((value - sum(map(mul, row, forward))) / row[-1])
    found = [0.0] * len(forward)
    for i in reversed(range(len(found))):
        known = sum(lower[j][i] * found[j] for j in range(i + 1, len(found)))
        found[i] = (forward[i] - known) / lower[i][i]
    return found


def climbed(
    function: Callable[[Vector], tuple[float, Vector]],
    start: Vector,
    *,
    steepness: float = 1e-8,
    most_steps: int = 500,
) -> tuple[Vector, float] | None:
    """Climb to a maximum by the quasi-Newton method of Broyden, Fletcher, Goldfarb and Shanno.

    Args:
        function: Gives the value and its gradient, both in the order of 1; a value of −inf turns a step back.
        start: Where to begin.
        steepness: The climb ends where no component of the gradient is larger.
        most_steps: Before it is given up.
    Returns:
        Place and value, or None when the climb did not end.
    Source:
        J. Nocedal and S. J. Wright, Numerical Optimization, section 6.1 (from memory).
    """
    place, (value, slope) = list(start), function(start)
    inverse, fresh = _identity(len(place)), True
    for _ in range(most_steps):
        if max(map(abs, slope), default=0.0) <= steepness:
            return place, value
        step = _step(function, place, value, slope, [dot(row, slope) for row in inverse])
        if step is None:
            if fresh:
                return None  # even straight uphill nothing is gained
            inverse, fresh = _identity(len(place)), True
            continue
        moved, value, gradient = step
        move = [new - old for new, old in zip(moved, place, strict=True)]
        change = [old - new for old, new in zip(slope, gradient, strict=True)]
        inverse, fresh = _updated(inverse, move, change, fresh=fresh), False
        place, slope = moved, gradient
    return None


def _identity(size: int) -> SquareMatrix:
    return [[float(i == j) for j in range(size)] for i in range(size)]


def _step(
    function: Callable[[Vector], tuple[float, Vector]], place: Vector, value: float, slope: Vector, direction: Vector
) -> tuple[Vector, float, Vector] | None:
    """Return the first of ever shorter steps that gains enough: the place, its value and its gradient."""
    promised = dot(slope, direction)
    length = 1.0
    while promised > 0 and length > 1e-9:
        moved = [x + length * d for x, d in zip(place, direction, strict=True)]
        reached, gradient = function(moved)
        # Near the top a step gains less than the value's own rounding, and the gradient alone can tell.
        if reached >= value + ARMIJO * length * promised - ROUNDING * abs(value):
            return moved, reached, gradient
        length /= 2
    return None


def _updated(inverse: SquareMatrix, move: Vector, change: Vector, *, fresh: bool) -> SquareMatrix:
    """Return the inverse curvature after a move along which the slope fell by the given change."""
    curvature = dot(move, change)
    if curvature <= 1e-14 * math.sqrt(dot(move, move) * dot(change, change)):
        return inverse
    if fresh:
        # The first curvature that is seen sets the scale of the rest.
        inverse = [[entry * curvature / dot(change, change) for entry in row] for row in inverse]
    turned = [dot(row, change) for row in inverse]
    grown = (1 + dot(change, turned) / curvature) / curvature
    return [
        [
            entry + grown * move[i] * move[j] - (turned[i] * move[j] + move[i] * turned[j]) / curvature
            for j, entry in enumerate(row)
        ]
        for i, row in enumerate(inverse)
    ]
