"""The order in which a search for steady states tries starts: Newton's steps first, then the line they point along.

Written for the difference G(x) = x − Φ(x) of a start x and the state Φ(x) a period later. A passive supply makes G
monotone: along any line, its component in the line's direction only rises. So where Newton's whole steps jump to and
fro over a corner of the map, the point on the line where that component is zero can be closed in from both sides, and
the search goes on from there. Sizes are energies' roots, in parts of the emf's peak.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.supply.ladder import Array

FREE_ROUNDS = 10  # with Newton's whole step wherever it leads: mostly the third is the last
CLOSE = 1e-8  # step that is not worth going on for
PROGRESS = 0.5  # of the mismatch at a line's origin: what is below goes on with its own step


class Search:
    """The search for the steady state of some draws.

    Attributes:
        start: The best starts so far, shape (states, draws).
        derivatives: Of the period's map there, shape (draws, kept, kept).
        active: Indices of the draws still searched for; every argument below is for these.
    """

    def __init__(self, start: Array, kept: list[int], scale: Array) -> None:
        """Begin at a start.

        Args:
            start: Shape (states, draws).
            kept: Indices of the states that outlast a step.
            scale: By which a state is multiplied to give its energy's root, in parts of the peak's, shape (states,
                draws).
        """
        draws = start.shape[1]
        self.start = start.copy()
        self.derivatives = np.zeros((draws, len(kept), len(kept)))
        self.active: NDArray[np.intp] = np.arange(draws)
        self._kept, self._squares = kept, scale[kept] ** 2
        self._size = np.full(draws, np.inf)
        self._step, self._miss = np.zeros_like(start), np.zeros_like(start)
        self._line = _Line(start)

    def following(self, round_: int, trial: Array, miss: Array, slope: Array, step: Array) -> Array:
        """Take note of a trial and return the next; draws that are found leave `active` and the result.

        Args:
            round_: Number of the round, from 0.
            trial: The starts tried, shape (states, active).
            miss: Φ(x) − x there.
            slope: Derivatives of Φ there, shape (active, kept, kept).
            step: Newton's step from there.
        """
        size = self._root(miss, miss)
        self._keep_better(trial, miss, slope, step, size)
        going = self._root(step, step) >= CLOSE
        if round_ < FREE_ROUNDS:
            after = trial + step
        else:
            first = round_ == FREE_ROUNDS
            if first:
                trial, miss, step = self.start[:, self.active], self._miss[:, self.active], self._step[:, self.active]
                size = self._size[self.active]
            after = self._along(first, trial, miss, step, size)
        self.active = self.active[going]
        return np.asarray(after[:, going])

    def _product(self, one: Array, two: Array) -> Array:
        kept = self._kept
        return np.asarray((one[kept] * two[kept] * self._squares[:, self.active]).sum(axis=0))

    def _root(self, one: Array, two: Array) -> Array:
        size = np.sqrt(self._product(one, two))
        return np.asarray(np.where(np.isfinite(size), size, np.inf))

    def _keep_better(self, trial: Array, miss: Array, slope: Array, step: Array, size: Array) -> None:
        is_better = size < self._size[self.active]
        taken = self.active[is_better]
        self.derivatives[taken], self._size[taken] = slope[is_better], size[is_better]
        self.start[:, taken], self._miss[:, taken] = trial[:, is_better], miss[:, is_better]
        self._step[:, taken] = step[:, is_better]

    def _along(self, first: bool, trial: Array, miss: Array, step: Array, size: Array) -> Array:
        """Return the next trial on each draw's line, or on a new line where the old one has done its work."""
        line, active = self._line, self.active
        component = -self._product(miss, line.way[:, active])
        is_done = (size < PROGRESS * line.size[active]) | (line.width(active) * line.length[active] < CLOSE)
        fresh = is_done | first
        line.close_in(active[~fresh], component[~fresh])
        # A step is no longer than the peak; one that does not even set out downhill gives way to a plain period.
        length = self._root(step, step)
        way = step / np.maximum(length, 1.0)
        way = np.where(self._product(miss, way) > 0, way, miss)
        line.begin(active, fresh, trial, way, -self._product(miss, way), size, self._root(way, way))
        return line.point(active)


class _Line:
    """A line per draw, and the two shares of its way between which the component of G along it passes zero."""

    def __init__(self, start: Array) -> None:
        draws = start.shape[1]
        self.origin, self.way = start.copy(), np.zeros_like(start)
        self.size, self.length = np.full(draws, np.inf), np.ones(draws)
        self._low, self._high, self._share = np.zeros(draws), np.full(draws, np.inf), np.ones(draws)
        self._below, self._above = np.zeros(draws), np.zeros(draws)

    def width(self, draws: NDArray[np.intp]) -> Array:
        """Return the distance of the two shares."""
        return np.asarray(self._high[draws] - self._low[draws])

    def begin(
        self,
        draws: NDArray[np.intp],
        fresh: NDArray[np.bool_],
        origin: Array,
        way: Array,
        below: Array,
        size: Array,
        length: Array,
    ) -> None:
        """Set out anew for those draws that are fresh."""
        taken = draws[fresh]
        self.origin[:, taken], self.way[:, taken] = origin[:, fresh], way[:, fresh]
        self.size[taken], self.length[taken], self._below[taken] = size[fresh], length[fresh], below[fresh]
        self._low[taken], self._high[taken], self._share[taken] = 0.0, np.inf, 1.0

    def close_in(self, draws: NDArray[np.intp], component: Array) -> None:
        """Move one of the two shares to the present one, and choose the next (regula falsi, the Illinois variant)."""
        is_below = component < 0
        low, high = draws[is_below], draws[~is_below]
        # Where one share stays put, its component counts half the next time, which draws the next share towards it.
        self._above[low] /= 2
        self._below[high] /= 2
        self._low[low], self._below[low] = self._share[low], component[is_below]
        self._high[high], self._above[high] = self._share[high], component[~is_below]
        open_ = np.isinf(self._high[draws])
        span = self._above[draws] - self._below[draws]
        share = -self._below[draws] / np.where(span > 0, span, 1.0)
        width = np.where(open_, 0.0, self.width(draws))
        self._share[draws] = np.where(open_, 2 * self._share[draws], self._low[draws] + share * width)

    def point(self, draws: NDArray[np.intp]) -> Array:
        """Return the points at the present shares."""
        return np.asarray(self.origin[:, draws] + self._share[draws] * self.way[:, draws])
