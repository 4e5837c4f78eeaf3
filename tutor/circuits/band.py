"""The mid-band gain of a transfer function and its −3 dB frequencies, for one set of values.

*Mid-band* here is the level stretch: between two neighbouring corners the straight-line response either slopes or is
level, and of the level stretches the one with the greatest gain counts. The mid-band gain is the gain itself, not its
straight line, at the geometric middle of that stretch; at 0 Hz where the stretch begins there, and at infinity where it
ends there. Where nothing is level (a tuned circuit), it is the greatest gain at any corner. This is the trade's rule,
coupling and bypass capacitors taken as short and stray ones as open, put so that it needs nobody's eye.

The −3 dB frequencies are where the gain has fallen to 1/√2 of that: the nearest on either side, found numerically.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.transfer import Response

POINTS_PER_DECADE = 60
DECADES_BEYOND = 4
"""How far beyond the outermost corner −3 dB frequencies are looked for; a single corner lies at its own."""

HALVINGS = 80
HALF_POWER = math.sqrt(0.5)


@dataclass(frozen=True, slots=True)
class Band:
    """The mid-band gain and where it ends.

    Attributes:
        frequency: Where it is read [Hz]; 0 or infinite at an end of the band.
        gain: The gain there, complex; negative where the stage inverts.
        lower: The −3 dB frequency below [Hz]; None where the band reaches down to 0.
        upper: That above; None where it reaches up without end.
    """

    frequency: float
    gain: complex
    lower: float | None
    upper: float | None


def band_of(response: Response, values: Mapping[str, Any]) -> Band:
    """Return the mid-band gain and the −3 dB frequencies.

    Args:
        response: The transfer function.
        values: Every symbol's value in SI units, single numbers.

    Raises:
        SingularCircuitError: If the gain has no finite value in mid-band: a resonance without damping, or no gain.
    """
    poles, zeros = (
        [complex(root) for root in roots if math.isfinite(abs(root))]
        for roots in (response.poles(values)[0], response.zeros(values)[0])
    )
    corners = sorted(abs(root) / (2 * math.pi) for root in (*poles, *zeros) if root)
    frequency = _middle(response, values, (poles, zeros))
    gain = _gain(response, values, frequency)
    if not math.isfinite(abs(gain)) or not gain:
        what = "it grows beyond every bound: a resonance without damping" if gain else "nothing passes"
        raise SingularCircuitError("the mid-band gain", "ac", what)
    if not corners:
        return Band(frequency, gain, None, None)
    wanted = abs(gain) * HALF_POWER
    grid = _grid(corners, poles)
    return Band(
        frequency,
        gain,
        _crossing(response, values, wanted, [f for f in reversed(grid) if f < frequency], start=frequency),
        _crossing(response, values, wanted, [f for f in grid if f > frequency], start=frequency),
    )


def _gain(response: Response, values: Mapping[str, Any], frequency: float) -> complex:
    if math.isinf(frequency):
        return _at_infinity(response, values)
    return complex(response.at(values, [2j * math.pi * frequency])[0, 0])


def _at_infinity(response: Response, values: Mapping[str, Any]) -> complex:
    """Return the gain far above every corner."""
    roots = [abs(r) for r in (*response.poles(values)[0], *response.zeros(values)[0]) if math.isfinite(abs(r))]
    far = max(roots, default=1.0) * 1e9
    # What is left of the last corner stands at right angles to it.
    return complex(response.at(values, [1j * far])[0, 0].real)


def _middle(response: Response, values: Mapping[str, Any], roots: tuple[list[complex], list[complex]]) -> float:
    """Return the middle of the level stretch with the greatest gain [Hz]."""
    poles, zeros = roots
    slope = sum(not zero for zero in zeros) - sum(not pole for pole in poles)
    bends = [(abs(zero) / (2 * math.pi), 1) for zero in zeros if zero]
    bends += [(abs(pole) / (2 * math.pi), -1) for pole in poles if pole]
    edges = sorted({frequency for frequency, _ in bends})
    middles = [0.0] if slope == 0 else []
    for place, edge in enumerate(edges):
        slope += sum(step for frequency, step in bends if frequency == edge)
        if slope == 0:
            beyond = edges[place + 1] if place + 1 < len(edges) else math.inf
            middles.append(math.sqrt(edge * beyond))
    # Nothing level: a tuned circuit, or a slope without end.
    candidates = middles or edges
    if not candidates:
        raise SingularCircuitError("the mid-band gain", "ac", "the response slopes without end")
    return max(candidates, key=lambda frequency: abs(_gain(response, values, frequency)))


def _grid(corners: list[float], poles: list[complex]) -> list[float]:
    """Return frequencies that miss no crossing: even on a logarithmic scale, and close about every sharp resonance."""
    low, high = min(corners) / 10**DECADES_BEYOND, max(corners) * 10**DECADES_BEYOND
    count = int(math.log10(high / low) * POINTS_PER_DECADE) + 1
    found = {low * (high / low) ** (place / count) for place in range(count + 1)} | set(corners)
    for pole in poles:
        if pole.imag > 0:
            centre, width = abs(pole.imag) / (2 * math.pi), abs(pole.real) / (2 * math.pi)
            found |= {centre + width * step / 4 for step in range(-16, 17)} | {centre}
    return sorted(frequency for frequency in found if frequency > 0)


def _crossing(
    response: Response, values: Mapping[str, Any], wanted: float, grid: list[float], start: float
) -> float | None:
    """Return the first frequency along a grid where the gain falls below what is wanted."""
    import numpy as np

    if not grid:
        return None
    sizes = np.abs(response.at(values, 2j * math.pi * np.array(grid)))[0]
    below = np.flatnonzero(~(sizes >= wanted))
    if not len(below):
        return None
    place = int(below[0])
    outside = grid[place]
    inside = grid[place - 1] if place else (start if 0 < start < math.inf else outside)
    for _ in range(HALVINGS):
        middle = math.sqrt(inside * outside)
        if abs(_gain(response, values, middle)) >= wanted:
            inside = middle
        else:
            outside = middle
    return math.sqrt(inside * outside)
