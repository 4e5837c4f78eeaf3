"""The circuit as the valves see it: a voltage and a resistance matrix behind their ports.

For every draw the port voltages u and the currents i into the ports obey `u = e − Z·i`, whatever linear circuit stands
around the valves. The ports follow one another valve by valve, in the order of `law.ports`: anode, grid (and screen);
each is counted from its valve's own cathode.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tutor.circuits.valves.errors import PortError
from tutor.circuits.valves.models import Array, Law


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Valves and what stands around them, ports first.

    Attributes:
        laws: Of the valves.
        places: Which ports are whose.
        e: Voltages of the ports without any current [V], shape (ports, draws).
        z: Resistances [Ω], shape (ports, ports, draws).
        scale: What a mismatch is measured by [V], shape (ports, draws): the port's own voltage without current, a
            thousandth of the largest of them (what a float can tell of a grid that hangs on a high cathode), and 1 V.
        rails: Which ports are no grids, shape (ports,).
    """

    laws: tuple[Law, ...]
    places: tuple[slice, ...]
    e: Array
    z: Array
    scale: Array
    rails: NDArray[np.bool_]

    @property
    def draws(self) -> int:
        """How many draws there are."""
        return int(self.e.shape[1])

    def of(self, chosen: NDArray[Any]) -> Surroundings:
        """Return the surroundings of some of the draws."""
        return Surroundings(
            self.laws, self.places, self.e[:, chosen], self.z[:, :, chosen], self.scale[:, chosen], self.rails
        )

    def currents(self, u: Array) -> Array:
        """Return the currents into the ports [A], shape as the voltages [V]: (ports, draws)."""
        if len(self.laws) == 1:
            return self.laws[0].currents(u)
        return np.concatenate([law.currents(u[place]) for law, place in zip(self.laws, self.places, strict=True)])

    def slopes(self, u: Array) -> tuple[Array, Array]:
        """Return the currents [A] and their derivatives [A/V], shape (ports, ports, draws)."""
        if len(self.laws) == 1:
            return self.laws[0].slopes(u)
        found, slopes = np.empty_like(u), np.zeros((len(u), *u.shape))
        for law, place in zip(self.laws, self.places, strict=True):
            found[place], slopes[place, place] = law.slopes(u[place])
        return found, slopes

    def mismatch(self, u: Array, i: Array) -> Array:
        """Return by how much the voltages [V] are not what the circuit gives at these currents."""
        off: Array = u - self.behind(i)
        return off

    def behind(self, i: Array) -> Array:
        """Return the port voltages [V] that the circuit gives at currents [A], shapes (ports, draws)."""
        voltages = self.e.copy()
        # Sums over a handful of ports are quicker one by one than along an axis.
        for p in range(len(i)):
            for q in range(len(i)):
                voltages[p] -= self.z[p, q] * i[q]
        return voltages


def surround(laws: Sequence[Law], e: ArrayLike, z: ArrayLike) -> Surroundings:
    """Return the circuit around valves, checked and brought to one number of draws.

    Args:
        laws: Of the valves, in the order of their ports.
        e: Voltages of the ports without any current [V], shape (ports,) or (draws, ports).
        z: Resistances [Ω], shape (ports, ports) or (draws, ports, ports).

    Raises:
        PortError: If there is no valve, or the shapes do not go together.
    """
    laws = tuple(laws)
    places, ports = [], 0
    for law in laws:
        places.append(slice(ports, ports + len(law.ports)))
        ports += len(law.ports)
    voltages, resistances = np.asarray(e, dtype=np.float64), np.asarray(z, dtype=np.float64)
    if not laws:
        raise PortError("there is no valve in it; give at least one")
    if voltages.ndim not in (1, 2) or voltages.shape[-1] != ports:
        raise PortError(f"e has the shape {voltages.shape}; its {ports} ports want ({ports},) or (draws, {ports})")
    if resistances.ndim not in (2, 3) or resistances.shape[-2:] != (ports, ports):
        wanted = f"({ports}, {ports}) or (draws, {ports}, {ports})"
        raise PortError(f"Z has the shape {resistances.shape}; its {ports} ports want {wanted}")
    voltages, resistances = np.atleast_2d(voltages), resistances.reshape(-1, ports, ports)
    counts = {len(voltages), len(resistances)} - {1}
    if len(counts) > 1:
        raise PortError(f"e has {len(voltages)} draws and Z {len(resistances)}; both want as many, or one of them 1")
    draws = max(counts, default=1) if 0 not in counts else 0
    ours = np.ascontiguousarray(np.broadcast_to(voltages, (draws, ports)).T)
    sizes = np.abs(ours)
    return Surroundings(
        laws=laws,
        places=tuple(places),
        e=ours,
        z=np.ascontiguousarray(np.broadcast_to(resistances, (draws, ports, ports)).transpose(1, 2, 0)),
        scale=1.0 + sizes + 1e-3 * largest(sizes),
        rails=np.array([name != "grid" for law in laws for name in law.ports]),
    )


def largest(rows: Array) -> Array:
    """Return the largest of a few rows, shape (draws,); quicker than `max` along a short axis."""
    found: Array = rows[0]
    for row in rows[1:]:
        found = np.maximum(found, row)
    return found
