"""Which slips can be told from the key and from each other, for the values of one question."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from tutor.quantities import Tolerance


def slips_that_tell(tolerance: Tolerance, key: float, values: Sequence[float | None]) -> list[bool]:
    """Tell for each slip whether its value lies two half-widths or more from the key and apart from other slips.

    Args:
        tolerance: Of the ask.
        key: Its right value.
        values: The wrong value that each slip gives; None where it gives none.
    """
    width = max(tolerance.half_width(key), abs(key) * 1e-9)
    apart = [value is not None and abs(value - key) >= 2 * width for value in values]
    for (i, a), (j, b) in itertools.combinations(enumerate(values), 2):
        if a is None or b is None:
            continue
        if abs(a - b) <= max(tolerance.half_width(a), tolerance.half_width(b)):
            apart[i] = apart[j] = False
    return apart
