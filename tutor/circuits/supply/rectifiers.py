"""The rectifier's equation: the current it gives into a source of voltage behind a resistance, at one instant.

A winding with its rectifier has no memory. Of the two legs, the one whose half cycle it is carries x, the other y; both
carry only while the emf is too small to turn one off, as with a choke input near the zero of the mains. With the
network folded to `v = thevenin + resistance·(x + y)` and `e` the size of the emf, both full-wave rectifiers obey

    own·x + cross·y + m·D(x) =  e − thevenin        (x = 0 where the left side could not be reached)
    cross·x + own·y + m·D(y) = −e − thevenin        (the same for y)

with D the diode's forward voltage, m = 1 for bi-phase and 2 for a bridge. A half-wave rectifier has the first line
alone, and e keeps its sign.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.supply.description import Ideal, Silicon, Supply, Topology, Vacuum
from tutor.circuits.supply.ladder import spread

Array = NDArray[np.float64]
ROUNDS = 40  # of Newton's method for two vacuum diodes at once; it is there after 5 to 15
CLOSE = 1e-8  # last move of that search, in parts of the root


class Law(Protocol):
    """A winding with its rectifier, for the draws it was made for."""

    topology: Topology
    winding: Array

    def taken(self, draws: NDArray[np.intp]) -> Law:
        """Return the law of some draws."""

    def against(self, resistance: Array) -> Solver:
        """Return the solver for a network of this resistance [Ω], shape (draws,)."""

    def drop(self, current: Array) -> Array:
        """Return one diode's forward voltage [V] at a current [A], last axis the draws."""

    def headroom(self, emf: Array, voltage: Array) -> Array:
        """Return what is left of the emf for resistance and diodes, without their fixed drop: it conducts above 0."""

    def other_leg(self, emf: Array, current: Array) -> Array:
        """Return y, the share of the other leg in the total current, shape as the current's."""


class Solver(Protocol):
    """The equation for one network resistance."""

    def __call__(self, emf: Array, thevenin: Array) -> tuple[Array, Array]:
        """Return the total current x + y [A] and its derivative by `thevenin` [S], shape (draws,)."""


class StraightLaw:
    """Diodes on a straight line: drop and slope. Everything is a closed form, piece by piece."""

    def __init__(self, topology: Topology, winding: Array, drop: Array, slope: Array) -> None:
        self.topology, self.winding, self._drop, self._slope = topology, winding, drop, slope
        self._in_series = 2 if topology is Topology.BRIDGE else 1

    def taken(self, draws: NDArray[np.intp]) -> StraightLaw:
        """Return the law of some draws."""
        return StraightLaw(self.topology, self.winding[draws], self._drop[draws], self._slope[draws])

    def against(self, resistance: Array) -> Solver:
        """Return the solver: the largest of nothing, one leg alone, and both."""
        fixed = self._in_series * self._drop
        one = 1 / (resistance + self.winding + self._in_series * self._slope)
        if self.topology is Topology.HALF_WAVE:

            def solve_one(emf: Array, thevenin: Array) -> tuple[Array, Array]:
                current = one * (emf - fixed - thevenin)
                return np.maximum(current, 0.0), np.where(current > 0, -one, 0.0)

            return solve_one
        both = 1 / (resistance + self._shared())

        def solve_two(emf: Array, thevenin: Array) -> tuple[Array, Array]:
            gap = -fixed - thevenin
            current = one * (emf + gap)
            slope = np.where(current > 0, -one, 0.0)
            if gap.max() > 0:  # only a choke pulls the rectifier's output below earth
                overlap = both * gap
                is_both = overlap > np.maximum(current, 0.0)
                current = np.where(is_both, overlap, current)
                slope = np.where(is_both, -both, slope)
            return np.maximum(current, 0.0), slope

        return solve_two

    def _shared(self) -> Array:
        """Return the resistance of both legs side by side, at their common output [Ω]."""
        return self._slope if self.topology is Topology.BRIDGE else (self.winding + self._slope) / 2

    def drop(self, current: Array) -> Array:
        """Return one diode's forward voltage; its drop alone at no current."""
        return self._drop + self._slope * current

    def headroom(self, emf: Array, voltage: Array) -> Array:
        """Return emf less voltage less the fixed drops."""
        return np.asarray(emf - voltage - self._in_series * self._drop)

    def other_leg(self, emf: Array, current: Array) -> Array:
        """Return y: half of what the total exceeds the difference that the emf drives round."""
        if self.topology is Topology.HALF_WAVE:
            return np.zeros_like(current)
        difference = 2 * emf / (self._in_series * (self.winding + self._slope))
        return np.asarray(np.maximum(current - difference, 0.0) / 2)


class VacuumLaw:
    """Vacuum diodes, I = P·V^1.5, solved in s = √V, in which the equation of one leg is a cubic."""

    def __init__(self, topology: Topology, winding: Array, perveance: Array) -> None:
        self.topology, self.winding, self._perveance = topology, winding, perveance
        self._in_series = 2 if topology is Topology.BRIDGE else 1

    def taken(self, draws: NDArray[np.intp]) -> VacuumLaw:
        """Return the law of some draws."""
        return VacuumLaw(self.topology, self.winding[draws], self._perveance[draws])

    def against(self, resistance: Array) -> Solver:
        """Return the solver by Newton's method in √V, which falls to the root from above."""
        cubic, quadratic = (resistance + self.winding) * self._perveance, float(self._in_series)

        def solve(emf: Array, thevenin: Array) -> tuple[Array, Array]:
            drive = emf - thevenin
            root = _root_of_leg(cubic, quadratic, drive)
            current = self._perveance * root * root * root
            rate = -3 * self._perveance * root / (3 * cubic * root + 2 * quadratic)
            if self.topology is not Topology.HALF_WAVE:
                self._solve_both(resistance, emf, thevenin, current, rate)
            return current, rate

        return solve

    def _solve_both(self, resistance: Array, emf: Array, thevenin: Array, current: Array, rate: Array) -> None:
        """Put right, in place, the draws in which the other leg conducts as well."""
        cross = resistance - self.winding if self.topology is Topology.BRIDGE else resistance
        pushed = -emf - thevenin - cross * current
        places = np.flatnonzero(pushed > 1e-12 * (emf + np.abs(thevenin)))
        if places.size == 0:
            return
        perveance = self._perveance[places]
        own = ((resistance + self.winding) * self._perveance)[places]
        crossed = cross[places] * perveance
        one, two, gain = _roots_of_both(
            own, crossed, float(self._in_series), (emf - thevenin)[places], (-emf - thevenin)[places]
        )
        current[places] = perveance * (one**3 + two**3)
        rate[places] = -perveance * gain

    def drop(self, current: Array) -> Array:
        """Return one anode's forward voltage."""
        return np.asarray(np.cbrt(np.maximum(current, 0.0) / self._perveance) ** 2)

    def headroom(self, emf: Array, voltage: Array) -> Array:
        """Return emf less voltage; a vacuum diode has no fixed drop."""
        return np.asarray(emf - voltage)

    def other_leg(self, emf: Array, current: Array) -> Array:
        """Return y from the loop of both legs: R·(x − y) + D(x) − D(y) = 2e for bi-phase, e for a bridge."""
        other = np.zeros_like(current)
        if self.topology is Topology.HALF_WAVE:
            return other
        loop = np.broadcast_to(2 * emf / self._in_series, current.shape)
        winding = np.broadcast_to(self.winding, current.shape)
        places = np.nonzero(winding * current + self.drop(current) > loop)
        if places[0].size == 0:
            return other
        total, target, series = current[places], loop[places], winding[places]
        perveance = np.broadcast_to(self._perveance, current.shape)[places]
        low, high = np.zeros_like(total), total / 2
        for _ in range(52):  # halving: the difference of the two drops falls steadily as y grows
            middle = (low + high) / 2
            drops = np.cbrt((total - middle) / perveance) ** 2 - np.cbrt(middle / perveance) ** 2
            too_small = series * (total - 2 * middle) + drops > target
            low, high = np.where(too_small, middle, low), np.where(too_small, high, middle)
        other[places] = (low + high) / 2
        return other


def _root_of_leg(cubic: Array, quadratic: float, drive: Array) -> Array:
    """Return s ≥ 0 of cubic·s³ + quadratic·s² = drive; exactly 0 where the drive is not positive."""
    conducts = drive > 0
    if not conducts.any():
        return np.zeros_like(drive)
    positive = np.maximum(drive, 1e-30)
    # Both terms alone give a bound from above, at most 1.26 times the root; from there Newton's steps fall to it: after
    # four they are within 1e-10 of it.
    root = np.minimum(np.sqrt(positive / quadratic), np.cbrt(positive / np.maximum(cubic, 1e-30)))
    for _ in range(4):
        tilted = cubic * root
        root = (root * root * (2 * tilted + quadratic) + positive) / (root * (3 * tilted + 2 * quadratic))
    return np.asarray(root * conducts)


def _roots_of_both(own: Array, cross: Array, quadratic: float, first: Array, second: Array) -> tuple[Any, Any, Any]:
    """Return s and t of both legs, and the derivative of s³ + t³ by the common drive.

    The two equations are own·s³ + cross·t³ + quadratic·s² = first and the same with s, t and first, second changed
    over.
    """
    sum_of_both = np.maximum((first + second) / 2, 1e-12)
    start = _root_of_leg(own + cross, quadratic, sum_of_both)
    one, two = start.copy(), 0.5 * start
    tiny = 1e-9 * start
    for _ in range(ROUNDS):
        a, b, c, d = _slopes_of_both(own, cross, quadratic, one, two)
        miss_one = own * one**3 + cross * two**3 + quadratic * one**2 - first
        miss_two = cross * one**3 + own * two**3 + quadratic * two**2 - second
        determinant = a * d - b * c
        step_one = (d * miss_one - b * miss_two) / determinant
        step_two = (a * miss_two - c * miss_one) / determinant
        # No step takes more than half of a root away nor more than doubles it: both stay positive.
        new_one = np.clip(one - step_one, 0.5 * one, 2 * one + tiny)
        new_two = np.clip(two - step_two, 0.5 * two, 2 * two + tiny)
        moved = np.maximum(np.abs(new_one - one), np.abs(new_two - two))
        one, two = new_one, new_two
        if np.all(moved <= CLOSE * start):  # the next step would be the square of that
            break
    a, b, c, d = _slopes_of_both(own, cross, quadratic, one, two)
    gain = (3 * one**2 * (d - b) + 3 * two**2 * (a - c)) / (a * d - b * c)
    return one, two, gain


def _slopes_of_both(
    own: Array, cross: Array, quadratic: float, one: Array, two: Array
) -> tuple[Array, Array, Array, Array]:
    """Return the derivatives of the left sides: of the first by s and t, of the second by s and t."""
    return (
        one * (3 * own * one + 2 * quadratic),
        3 * cross * two**2,
        3 * cross * one**2,
        two * (3 * own * two + 2 * quadratic),
    )


def law_of(supply: Supply) -> Law:
    """Return the law of a supply's winding and rectifier, spread over its draws."""
    draws, rectifier = supply.draws, supply.rectifier
    winding = spread(supply.winding.resistance, draws)
    if isinstance(rectifier, Vacuum):
        return VacuumLaw(supply.topology, winding, spread(rectifier.perveance, draws))
    if isinstance(rectifier, Silicon):
        return StraightLaw(supply.topology, winding, spread(rectifier.drop, draws), spread(rectifier.slope, draws))
    assert isinstance(rectifier, Ideal)
    return StraightLaw(supply.topology, winding, np.zeros(draws), spread(rectifier.resistance, draws))
