"""Damped Newton for the voltages at which valves and circuit agree, over many draws at once.

One step solves the circuit with every valve replaced by its tangent. From the start without any current a single stage
comes down to its operating point from one side, so that few steps are ever damped; the rest is for what the tangent
misleads: knees, cathodes pulled up by other valves, positive feedback. Nothing here runs longer than its bounds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.valves.models import Array
from tutor.circuits.valves.ports import Surroundings, largest

Flags = NDArray[np.bool_]

CLOSE = 1e-10
"""Mismatch that counts as agreement, as a share of `Surroundings.scale`."""

MOST_STEPS = 60
MOST_HALVINGS = 10
NEAR = 0.01  # volts above the cathode below which a step may cross it
LEAST = 0.05  # share of its voltage that one step leaves an anode or screen


@dataclass(slots=True)
class Answer:
    """Voltages found so far, ports first.

    Attributes:
        u: Port voltages [V], shape (ports, draws).
        steps: Newton steps taken, shape (draws,).
        found: Whether valves and circuit agree, shape (draws,).
    """

    u: Array
    steps: NDArray[np.int64]
    found: Flags


def newton(around: Surroundings, start: Array, most: int = MOST_STEPS) -> Answer:
    """Return where Newton's method gets from a start.

    Args:
        around: The circuit.
        start: Port voltages [V], shape (ports, draws).
        most: Steps after which a draw is given up.
    """
    answer = Answer(start.copy(), np.full(around.draws, most), np.zeros(around.draws, dtype=bool))
    at, u = np.arange(around.draws), start
    i, slopes = around.slopes(u)
    f = around.mismatch(u, i)
    error = error_of(around, f)
    for step in range(most + 1):
        close = error <= CLOSE
        if close.any():
            done = at[close]
            answer.u[:, done], answer.steps[done], answer.found[done] = u[:, close], step, True
            rest = ~close
            at, u, f, error, around = at[rest], u[:, rest], f[:, rest], error[rest], around.of(rest)
            slopes = slopes[:, :, rest]
        if not len(at) or step == most:
            break
        ahead = step_of(around, f, slopes)
        u, slopes, f, error = _damped(around, u, ahead, error)
    if len(at):
        answer.u[:, at] = u
    return answer


def error_of(around: Surroundings, f: Array) -> Array:
    """Return the largest mismatch of each draw, measured against its voltages; NaN counts as endless."""
    error = largest(np.abs(f) / around.scale)
    return np.where(np.isnan(error), np.inf, error)


def step_of(around: Surroundings, f: Array, slopes: Array, drag: Array | float = 0.0) -> Array:
    """Return the step [V] to where the tangents of all valves meet the circuit, shape (ports, draws).

    Args:
        around: The circuit.
        f: The mismatch [V], shape (ports, draws).
        slopes: The valves' derivatives [A/V], shape (ports, ports, draws).
        drag: What holds each port back, as a ratio of its own voltage, shape (draws,); 0 is Newton's whole step.
    """
    ports = len(f)
    jacobian = np.empty_like(slopes)
    for p in range(ports):
        for q in range(ports):
            total = around.z[p, 0] * slopes[0, q]
            for r in range(1, ports):
                total += around.z[p, r] * slopes[r, q]
            jacobian[p, q] = total
        jacobian[p, p] += 1.0 + drag
    return _solved(jacobian, -f)


def _solved(a: Array, b: Array) -> Array:
    """Return x of A·x = b, ports first; changes both.

    Eliminates without choosing pivots: they are one and more in circuits without feedback, and a step that turns out
    bad is halved. Where a pivot is zero the unknown is left alone.
    """
    ports = len(b)
    for p in range(ports):
        a[p, p] = np.where(a[p, p] == 0, np.inf, a[p, p])
        for row in range(p + 1, ports):
            share = a[row, p] / a[p, p]
            for q in range(p + 1, ports):
                a[row, q] -= share * a[p, q]
            b[row] -= share * b[p]
    for p in reversed(range(ports)):
        for q in range(p + 1, ports):
            b[p] -= a[p, q] * b[q]
        b[p] /= a[p, p]
    return b


def _damped(around: Surroundings, u: Array, ahead: Array, before: Array) -> tuple[Array, Array, Array, Array]:
    """Return voltages, derivatives, mismatch and error after a step, halved where all of it makes things worse."""
    new = _kept_above(around, u, u + ahead)
    i, new_slopes = around.slopes(new)
    new_f = around.mismatch(new, i)
    error = error_of(around, new_f)
    worse = ~(error < before)
    share = 1.0
    for _ in range(MOST_HALVINGS):
        if not worse.any():
            break
        share /= 2
        some = np.flatnonzero(worse)
        part = around.of(some)
        tried = _kept_above(part, u[:, some], u[:, some] + share * ahead[:, some])
        i, tried_slopes = part.slopes(tried)
        tried_f = part.mismatch(tried, i)
        new[:, some], new_slopes[:, :, some], new_f[:, some] = tried, tried_slopes, tried_f
        error[some] = error_of(part, tried_f)
        worse[some] = ~(error[some] < before[some])
    return new, new_slopes, new_f, error


def _kept_above(around: Surroundings, u: Array, new: Array) -> Array:
    """Return the new voltages with anodes and screens not thrown below their cathodes in one stride.

    Below its cathode an anode has no slope to come back by.
    """
    fallen = (new < LEAST * u) & (u > NEAR) & around.rails[:, None]
    return np.where(fallen, LEAST * u, new)
