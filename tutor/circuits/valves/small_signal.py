"""mu, anode resistance and slope of a valve at a point, from the derivatives of its law."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tutor.circuits.valves.models import Array, Law
from tutor.circuits.valves.operating_point import ValvePoint

NO_SLOPE = 1e-290
"""A conductance below this (in A/V) is none: its inverse would not fit a float."""


class SmallSignal(NamedTuple):
    """The three numbers of a valve; arrays of one shape.

    Attributes:
        mu: Amplification factor, mu = gm·ra; 0 for a valve without any current.
        ra: Anode resistance [Ω]; endless for a valve without any current.
        gm: Mutual conductance [A/V].
    """

    mu: Array
    ra: Array
    gm: Array


def small_signal(point: ValvePoint) -> SmallSignal:
    """Return mu, ra and gm at operating points; NaN where there is none. Shapes (draws,).

    The screen of a pentode is held still. A rectifier has an anode resistance only.
    """
    return small_signal_at(point.valve.law, point.voltages)


def small_signal_at(law: Law, voltages: Array) -> SmallSignal:
    """Return mu, ra and gm of a law at voltages [V] of shape (ports, …)."""
    _, slopes = law.slopes(voltages)
    by_anode = slopes[0, 0]
    gm = slopes[0, 1] if "grid" in law.ports else 0.0 * by_anode
    has_slope = ~(by_anode < NO_SLOPE)
    safe = np.where(has_slope, by_anode, 1.0)
    ra = np.where(has_slope, 1.0 / safe, np.inf)
    return SmallSignal(np.where(has_slope, gm / safe, 0.0), ra, gm)
