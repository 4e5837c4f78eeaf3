"""After switch-off: how the capacitors of a supply run down through bleeder and loads.

The rectifier blocks and what is left is a ladder of resistors and capacitors: its voltages are sums of exponentials,
found exactly by the eigenvalues of the (symmetric) ladder. A choke counts with its dc resistance: its inductance
moves charge between its neighbours for a fraction of a second and does not change the seconds that follow. Nothing
here is a reason to touch a supply: capacitors are discharged through a resistor and the result is measured, by a
qualified person.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from tutor.circuits.supply.description import Load, Supply
from tutor.circuits.supply.errors import SupplyError
from tutor.circuits.supply.ladder import Array, Network, network_of, spread

if TYPE_CHECKING:
    from tutor.circuits.supply.description import Numbers

LEAST_RESISTANCE = 1e-3  # Ω, for a choke given without any: its two capacitors then stand at one voltage
SAMPLES = 256  # among which the last crossing of a voltage is looked for
HALVINGS = 60


class Loads(StrEnum):
    """What the loads do after switch-off."""

    STAY = "stay"
    GONE = "gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Discharge:
    """The voltages of a supply that runs down; the last axis is the draws.

    Each is a sum over modes of `amplitudes · exp(−rates · time)`.

    Attributes:
        rates: Of each mode [1/s], shape (modes, draws); 0 for a charge that nothing drains.
        amplitudes: Of each mode at each node [V], shape (nodes, modes, draws).
        capacitance: Of each node [F], shape (nodes, draws).
    """

    rates: Array
    amplitudes: Array
    capacitance: Array

    def voltage(self, time: Numbers, node: int = -1) -> Array:
        """Return the voltage of a node.

        Args:
            time: Since switch-off [s]: one number, or an array that has its times on the first axis, and on the last
                one the draws or 1.
            node: Which; the output by default.

        Returns:
            [V], shape (draws,) or (times, draws).
        """
        decay = np.exp(-self.rates * np.asarray(time, dtype=float)[..., None, :]) if np.ndim(time) else self._at(time)
        return np.asarray((self.amplitudes[node] * decay).sum(axis=-2))

    def energy(self, time: Numbers) -> Array:
        """Return the energy left in all capacitors [J], shape as the voltage's."""
        nodes = range(len(self.capacitance))
        return np.asarray(sum(self.capacitance[node] * self.voltage(time, node) ** 2 / 2 for node in nodes))

    def time_to(self, voltage: Numbers, node: int = -1) -> Array:
        """Return when a node has come down to a voltage and stays below it.

        Args:
            voltage: Above 0 [V]; one number or shape (draws,).
            node: Which; the output by default.

        Returns:
            [s], shape (draws,): 0 where it is below from the start, infinite where it never comes down.

        Raises:
            SupplyError: If the voltage is not above 0, which no exponential reaches.
        """
        draws = self.rates.shape[-1]
        wanted = spread(voltage, draws)
        if not np.all(wanted > 0):
            raise SupplyError("voltage", f"{wanted.min():g} V", "a voltage above 0; an exponential never gets to 0")
        end, never = self._below_for_good(wanted, node)
        grid = np.concatenate([np.zeros((1, draws)), np.geomspace(1e-9, 1.0, SAMPLES)[:, None] * end])
        above = self.voltage(grid, node) > wanted
        last = np.where(above.any(axis=0), len(grid) - 1 - above[::-1].argmax(axis=0), -1)
        column = np.arange(draws)
        low, high = grid[np.maximum(last, 0), column], grid[np.minimum(last + 1, len(grid) - 1), column]
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            is_above = self.voltage(middle[None], node)[0] > wanted
            low, high = np.where(is_above, middle, low), np.where(is_above, high, middle)
        return np.where(never, np.inf, np.where(last < 0, 0.0, (low + high) / 2))

    def _at(self, time: Numbers) -> Array:
        return np.asarray(np.exp(-self.rates * float(time)))

    def _below_for_good(self, wanted: Array, node: int) -> tuple[Array, Array]:
        """Return a time after which the node is below a voltage, and where it never is."""
        moving = self.rates > 0
        rest = np.where(moving, 0.0, self.amplitudes[node]).sum(axis=0)
        never = rest >= wanted
        size = np.where(moving, np.abs(self.amplitudes[node]), 0.0).sum(axis=0)
        slowest = np.where(moving, self.rates, np.inf).min(axis=0)
        room = np.where(never, 1.0, wanted - rest)
        end = np.log(np.maximum(size / room, 1.0)) / np.where(np.isfinite(slowest), slowest, 1.0)
        return np.maximum(end, 1e-12), never


def discharge(supply: Supply, voltages: Array, *, loads: Loads = Loads.STAY) -> Discharge:
    """Return how a supply runs down from given voltages.

    Args:
        supply: The supply that has been switched off.
        voltages: Of its nodes at switch-off [V], shape (nodes, draws) or (nodes,): the means or the highest values of a
            steady state. A node without a capacitor follows the others whatever its value.
        loads: `STAY`: resistances stay, and a constant current is taken for the resistance that draws it at its node's
            first voltage, as valves draw less while the voltage falls. `GONE`: the bleeder alone drains, as when the
            loads are unplugged or the valves are out: the case to reckon with before anybody touches anything.

    Returns:
        The voltages as functions of time.

    Raises:
        SupplyError: If the voltages do not fit the supply's nodes, or no node has a capacitor.
    """
    supply = _loads_as_resistances(supply, voltages) if loads is Loads.STAY else supply.off_load()
    network = network_of(supply)
    nodes, draws = network.capacitance.shape
    start = np.asarray(voltages, dtype=float)
    if start.ndim == 0 or start.shape[0] != nodes or start.ndim > 2:
        raise SupplyError("voltages", f"shape {start.shape}", f"one voltage for each of {nodes} nodes")
    start = np.broadcast_to(start.reshape(nodes, -1), (nodes, max(draws, start.size // nodes)))
    if not np.all(network.capacitance.any(axis=0)):
        bare = int(np.argmin(network.capacitance.any(axis=0)))
        raise SupplyError("reservoir", "0 F in all", "a capacitor to discharge", bare)
    capacitance, drained = network.capacitance, np.asarray((network.conductance > 0).any(axis=0))
    network, share = _without_bare_input(network)
    root = np.sqrt(network.capacitance)
    rates, modes = np.linalg.eigh(_scaled(network.conductance, network.resistance, root))
    rates = np.where(drained[:, None], np.maximum(rates, 0.0), np.where(np.arange(nodes) > 0, rates, 0.0))
    weights = np.einsum("dnm,nd->md", modes, root * start)
    amplitudes = modes.transpose(1, 2, 0) * weights / root[:, None]
    if nodes > 1:
        amplitudes[0] = np.where(share >= 0, share * amplitudes[1], amplitudes[0])
    return Discharge(
        rates=np.broadcast_to(rates.T, weights.shape).copy(), amplitudes=amplitudes, capacitance=capacitance
    )


def _without_bare_input(network: Network) -> tuple[Network, Array]:
    """Return the network with its node 0 set apart where that has no capacitor, and its share in the voltage of node 1.

    What such a node feeds is then fed by node 1 through the choke as well. Its own row is left with anything that runs
    down quickly, and read by nobody. The share is −1 where node 0 stays.
    """
    bare = network.capacitance[0] == 0
    if network.sections == 0 or not bare.any():
        return network, np.full(bare.shape, -1.0)
    fed, link = network.conductance[0], 1 / np.maximum(network.resistance[0], LEAST_RESISTANCE)
    conductance, capacitance, resistance = (
        part.copy() for part in (network.conductance, network.capacitance, network.resistance)
    )
    conductance[1] += np.where(bare, fed * link / (fed + link), 0.0)
    conductance[0], capacitance[0] = np.where(bare, link, fed), np.where(bare, capacitance[1], capacitance[0])
    resistance[0] = np.where(bare, np.inf, resistance[0])
    apart = replace(network, conductance=conductance, capacitance=capacitance, resistance=resistance)
    return apart, np.where(bare, link / (fed + link), -1.0)


def _scaled(conductance: Array, resistance: Array, root: Array) -> Array:
    """Return the conductance matrix with rows and columns divided by the roots of the capacitances."""
    nodes, draws = conductance.shape
    matrix = np.zeros((draws, nodes, nodes))
    for node in range(nodes):
        matrix[:, node, node] = conductance[node]
    for index in range(nodes - 1):
        link = 1 / np.maximum(resistance[index], LEAST_RESISTANCE)
        matrix[:, index, index] += link
        matrix[:, index + 1, index + 1] += link
        matrix[:, index, index + 1] -= link
        matrix[:, index + 1, index] -= link
    return np.asarray(matrix / root.T[:, :, None] / root.T[:, None, :])


def _loads_as_resistances(supply: Supply, voltages: Array) -> Supply:
    """Return the supply with each constant current replaced by the resistance that draws it at first."""

    def alike(load: Load, voltage: Array) -> Load:
        current = np.asarray(load.current, dtype=float)
        conductance = 1 / np.asarray(load.resistance, dtype=float) + current / np.maximum(voltage, 1e-9)
        with np.errstate(divide="ignore"):
            return Load(resistance=1 / conductance)

    start = np.asarray(voltages, dtype=float)
    if start.ndim == 0 or len(start) != supply.nodes:
        return supply  # told by the caller
    sections = tuple(
        replace(section, load=alike(section.load, start[index])) for index, section in enumerate(supply.sections, 1)
    )
    return replace(
        supply,
        sections=sections,
        load=alike(supply.load, start[-1]),
        reservoir_load=alike(supply.reservoir_load, start[0]),
    )
