"""Whether the drawn numbers matter: facility by quartile of a quantity that may drive the difficulty."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import quantiles

from tutor.learning.item_analysis.classical import Facility, facility


@dataclass(frozen=True, slots=True)
class Quartile:
    """Answers whose driver lies in one quarter.

    Attributes:
        low: Smallest driver among them.
        high: Largest.
        facility: Of these answers.
    """

    low: float
    high: float
    facility: Facility


def facility_by_quartile(drivers: Sequence[float | None], shares: Sequence[float]) -> tuple[Quartile, ...]:
    """Return the facility in each quarter of the driver, from low to high.

    Equal drivers stay together, so that a driver with few values gives fewer quarters, of unequal size.

    Args:
        drivers: One per answer, such as a ratio of resistances; None and what is not finite are left out.
        shares: Of the marks, one per answer.
    Raises:
        ResponsesError: If a share is not a number from 0 to 1.
    """
    pairs = [
        (driver, share)
        for driver, share in zip(drivers, shares, strict=True)
        if driver is not None and math.isfinite(driver)
    ]
    if not pairs:
        return ()
    ordered = sorted(driver for driver, _ in pairs)
    cuts = quantiles(ordered, n=4, method="inclusive") if len(ordered) > 1 else []
    quarters: dict[int, list[tuple[float, float]]] = {}
    for driver, share in pairs:
        quarters.setdefault(bisect_left(cuts, driver), []).append((driver, share))
    return tuple(_quartile(quarters[place]) for place in sorted(quarters))


def _quartile(pairs: Sequence[tuple[float, float]]) -> Quartile:
    found = facility([share for _, share in pairs])
    assert found is not None
    return Quartile(min(driver for driver, _ in pairs), max(driver for driver, _ in pairs), found)
