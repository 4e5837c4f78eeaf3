"""Measures of predictions and of practice."""

from __future__ import annotations

import numpy as np

from tutor.learning.simulation.arrays import Floats


def area(shares: Floats, predicted: Floats) -> float:
    """Return the area under the curve: how often the better of two answers was the one predicted better.

    Over all pairs with different shares of marks; ties of the prediction count half. With shares of 0 and 1 only, this
    is the area under the receiver operating characteristic (J. A. Hanley and B. J. McNeil 1982, from memory).

    >>> area(np.array([0.0, 0.0, 1.0]), np.array([0.2, 0.6, 0.6]))
    0.75
    """
    won = pairs = 0.0
    order = np.sort(np.unique(shares))
    for level in order[1:]:
        better, worse = predicted[shares == level], np.sort(predicted[shares < level])
        below = np.searchsorted(worse, better, side="left")
        up_to = np.searchsorted(worse, better, side="right")
        won += float((below + up_to).sum()) / 2
        pairs += float(len(better)) * len(worse)
    return won / pairs


def calibration_error(shares: Floats, predicted: Floats, bins: int = 10) -> float:
    """Return the mean distance between predicted and earned shares, over bins of equal width, weighted by answers.

    >>> calibration_error(np.array([0.0, 1.0]), np.array([0.25, 0.75]))
    0.25
    """
    which = np.minimum((predicted * bins).astype(int), bins - 1)
    count = np.bincount(which, minlength=bins)
    gap = np.bincount(which, shares - predicted, minlength=bins)
    return float(np.abs(gap).sum() / count.sum())


def root_mean_square(errors: Floats) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt(np.mean(errors**2)))


def correlation(a: Floats, b: Floats) -> float:
    """Return the correlation over all elements."""
    return float(np.corrcoef(a.ravel(), b.ravel())[0, 1])


def lower_median(values: Floats) -> float:
    """Return the lower of the middle values, which may be infinite."""
    return float(np.quantile(values, 0.5, method="lower"))
