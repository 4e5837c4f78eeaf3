"""Where valves settle in a circuit: their dc operating point, for many draws at once.

The circuit is given as the valves see it (see `ports`), so that it may come from LAPACK, from a straight-line program
or from the formulas of `stages`. A draw that has no operating point, or for which none is found, says so in its state
and holds NaN; the others of the array are not disturbed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tutor.circuits.valves.fallback import follow_emission, halve_in, settle_in_time
from tutor.circuits.valves.models import Array
from tutor.circuits.valves.newton import Answer, newton
from tutor.circuits.valves.ports import Surroundings, largest, surround
from tutor.circuits.valves.state import State
from tutor.circuits.valves.valve import Valve

CHUNK = 8192  # draws solved at once; larger blocks fall out of the cache

OVER = 1.02
"""From how far above its rating a dissipation is told: sheets run output valves at their rating, and laws are fitted to
a per cent or so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValvePoint:
    """One valve at its operating point; arrays of shape (draws,), voltages from its cathode.

    Attributes:
        valve: The valve.
        voltages: Of its ports [V], shape (ports, draws).
        currents: Into its ports [A], shape (ports, draws).
        state: Flags of `State`.
    """

    valve: Valve
    voltages: Array
    currents: Array
    state: NDArray[np.uint8]

    def voltage(self, port: str) -> Array:
        """Return the voltage of a port [V]: "anode", "grid" or "screen"."""
        found: Array = self.voltages[self.valve.law.ports.index(port)]
        return found

    def current(self, port: str) -> Array:
        """Return the current into a port [A]."""
        found: Array = self.currents[self.valve.law.ports.index(port)]
        return found

    @property
    def cathode_current(self) -> Array:
        """The current out of the cathode [A]: all others together."""
        total: Array = self.currents.sum(axis=0)
        return total

    @property
    def dissipation(self) -> Array:
        """What the anode turns into heat [W]."""
        heat: Array = self.voltages[0] * self.currents[0]
        return heat


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """All valves of a circuit at their operating points.

    Attributes:
        valves: The valves.
        voltages: Of all ports [V], shape (draws, ports); NaN where none was found.
        currents: Into all ports [A], shape (draws, ports).
        mismatch: The largest difference between a port's voltage and what the circuit gives at these currents [V].
        steps: Steps that it took, shape (draws,).
        state: Flags of `State`, shape (draws, valves).
    """

    valves: tuple[Valve, ...]
    voltages: Array
    currents: Array
    mismatch: Array
    steps: NDArray[np.int64]
    state: NDArray[np.uint8]

    @property
    def found(self) -> NDArray[np.bool_]:
        """Which draws have an operating point, shape (draws,)."""
        found: NDArray[np.bool_] = (self.state[:, 0] & int(State.NO_OPERATING_POINT)) == 0
        return found

    def of(self, index: int = 0) -> ValvePoint:
        """Return one of the valves, counted from 0."""
        first = sum(len(valve.law.ports) for valve in self.valves[:index])
        ports = slice(first, first + len(self.valves[index].law.ports))
        return ValvePoint(
            valve=self.valves[index],
            voltages=self.voltages.T[ports],
            currents=self.currents.T[ports],
            state=self.state[:, index],
        )


def operating_point(valves: Sequence[Valve], e: ArrayLike, z: ArrayLike) -> OperatingPoint:
    """Return where valves settle in a circuit.

    Where several points would do (two valves that hold each other), the one is found that is reached from no current.

    Args:
        valves: The valves, in the order of their ports.
        e: Voltages of the ports without any current [V], shape (ports,) or (draws, ports).
        z: Resistances between the ports [Ω], shape (ports, ports) or (draws, ports, ports): the voltages are `e − Z·i`.

    Returns:
        Voltages, currents and a state per valve, for every draw.

    Raises:
        PortError: If there is no valve, or the shapes do not go together.
    """
    with np.errstate(all="ignore"):  # what overflows is found out by its value
        return _operating_point(tuple(valves), surround([valve.law for valve in valves], e, z))


def _operating_point(valves: tuple[Valve, ...], around: Surroundings) -> OperatingPoint:
    ports, draws = around.e.shape
    u, steps = np.full((ports, draws), np.nan), np.zeros(draws, dtype=np.int64)
    sound = np.logical_and(np.isfinite(around.e).all(axis=0), np.isfinite(around.z).all(axis=(0, 1)))
    for start in range(0, draws, CHUNK):
        some = start + np.flatnonzero(sound[start : start + CHUNK])
        answer = _solved(around.of(some))
        steps[some] = answer.steps
        u[:, some] = np.where(answer.found, answer.u, np.nan)
    i = around.currents(u)
    mismatch = largest(np.abs(around.mismatch(u, i)))
    states = [_state(valve, u[place], i[place]) for valve, place in zip(valves, around.places, strict=True)]
    return OperatingPoint(
        valves=valves,
        voltages=np.ascontiguousarray(u.T),
        currents=np.ascontiguousarray(i.T),
        mismatch=mismatch,
        steps=steps,
        state=np.stack(states, axis=1),
    )


def _solved(around: Surroundings) -> Answer:
    """Return the operating points of one chunk by whatever finds them first."""
    answer = newton(around, around.e)
    ways = [follow_emission, settle_in_time]
    if len(around.laws) == 1:
        ways.append(halve_in)
    for way in ways:
        missed = np.flatnonzero(~answer.found)
        if not len(missed):
            break
        again = way(around.of(missed))
        answer.u[:, missed] = again.u
        answer.steps[missed] += again.steps
        answer.found[missed] = again.found
    return answer


def _state(valve: Valve, u: Array, i: Array) -> NDArray[np.uint8]:
    """Return the flags of one valve, shape (draws,); voltages [V] and currents [A] have shape (ports, draws)."""
    limits, ports = valve.limits, valve.law.ports
    anode, given = u[0], i[0]
    low, high = limits.anode_voltage
    hot = anode * given > OVER * limits.anode_dissipation
    outside = (anode < low) | (anode > high)
    if "screen" in ports:
        screen, low, high = u[2], *limits.screen_voltage
        given = given + i[2]
        hot |= screen * i[2] > OVER * limits.screen_dissipation
        outside |= (screen < low) | (screen > high)
    low, high = limits.cathode_current
    outside |= (given < low) | (given > high)
    cut_off = given < limits.cut_off
    flags = State.CUT_OFF * cut_off + State.OVER_DISSIPATION * hot
    if "grid" in ports:
        outside |= u[1] > limits.grid_voltage
        flags = flags + State.GRID_CURRENT * (i[1] > 0)
    # A valve that is cut off is where every law knows it to be: without current.
    flags = flags + State.OUTSIDE_RANGE * (outside & ~cut_off)
    flags = np.where(flags == 0, int(State.CONDUCTING), flags)
    flags = np.where(np.isnan(anode), int(State.NO_OPERATING_POINT), flags)
    return flags.astype(np.uint8)
