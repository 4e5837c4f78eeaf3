"""Means, spreads and correlations that know when they have no meaning."""

from __future__ import annotations

import math
from collections.abc import Sequence

SAME = 1e-9
"""Shares closer than this are one share: sums of thirds and tenths differ in their last figures."""


def mean(values: Sequence[float]) -> float | None:
    """Return the mean, None of nothing."""
    return math.fsum(values) / len(values) if values else None


def is_constant(values: Sequence[float]) -> bool:
    """Whether all values are one value, or there are none."""
    return not values or max(values) - min(values) <= SAME * max(1.0, abs(max(values)))


def variance(values: Sequence[float], *, sample: bool = False) -> float | None:
    """Return the variance with divisor n, or n − 1 for a sample; None when the divisor is not positive."""
    divisor = len(values) - sample
    if divisor < 1:
        return None
    if is_constant(values):
        return 0.0
    middle = math.fsum(values) / len(values)
    return math.fsum((value - middle) ** 2 for value in values) / divisor


def correlation(a: Sequence[float], b: Sequence[float]) -> float | None:
    """Return Pearson's correlation, −1 to 1; None with fewer than two pairs or where one side is constant."""
    if len(a) < 2 or is_constant(a) or is_constant(b):
        return None
    mean_a, mean_b = math.fsum(a) / len(a), math.fsum(b) / len(b)
    together = math.fsum((x - mean_a) * (y - mean_b) for x, y in zip(a, b, strict=True))
    alone = math.fsum((x - mean_a) ** 2 for x in a) * math.fsum((y - mean_b) ** 2 for y in b)
    return min(max(together / math.sqrt(alone), -1.0), 1.0)
