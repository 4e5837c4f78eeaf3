"""One period of the rectified mains, stepped through; with derivatives by the state at its start where wanted.

The rule is the two-stage diagonally implicit Runge-Kutta method of second order with gamma = 1 − 1/√2 and equal
weights. It is L-stable, so the fast charging of a reservoir behind little resistance does not ring from step to step;
and it is algebraically stable (Burrage and Butcher 1979), so the steps keep what the supply itself has: two states
never move apart, also where a rectifier switches. (Its better known twin, whose second stage ends the step, has only
the first of the two: a choke whose current stops then leads to maps with several fixed points or none.) Each stage is
a backward Euler step of length gamma·h in which the rectifier's equation is solved exactly; where a diode turns on or
off within a step the error is of second order like everywhere else.

A full-wave supply repeats after half a mains cycle, and only that is stepped through. Time begins where the emf
passes zero, so that the corner of a rectified sine lies between two steps. What passes is told at the stages, not at
the ends of the steps: there every current and voltage is one that the rectifier allows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.supply.ladder import Array, Ladder, Network
from tutor.circuits.supply.rectifiers import Law

GAMMA = 1 - 1 / np.sqrt(2.0)
SECOND = (1 - 2 * GAMMA) / GAMMA  # how far the second stage starts from the step's start, in moves of the first stage
ENDING = 0.5 / GAMMA  # how far a step goes, in moves of both stages


@dataclass(frozen=True, slots=True)
class Drive:
    """The emf over the repeating period.

    Attributes:
        peak: Of the emf [V], shape (draws,).
        period: After which everything repeats [s], shape (draws,).
        turn: Of the emf's phase in that period [rad]: 2π for half-wave, π for full-wave.
    """

    peak: Array
    period: Array
    turn: float

    def taken(self, draws: NDArray[np.intp]) -> Drive:
        """Return the drive of some draws."""
        return Drive(self.peak[draws], self.period[draws], self.turn)

    def phases(self, steps: int) -> Array:
        """Return the phase of each stage of each step, shape (2·steps,)."""
        starts = np.arange(steps)[:, None]
        return np.asarray(((starts + np.array([GAMMA, 1 - GAMMA])) * (self.turn / steps)).ravel())


@dataclass(frozen=True, slots=True)
class Track:
    """What passed in one period, at each stage; in a mean over the period all stages count alike.

    Attributes:
        phases: Of the emf [rad], shape (stages,).
        end: State at the end of the period, shape (states, draws).
        states: Shape (stages, states, draws); row 0 the voltage of node 0.
        current: Out of the rectifier [A], shape (stages, draws).
    """

    phases: Array
    end: Array
    states: Array
    current: Array


class Period:
    """The map from the state at the start of a period to that at its end, for a number of steps."""

    def __init__(self, network: Network, law: Law, drive: Drive, steps: int) -> None:
        self._ladder = Ladder(network, GAMMA * drive.period / steps)
        self._solve = law.against(self._ladder.resistance)
        self._drive, self._steps = drive, steps
        self._sines = np.sin(drive.phases(steps))

    def end(self, start: Array) -> Array:
        """Return the state after one period, shape (states, draws)."""
        return self._run(start[:, None, :], None)[:, 0, :]

    def end_and_derivatives(self, start: Array, kept: list[int]) -> tuple[Array, Array]:
        """Return the state after one period and its derivatives by the state at the start.

        Args:
            start: Shape (states, draws).
            kept: Indices of the states to derive by; the others have no memory.

        Returns:
            The state, shape (states, draws), and the matrix, shape (draws, kept, kept).
        """
        states, draws = start.shape
        rows = np.zeros((states, 1 + len(kept), draws))
        rows[:, 0] = start
        for row, index in enumerate(kept):
            rows[index, 1 + row] = 1.0
        end = self._run(rows, None)
        return end[:, 0], np.ascontiguousarray(end[kept, 1:].transpose(2, 0, 1))

    def track(self, start: Array) -> Track:
        """Return everything that passes in one period from a start, shape (states, draws)."""
        states, draws = start.shape
        stages = 2 * self._steps
        record = np.empty((stages, states, draws)), np.empty((stages, draws))
        end = self._run(start[:, None, :], record)
        return Track(self._drive.phases(self._steps), end[:, 0], *record)

    def _run(self, start: Array, record: tuple[Array, Array] | None) -> Array:
        now, base = start.copy(), np.empty_like(start)
        first, second = np.empty_like(start), np.empty_like(start)
        for step in range(self._steps):
            current = self._stage(self._sines[2 * step], now, first)
            if record is not None:
                record[0][2 * step], record[1][2 * step] = first[:, 0], current
            first -= now
            np.multiply(first, SECOND, out=base)
            base += now
            current = self._stage(self._sines[2 * step + 1], base, second)
            if record is not None:
                record[0][2 * step + 1], record[1][2 * step + 1] = second[:, 0], current
            second -= base
            first += second
            first *= ENDING
            now += first
        return now

    def _stage(self, sine: Any, base: Array, state: Array) -> Array:
        """Write the state after one backward Euler step and return the rectifier's current."""
        ladder = self._ladder
        voltage = ladder.fold(base)
        current, rate = self._solve(sine * self._drive.peak, voltage[0])
        if len(voltage) > 1:
            voltage[1:] *= 1 + ladder.resistance * rate
        voltage[0] += ladder.resistance * current
        ladder.unfold(voltage, state)
        return current
