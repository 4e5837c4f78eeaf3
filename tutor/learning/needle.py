"""The needle: what is believed of a member's ability in one topic, as weights on a fixed grid.

A Rasch ability θ on 81 points from −4 to 4. It answers, learns and forgets; what is shown is never θ but the score to
be expected on the topic's bank, with an 80 % band. Pure functions on tuples of floats: the same attempts give the
same needle, bit for bit.

Source: the model and its constants are the project's own, validated by simulation; the parts are textbook: G. Rasch
(1960) for the ability, J. T. Wixted and S. K. Carpenter (2007) for power-law forgetting (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

Weights: TypeAlias = tuple[float, ...]
Needle: TypeAlias = Weights

GRID: tuple[float, ...] = tuple(round(-4 + 0.1 * i, 1) for i in range(81))
GUESS, SLIP = 0.02, 0.03
PRIOR_MEAN, PRIOR_SPREAD = -0.3, 1.0
SHARED = 1.0
"""Share of the other topics' mean that an untouched topic starts with."""

LEARNING_SHIFT, LEARNING_SPREAD = 0.10, 0.17
FORGETTING, FORGETTING_SPREAD, LEAST_SPREAD = 0.20, 0.15, 0.05
MOST_SPACED = 12
HINT_POWER = 0.5
"""An answer after a hint tells half as much."""

DIFFICULTY_OF_LEVEL = {1: -1.0, 2: -0.5, 3: 0.5, 4: 1.0}
"""Nearer to the middle than a trainer would say: what looks extreme is mostly less so."""


@dataclass(frozen=True, slots=True)
class Score:
    """The score to be expected on a topic's bank, from 0 to 1, with its 80 % band."""

    mean: float
    low: float
    high: float


def _normalised(weights: Sequence[float]) -> Weights:
    total = math.fsum(weights)
    return tuple(weight / total for weight in weights)


def bell(mean: float, spread: float) -> Weights:
    """Return normal weights on the grid."""
    return _normalised([math.exp(-0.5 * ((theta - mean) / spread) ** 2) for theta in GRID])


def prior(other_means: Sequence[float] = ()) -> Weights:
    """Return the weights of an untouched topic, leaning towards the member's other topics.

    Args:
        other_means: Mean ability of each topic practised already.
    """
    lean = sum(mean - PRIOR_MEAN for mean in other_means) / (len(other_means) + 1)
    return bell(PRIOR_MEAN + SHARED * lean, PRIOR_SPREAD)


def mean_ability(weights: Weights) -> float:
    """Return the mean of θ."""
    return math.fsum(weight * theta for weight, theta in zip(weights, GRID, strict=True))


def chance_right(theta: float, difficulty: float, guess: float = GUESS) -> float:
    """Return the probability of a right answer at ability θ."""
    return guess + (1 - guess - SLIP) / (1 + math.exp(difficulty - theta))


def answered(weights: Weights, difficulty: float, share: float, *, guess: float = GUESS, power: float = 1.0) -> Weights:
    """Return the weights after an answer.

    Args:
        weights: Before.
        difficulty: Of the template, in logits.
        share: Marks earned of those available, 0 to 1.
        guess: Chance of a right guess: 0.02 for numbers, 1/k for a choice of k.
        power: Weight of the evidence; 0.5 after a hint.
    """
    changed = []
    for theta, weight in zip(GRID, weights, strict=True):
        right = chance_right(theta, difficulty, guess)
        changed.append(weight * (right**share * (1 - right) ** (1 - share)) ** power)
    return _normalised(changed)


def learnt(weights: Weights) -> Weights:
    """Return the weights after the feedback on an answer."""
    return _blurred(weights, _learning_rows())


def forgotten(weights: Weights, weeks: float, spaced: int) -> Weights:
    """Return the weights after some time away: what is above the prior's mean sinks towards it, nothing rises.

    Args:
        weights: At the last practice.
        weeks: Since then.
        spaced: Distinct weeks of practice before, less one; what was spaced is forgotten more slowly.
    """
    if weeks <= 0:
        return weights
    return _blurred(weights, _forgetting_rows(weeks, min(max(spaced, 0), MOST_SPACED)))


_Rows: TypeAlias = tuple[tuple[int, Weights], ...]
"""For each point of the grid, where its weight goes: first index and shares."""


def _blurred(weights: Weights, rows: _Rows) -> Weights:
    spread = [0.0] * len(GRID)
    for weight, (first, shares) in zip(weights, rows, strict=True):
        for offset, share in enumerate(shares):
            spread[first + offset] += weight * share
    return _normalised(spread)


def _row(mean: float, spread: float) -> tuple[int, Weights]:
    """Return normal shares around a point; what lies beyond six spreads is left out."""
    first = max(0, math.ceil((mean - 6 * spread + 4) / 0.1 - 1e-9))
    last = min(len(GRID) - 1, math.floor((mean + 6 * spread + 4) / 0.1 + 1e-9))
    if last < first:
        nearest = min(max(round((mean + 4) / 0.1), 0), len(GRID) - 1)
        return nearest, (1.0,)
    shares = [math.exp(-0.5 * ((GRID[i] - mean) / spread) ** 2) for i in range(first, last + 1)]
    return first, _normalised(shares)


@lru_cache(maxsize=1)
def _learning_rows() -> _Rows:
    gains = (LEARNING_SHIFT * min(max(1 - theta / 3, 0.0), 1.5) for theta in GRID)
    return tuple(_row(theta + gain, LEARNING_SPREAD) for theta, gain in zip(GRID, gains, strict=True))


@lru_cache(maxsize=256)
def _forgetting_rows(weeks: float, spaced: int) -> _Rows:
    kept = (1 + weeks) ** (-FORGETTING / (1 + spaced / 2))
    spread = max(LEAST_SPREAD, FORGETTING_SPREAD * math.log2(1 + weeks))
    # Nobody gets better by staying away: who stands below the prior's mean is not drawn up to it.
    return tuple(_row(min(theta, PRIOR_MEAN + (theta - PRIOR_MEAN) * kept), spread) for theta in GRID)


def expected_score(weights: Weights, difficulties: Sequence[float]) -> Score:
    """Return the score to be expected on a bank with the given difficulties, and its 80 % band."""
    curve = _bank_curve(tuple(difficulties))
    mean = math.fsum(weight * score for weight, score in zip(weights, curve, strict=True))
    return Score(mean, curve[_quantile(weights, 0.1)], curve[_quantile(weights, 0.9)])


@lru_cache(maxsize=512)
def _bank_curve(difficulties: tuple[float, ...]) -> Weights:
    count = len(difficulties)
    return tuple(math.fsum(chance_right(theta, b) for b in difficulties) / count for theta in GRID)


def _quantile(weights: Weights, level: float) -> int:
    total = 0.0
    for index, weight in enumerate(weights):
        total += weight
        if total >= level:
            return index
    return len(weights) - 1
