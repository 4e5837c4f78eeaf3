"""Where a valve and its law may be asked."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Where a valve and its law may be asked.

    Attributes:
        anode_voltage: Lowest and highest voltage from cathode to anode [V].
        cathode_current: Lowest and highest current of anode and screen together [A].
        grid_voltage: Highest voltage of the grid [V].
        screen_voltage: Lowest and highest voltage of the screen [V].
        cut_off: Current of anode and screen below which the valve counts as cut off [A].
        anode_dissipation: Rated heat of the anode [W].
        screen_dissipation: Rated heat of the screen [W].
    """

    anode_voltage: tuple[float, float] = (0.0, math.inf)
    cathode_current: tuple[float, float] = (0.0, math.inf)
    grid_voltage: float = math.inf
    screen_voltage: tuple[float, float] = (0.0, math.inf)
    cut_off: float = 1e-6
    anode_dissipation: float = math.inf
    screen_dissipation: float = math.inf
