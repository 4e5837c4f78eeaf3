"""Short names for the kinds of arrays that the simulation passes about."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Whole: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]


def logistic(x: Floats) -> Floats:
    """Return 1/(1 + e^−x), any shape."""
    return 1 / (1 + np.exp(-x))
