"""Which suspects readings can tell apart at all, and the fewest test points that tell as much as all of them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from tutor.circuits.faults.diagnosis import SPREAD

MOST_POINTS = 16
"""Beyond this the search for the fewest points would take too long."""


@dataclass(frozen=True, slots=True)
class Separation:
    """What readings can tell.

    Attributes:
        fewest: Places of the fewest points that tell as many pairs apart as all points do; the first such set in order.
        alike: Pairs of cases that no point tells apart.
    """

    fewest: tuple[int, ...]
    alike: tuple[tuple[int, int], ...]


def separation(predicted: Any, errors: Any) -> Separation:
    """Find the fewest points that tell the cases from each other.

    Two cases are told apart at a point when what they would read there differs by more than both errors of the meter
    together and the spread of sound parts (`diagnosis.SPREAD`).

    Args:
        predicted: Volts of every case, shape (cases, points); case 0 may be the healthy circuit.
        errors: Of the meter at those readings [V], same shape.
    Raises:
        ValueError: If there are more than 16 points.
    """
    predicted, errors = np.asarray(predicted, dtype=float), np.asarray(errors, dtype=float)
    cases, points = predicted.shape
    if points > MOST_POINTS:
        raise ValueError(f"found {points} points; at most {MOST_POINTS} can be searched")
    pairs = list(combinations(range(cases), 2))
    told = [_told_by(predicted, errors, first, second) for first, second in pairs]
    alike = tuple(pair for pair, by in zip(pairs, told, strict=True) if not by)
    wanted = [by for by in told if by]
    for size in range(points + 1):
        for chosen in combinations(range(points), size):
            if all(by & set(chosen) for by in wanted):
                return Separation(chosen, alike)
    raise AssertionError("all points together tell what all points tell")


def _told_by(predicted: Any, errors: Any, first: int, second: int) -> set[int]:
    """Return the points that tell two cases apart; one without a prediction is told apart nowhere."""
    a, b = predicted[first], predicted[second]
    with np.errstate(invalid="ignore"):
        far = np.abs(a - b) > errors[first] + errors[second] + SPREAD * np.maximum(np.abs(a), np.abs(b))
    return {int(place) for place in np.flatnonzero(far & np.isfinite(a) & np.isfinite(b))}
