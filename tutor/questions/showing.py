"""Computed values for people: three figures, phasors with their angle."""

from __future__ import annotations

import cmath
import math

from tutor.quantities import Unit, show

FIGURES = 3
"""Significant figures of computed values in texts."""

EXACT = 1e-9
"""A computed value this near to its rounded one is shown without trailing noughts: 4 kΩ, but 11.0 V for 10.99 V."""


def computed(value: float, unit: Unit) -> str:
    """Return a computed value for people, to three figures."""
    rounded = float(f"{value:.{FIGURES}g}")
    return show(value, unit, FIGURES, trim=abs(value - rounded) <= EXACT * abs(value))


def phasor(value: complex, unit: Unit) -> str:
    """Return a value for people that may have an angle: `14.4 kΩ ∠ −33.7°`."""
    if abs(value.imag) <= EXACT * abs(value):
        return computed(value.real, unit)
    angle = f"{math.degrees(cmath.phase(value)):.1f}".replace("-", "−")
    return f"{computed(abs(value), unit)} ∠ {angle}°"
