"""Lots: the drawing of values that a serial fixes for ever.

A lot is a whole number below 2⁶⁴ made from the release, the value's name, the serial and the try by SplitMix64's
mixing.
Plain arithmetic on whole numbers: the same on every machine and Python, for one serial or for an array of them.

Source: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
doi:10.1145/2660193.2660195 (the mixing constants; checked in the tests against the generator's published first
outputs).
"""

from __future__ import annotations

import hashlib
from typing import Any

LARGEST_SERIAL = 2**63 - 1
_MASK = 2**64 - 1
_GOLDEN = 0x9E3779B97F4A7C15
_FIRST = 0xBF58476D1CE4E5B9
_SECOND = 0x94D049BB133111EB


def mix(number: int) -> int:
    """Return SplitMix64's next output for a state."""
    z = (number + _GOLDEN) & _MASK
    z = ((z ^ (z >> 30)) * _FIRST) & _MASK
    z = ((z ^ (z >> 27)) * _SECOND) & _MASK
    return z ^ (z >> 31)


def key_of(release: str, name: str) -> int:
    """Return the key under which a value of a release is drawn."""
    return int.from_bytes(hashlib.sha256(f"{release}/{name}".encode()).digest()[:8], "big")


def lot(key: int, serial: int, attempt: int) -> int:
    """Return the lot of one value for one serial and try, below 2⁶⁴."""
    return mix(mix(key ^ mix(serial)) ^ attempt)


def pick(drawn: int, count: int) -> int:
    """Return an index below `count`, evenly."""
    return ((drawn >> 32) * count) >> 32


# -- the same for arrays of serials ----------------------------------------------------------------------------------
def mix_array(numbers: Any) -> Any:
    """Return `mix` of an array of uint64, shape (draws,)."""
    import numpy as np

    with np.errstate(over="ignore"):
        z = numbers + np.uint64(_GOLDEN)
        z = (z ^ (z >> np.uint64(30))) * np.uint64(_FIRST)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(_SECOND)
        return z ^ (z >> np.uint64(31))


def lot_array(key: int, serials: Any, attempt: int) -> Any:
    """Return `lot` for an array of serials (uint64), shape (draws,)."""
    import numpy as np

    return mix_array(mix_array(np.uint64(key) ^ mix_array(serials)) ^ np.uint64(attempt))


def pick_array(drawn: Any, count: int) -> Any:
    """Return `pick` for an array of lots, shape (draws,)."""
    import numpy as np

    return ((drawn >> np.uint64(32)) * np.uint64(count)) >> np.uint64(32)
