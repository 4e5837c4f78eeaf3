"""Steps of a scale: 1, 2 or 5 times a power of ten, and how each is divided; angles and dates have steps of their own.

Multiples of a step are the floats nearest to their decimal text, so that a line at 0.3 is 0.3 on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

SMALLEST_GAP = 4.0
"""Pixels between two lines of a grid: about the millimetre of drawing paper."""

_DIVISIONS = {1: ((1, -1), (2, -1), (5, -1)), 2: ((2, -1), (5, -1), (1, 0)), 5: ((5, -1), (1, 0))}
"""How a step of 1, 2 or 5 may be divided, finest first; each as mantissa and power."""

_ANGLES = {10: (1, 2, 5), 15: (1, 5), 30: (2, 5, 10), 45: (5, 15), 90: (10, 15, 30, 45), 180: (15, 30, 45, 90)}
_TURN = 360


@dataclass(frozen=True, slots=True)
class Step:
    """A step: `mantissa` times ten to the `power`."""

    mantissa: int
    power: int

    @property
    def size(self) -> float:
        """The step as a number."""
        return self.times(1)

    def times(self, index: int) -> float:
        """Return a multiple of the step.

        >>> Step(1, -1).times(3)
        0.3
        """
        return float(f"{index * self.mantissa}e{self.power}")

    def below(self, value: float) -> int:
        """Return the last multiple at or below a value, as its index."""
        return math.floor(value / self.size + 1e-9)

    def above(self, value: float) -> int:
        """Return the first multiple at or above a value, as its index."""
        return math.ceil(value / self.size - 1e-9)

    def within(self, low: float, high: float) -> list[float]:
        """Return the multiples from one value to another, both included."""
        return [self.times(index) for index in range(self.above(low), self.below(high) + 1)]


def steps_from(least: float) -> Iterator[Step]:
    """Yield the steps from the first that is not below a size, upwards without end.

    >>> steps = steps_from(0.3)
    >>> [next(steps).size for _ in range(4)]
    [0.5, 1.0, 2.0, 5.0]
    """
    for power in count(math.floor(math.log10(least)) - 1):
        for mantissa in (1, 2, 5):
            step = Step(mantissa, power)
            if step.size >= least * (1 - 1e-9):
                yield step


def angles_from(least: float) -> Iterator[Step]:
    """Yield the steps of a scale of degrees: 1, 2, 5, 10, 15, 30, 45, 90, 180, then turns."""
    for step in steps_from(least):
        if step.size > 5:
            break
        yield step
    yield from (Step(size, 0) for size in _ANGLES if size >= least * (1 - 1e-9))
    yield from (Step(_TURN * step.mantissa, step.power) for step in steps_from(max(1.0, least / _TURN)))


def division(step: Step, pixels: float) -> Step:
    """Return the finest division of a step that is this many pixels long; the step itself if it is too short for any.

    >>> division(Step(5, 1), 36).size, division(Step(1, 2), 30).size, division(Step(2, 0), 7).size
    (10.0, 20.0, 2.0)
    """
    if step.mantissa in _DIVISIONS:
        finer = [Step(mantissa, step.power + power) for mantissa, power in _DIVISIONS[step.mantissa]]
    elif step.power == 0 and step.mantissa in _ANGLES:
        finer = [Step(size, 0) for size in _ANGLES[step.mantissa]]
    else:
        finer = [Step(_TURN // 4, 0)] if step == Step(_TURN, 0) else []
    return next((one for one in finer if pixels * one.size / step.size >= SMALLEST_GAP), step)
