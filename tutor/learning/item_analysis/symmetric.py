"""Elementary symmetric functions: what conditional estimation in the Rasch model is made of.

Questions have weights ε = e^−b; γ_r is the sum, over all ways to get r of them right, of the products of their weights.
Everything is built by the summation algorithm, which only adds and multiplies positive numbers and so loses no figures
however many questions there are; the quicker difference algorithm does.

Source: G. H. Fischer and I. W. Molenaar (eds), Rasch Models (Springer 1995), chapters 3 and 8 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from operator import mul

from tutor.learning.item_analysis.numerics import SquareMatrix, Vector


def symmetric_functions(weights: Sequence[float]) -> Vector:
    """Return γ_0 … γ_k of k weights.

    >>> symmetric_functions([2.0, 3.0, 5.0])
    [1.0, 10.0, 31.0, 30.0]
    """
    return _prefixes(weights)[-1]


def _prefixes(weights: Sequence[float]) -> list[Vector]:
    """Return the symmetric functions of the first 0, 1, … k weights."""
    found = [[1.0]]
    for weight in weights:
        before = found[-1]
        found.append([a + weight * b for a, b in zip([*before, 0.0], [0.0, *before], strict=True)])
    return found


def log_symmetric(weights: Sequence[float], counts: Sequence[float]) -> float:
    """Return Σ n_r·ln γ_r.

    Args:
        weights: ε of each of k questions.
        counts: n_r, how many got r right, for r = 0 … k.
    """
    functions = symmetric_functions(weights)
    return math.fsum(n * math.log(gamma) for n, gamma in zip(counts, functions, strict=True) if n)


def expected_totals(weights: Sequence[float], counts: Sequence[float]) -> Vector:
    """Return, per question, how many of those with the given scores are expected to get it right.

    Args:
        weights: ε of each of k questions.
        counts: n_r, how many got r right, for r = 0 … k.
    """
    prefixes = _prefixes(weights)
    # `after[r]` sums, over the questions still to come, what r right before them is worth: the recursion run backwards.
    after = [n / gamma if n else 0.0 for n, gamma in zip(counts, prefixes[-1], strict=True)]
    found: Vector = []
    for weight, before in zip(reversed(weights), reversed(prefixes[:-1]), strict=True):
        found.append(weight * sum(map(mul, before, after[1:])))
        after = [a + weight * b for a, b in pairwise(after)]
    return found[::-1]


def information(weights: Sequence[float], counts: Sequence[float]) -> SquareMatrix:
    """Return the covariances of the answers given the scores, summed over members: the information about b.

    Args:
        weights: ε of each of k questions.
        counts: n_r, how many got r right, for r = 0 … k.
    Returns:
        Symmetric, k × k; every row sums to zero, because a score is fixed.
    """
    k, functions = len(weights), symmetric_functions(weights)
    taken: list[Vector] = []  # per question and score from 1: how many are expected to have it right
    both: SquareMatrix = []
    for i, weight in enumerate(weights):
        others = [*weights[:i], *weights[i + 1 :]]
        left = symmetric_functions(others)
        taken.append([counts[r] * weight * left[r - 1] / functions[r] for r in range(1, k + 1)])
        row = expected_totals(others, taken[i])
        both.append([*row[:i], math.fsum(taken[i]), *row[i:]])
    shares = [[t / n if n else 0.0 for t, n in zip(row, counts[1:], strict=True)] for row in taken]
    return [[both[i][j] - sum(map(mul, taken[i], shares[j])) for j in range(k)] for i in range(k)]
