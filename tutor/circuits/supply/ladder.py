"""The network behind the rectifier, folded to one source and one resistance for one step of time.

For the length of a step each capacitor is replaced by a resistor tau/C with a source, each choke by a resistor L/tau
with a source (companion models of the backward Euler rule). The ladder of reservoir and sections then folds from the
output towards the rectifier into `thevenin + resistance·i`; once the rectifier's current i is known it unfolds to the
new state.

States stand in an array of shape (states, rows, draws): the voltage of node 0, then the choke current and the voltage
of each section. Row 0 is the state itself; further rows are derivatives, for which constant currents count nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.supply.description import Load, Supply

if TYPE_CHECKING:
    from tutor.circuits.supply.description import Numbers

Array = NDArray[np.float64]


def spread(value: Numbers, draws: int) -> Array:
    """Return a number or array as an array of shape (draws,)."""
    return np.broadcast_to(np.asarray(value, dtype=float), (draws,)).copy()


@dataclass(frozen=True, slots=True)
class Network:
    """The parts of the ladder, each number an array of shape (draws,); node 0 is the reservoir.

    Attributes:
        capacitance: Of each node [F], shape (nodes, draws).
        conductance: From each node to earth [S], shape (nodes, draws).
        current: Constant current drawn from each node [A], shape (nodes, draws).
        resistance: In series before each node but the first [Ω], shape (sections, draws).
        inductance: The same [H].
    """

    capacitance: Array
    conductance: Array
    current: Array
    resistance: Array
    inductance: Array

    @property
    def sections(self) -> int:
        """Number of sections."""
        return len(self.resistance)

    @property
    def states(self) -> int:
        """Number of rows of a state: node 0, then current and voltage of each section."""
        return 1 + 2 * self.sections

    def is_unloaded(self) -> NDArray[np.bool_]:
        """Return for each draw whether nothing at all draws current."""
        quiet = (self.conductance == 0) & (self.current == 0)
        return np.asarray(quiet.all(axis=0))

    def weights(self) -> Array:
        """Return the stored energy of each state per unit squared, doubled: C or L, shape (states, draws)."""
        weight = np.empty((self.states, self.capacitance.shape[1]))
        weight[0::2] = self.capacitance
        weight[1::2] = self.inductance
        return weight

    def remembered(self) -> list[int]:
        """Return the indices of the states that outlast a step: those with a capacitor or a choke in some draw."""
        return [index for index, row in enumerate(self.weights()) if np.any(row > 0)]

    def taken(self, draws: NDArray[np.intp]) -> Network:
        """Return the network of some draws."""
        return Network(
            self.capacitance[:, draws],
            self.conductance[:, draws],
            self.current[:, draws],
            self.resistance[:, draws],
            self.inductance[:, draws],
        )


def network_of(supply: Supply) -> Network:
    """Return a supply's ladder with every number spread over its draws."""
    draws, sections = supply.draws, supply.sections
    loads: list[list[Load]] = [[supply.reservoir_load], *([section.load] for section in sections)]
    loads[-1] += [supply.load, Load(resistance=supply.bleeder)]

    def rows(values: list[Numbers]) -> Array:
        return np.array([spread(value, draws) for value in values]).reshape(len(values), draws)

    return Network(
        capacitance=rows([supply.reservoir, *(section.capacitance for section in sections)]),
        conductance=rows([sum(1 / np.asarray(load.resistance) for load in node) for node in loads]),
        current=rows([sum(np.asarray(load.current) for load in node) for node in loads]),
        resistance=rows([section.resistance for section in sections]),
        inductance=rows([section.inductance for section in sections]),
    )


class Ladder:
    """A network for steps of one length.

    Attributes:
        network: The network.
        resistance: That the rectifier sees [Ω], shape (draws,).
    """

    def __init__(self, network: Network, tau: Array) -> None:
        """Fold the network once.

        Args:
            network: The network.
            tau: Length of the step [s], shape (draws,).
        """
        self.network = network
        self._charge = network.capacitance / tau
        flux = network.inductance / tau
        self._has_choke = [bool(np.any(row > 0)) for row in flux]
        count = network.sections
        self._admittance = network.conductance + self._charge
        self._share = np.empty_like(flux)  # of a section's own source that reaches the node before it
        self._taken = np.empty_like(flux)  # admittance that a section shows to the node before it
        for index in reversed(range(count)):
            impedance = network.resistance[index] + flux[index]
            self._share[index] = 1 / (1 + self._admittance[index + 1] * impedance)
            self._taken[index] = self._admittance[index + 1] * self._share[index]
            self._admittance[index] += self._taken[index]
        self._kick = self._taken * flux
        self._impedance = 1 / self._admittance
        self.resistance: Array = self._impedance[0]
        self._sources: list[Array] = []
        self._offsets: list[Array] = []

    def fold(self, base: Array) -> Array:
        """Return the voltage that the rectifier would see if it supplied nothing, shape (rows, draws).

        Args:
            base: State at the beginning of the step, shape (states, rows, draws).
        """
        network, count = self.network, self.network.sections
        sources: list[Any] = [None] * (count + 1)
        offsets: list[Any] = [None] * count
        for node in reversed(range(count + 1)):
            source = self._charge[node] * base[2 * node]
            source[0] -= network.current[node]
            if node < count:
                offset = self._share[node] * sources[node + 1]
                if self._has_choke[node]:
                    offset -= self._kick[node] * base[2 * node + 1]
                offsets[node] = offset
                source += offset
            sources[node] = source
        self._sources, self._offsets = sources, offsets
        return np.asarray(sources[0] * self.resistance)

    def unfold(self, voltage: Array, state: Array) -> None:
        """Write the new state after a fold, given the voltage at node 0.

        Args:
            voltage: At node 0 [V], shape (rows, draws).
            state: Where to write, shape (states, rows, draws).
        """
        state[0] = voltage
        for index in range(self.network.sections):
            current, after = state[2 * index + 1], state[2 * index + 2]
            np.multiply(self._taken[index], state[2 * index], out=current)
            current -= self._offsets[index]
            np.add(current, self._sources[index + 1], out=after)
            after *= self._impedance[index + 1]
