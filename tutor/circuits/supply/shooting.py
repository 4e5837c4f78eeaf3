"""The periodic steady state: the state that a period leads back to itself, by Newton's method on the period's map.

A supply of resistors, capacitors, chokes and rectifiers is passive: of two states the later ones can only come nearer
to each other, measured by the energy of their difference. So there is one steady state, and any period stepped
through is a step towards it. Newton's steps mostly find it in five rounds; `search` says how the others are found. A
coarse map finds the pattern of conduction; the fine one needs only a few rounds with the coarse one's derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.supply.ladder import Array, Network
from tutor.circuits.supply.period import Drive, Period, Track
from tutor.circuits.supply.rectifiers import Law
from tutor.circuits.supply.search import CLOSE, Search

ROUNDS = 40  # periods tried on a map before a draw is given up
CHORDS = 8  # rounds on the fine map with the coarse map's derivatives
COARSENESS = 4  # steps of the fine map to one of the coarse
TRACE = 1e-11  # keeps Newton's equations solvable, and of the right sign, where nothing settles: its ratio tells it


@dataclass(frozen=True, slots=True)
class Cycle:
    """A steady state, or what was reached of it.

    Attributes:
        track: What passes in one period.
        error: How far the start lies from the steady state: Newton's next step, in parts of the peak, shape (draws,).
        ratio: By which a small disturbance has shrunk after one period, at worst, shape (draws,).
        rounds: Periods stepped through on the coarse and the fine map, at most.
    """

    track: Track
    error: Array
    ratio: Array
    rounds: int


class Shooting:
    """The search for the steady state of some draws."""

    def __init__(self, network: Network, law: Law, drive: Drive, steps: int) -> None:
        self._network, self._law, self._drive, self._steps = network, law, drive, steps
        self._kept = network.remembered()
        weights = network.weights()
        self._scale = np.sqrt(weights / (network.capacitance.sum(axis=0) + 1e-30)) / drive.peak
        self._rounds = 0

    def run(self) -> Cycle:
        """Return the steady state of every draw."""
        draws = self._drive.peak.size
        everyone = np.arange(draws)
        start = np.zeros((self._network.states, draws))  # at rest: Newton's method asks for nothing better
        error, ratio = np.zeros(draws), np.zeros(draws)
        if self._kept:
            start, derivatives = self._newton(start, everyone, max(self._steps // COARSENESS, 8))
            start = self._refined(start, derivatives)
            ratio = np.abs(np.linalg.eigvals(derivatives)).max(axis=1)
        track = Period(self._network, self._law, self._drive, self._steps).track(start)
        if self._kept:
            error = self._size(self._step(track.end - start, derivatives), everyone)
        return Cycle(track, error, ratio, self._rounds)

    def _size(self, difference: Array, draws: NDArray[np.intp]) -> Array:
        """Return the root of the energy of a difference, in parts of that at the emf's peak; infinite for no number."""
        scaled = difference[self._kept] * self._scale[self._kept][:, draws]
        size = np.sqrt((scaled**2).sum(axis=0))
        return np.asarray(np.where(np.isfinite(size), size, np.inf))

    def _period(self, draws: NDArray[np.intp], steps: int) -> Period:
        return Period(self._network.taken(draws), self._law.taken(draws), self._drive.taken(draws), steps)

    def _newton(self, start: Array, draws: NDArray[np.intp], steps: int) -> tuple[Array, Array]:
        """Return the best starts found for some draws, and the derivatives of the period's map there."""
        search = Search(start, self._kept, self._scale[:, draws])
        trial = start
        for round_ in range(ROUNDS):
            self._rounds += 1
            end, slope = self._period(draws[search.active], steps).end_and_derivatives(trial, self._kept)
            miss = end - trial
            trial = search.following(round_, trial, miss, slope, self._step(miss, slope))
            if search.active.size == 0:
                break
        return search.start, search.derivatives

    def _step(self, miss: Array, slope: Array) -> Array:
        """Return Newton's step: (1 − slope)⁻¹·miss in the states that are remembered, miss itself in the others."""
        kept = self._kept
        step = miss.copy()
        matrix = (1 + TRACE) * np.eye(len(kept)) - slope
        step[kept] = np.linalg.solve(matrix, miss[kept].T[..., None])[..., 0].T
        return step

    def _refined(self, start: Array, derivatives: Array) -> Array:
        """Return starts for the fine map, found with the coarse one's derivatives.

        Where they do not lead there, Newton's method does, and the derivatives are put right in place.
        """
        refined = start.copy()
        active = np.arange(self._drive.peak.size)
        for _ in range(CHORDS):
            self._rounds += 1
            miss = self._period(active, self._steps).end(refined[:, active]) - refined[:, active]
            step = self._step(miss, derivatives[active])
            refined[:, active] += step
            active = active[self._size(step, active) >= CLOSE]
            if active.size == 0:
                return refined
        refined[:, active], derivatives[active] = self._newton(start[:, active], active, self._steps)
        return refined
