"""What is tried where Newton's method alone does not arrive.

First the cathodes are brought up from next to no emission to their own, the point being followed all the way; then the
circuit is left to settle in time, as if every port had a capacitor; and a single valve has its currents closed in by
halving. All end after a bounded number of steps.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tutor.circuits.valves.models import Array, GridCurrent
from tutor.circuits.valves.newton import CLOSE, Answer, error_of, newton, step_of
from tutor.circuits.valves.ports import Surroundings

FIRST_EMISSION = 1e-6
MOST_RISES = 60
STEPS_PER_RISE = 15
WIDEST_RISE, NARROWEST_RISE = 100.0, 1.01

MOST_INSTANTS = 300
FIRST_INSTANT = 1e-4  # in time constants of a port without its valve
SHORTEST_INSTANT, LONGEST_INSTANT = 1e-6, 1e12
SHORTER, LONGER, MUCH_LONGER = 0.5, 1.5, 8.0  # by how much one instant may differ from that before it

HALVINGS = 40
MOST_CURRENT = 1e3  # amperes


def follow_emission(around: Surroundings) -> Answer:
    """Return the operating points found by raising the emission of all cathodes together from next to nothing."""
    count = around.draws
    u, emission, rise = around.e.copy(), np.zeros(count), np.full(count, WIDEST_RISE)
    steps = np.zeros(count, dtype=np.int64)
    for _ in range(MOST_RISES):
        open_ = np.flatnonzero((emission < 1.0) & (rise >= NARROWEST_RISE))
        if not len(open_):
            break
        wanted = np.minimum(np.maximum(emission[open_] * rise[open_], FIRST_EMISSION), 1.0)
        part = around.of(open_)
        # A cathode that gives a tenth of the current does what a tenth of all resistances would do.
        found = newton(replace(part, z=part.z * wanted), u[:, open_], STEPS_PER_RISE)
        steps[open_] += found.steps
        there = open_[found.found]
        u[:, there], emission[there] = found.u[:, found.found], wanted[found.found]
        rise[there] = np.minimum(rise[there] ** 2, WIDEST_RISE)
        missed = open_[~found.found]
        rise[missed] = np.sqrt(rise[missed])
        rise[missed[emission[missed] == 0]] = 0.0
    return Answer(u, steps, emission >= 1.0)


def settle_in_time(around: Surroundings) -> Answer:
    """Return the operating points at which circuits settle that begin without current.

    Each port's voltage u follows du/dt = e − Z·i(u) − u, taken in implicit steps that grow as it comes to rest.

    Source:
        Pseudo-transient continuation: C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35 (1998).
    """
    u, instant = around.e.copy(), np.full(around.draws, FIRST_INSTANT)
    answer = Answer(u, np.full(around.draws, MOST_INSTANTS), np.zeros(around.draws, dtype=bool))
    at = np.arange(around.draws)
    i, slopes = around.slopes(u)
    f = around.mismatch(u, i)
    error = error_of(around, f)
    for step in range(MOST_INSTANTS):
        u = u + step_of(around, f, slopes, 1.0 / instant)
        i, slopes = around.slopes(u)
        f, before = around.mismatch(u, i), error
        error = error_of(around, f)
        better = np.clip(before / np.maximum(error, 1e-300), LONGER, MUCH_LONGER)
        instant = np.clip(instant * np.where(error < before, better, SHORTER), SHORTEST_INSTANT, LONGEST_INSTANT)
        close = error <= CLOSE
        if close.any():
            done, rest = at[close], ~close
            answer.u[:, done], answer.steps[done], answer.found[done] = u[:, close], step, True
            at, u, f, error, instant, around = (
                at[rest],
                u[:, rest],
                f[:, rest],
                error[rest],
                instant[rest],
                around.of(rest),
            )
            slopes = slopes[:, :, rest]
            if not len(at):
                break
    return answer


def halve_in(around: Surroundings) -> Answer:
    """Return the operating points of single valves, closed in between no current and more than any valve gives.

    The anode's current is halved in, for each of its values the screen's, and for both the grid's is worked out.
    """
    currents = np.zeros_like(around.e)
    _halve(around, currents, [port for port in (0, 2) if port < len(currents)])
    answer = newton(around, around.behind(currents), STEPS_PER_RISE)
    answer.steps += HALVINGS
    return answer


def _halve(around: Surroundings, currents: Array, ports: list[int]) -> None:
    """Bring the currents [A] of some ports into agreement, the first outermost; changes `currents`."""
    law = around.laws[0]
    if not ports:
        if "grid" in law.ports:
            currents[1] = 0.0
            open_voltage = around.behind(currents)[1]
            currents[1] = getattr(law, "grid", GridCurrent()).behind(open_voltage, around.z[1, 1])
        return
    port = ports[0]
    low, high = np.zeros(around.draws), np.ones(around.draws)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        # By fourth powers: microamperes then want no more halvings than amperes do.
        currents[port] = MOST_CURRENT * middle**4
        _halve(around, currents, ports[1:])
        more = law.currents(around.behind(currents))[port] > currents[port]
        low, high = np.where(more, middle, low), np.where(more, high, middle)
