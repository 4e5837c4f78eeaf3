"""Valves in a network: the dc operating point of a circuit whose valves are given by their type.

What is linear is solved once for all valves' ports (`dense`); where the valves settle behind it is the business of
`operating_point`. So a circuit may have any parts and any number of valves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from tutor.circuits.analysis import DC
from tutor.circuits.dense import Dense, Port
from tutor.circuits.equations import EARTH
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Resistor
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.operating_point import operating_point
from tutor.circuits.valves.state import State
from tutor.circuits.valves.valve import Valve
from tutor.quantities import OHM, Quantity

INSULATION = 1e10
"""Ohms from a valve's electrode to earth when nothing else is connected there: sockets and boards are not perfect.

Common practice, no source; it also decides where an electrode floats that a fault has cut off."""

_PORTS = {"triode": ("anode", "grid"), "pentode": ("anode", "grid", "screen")}


def valves_at_rest(network: Network) -> tuple[Triode | Pentode, ...]:
    """Return the valves of a network that are given by their type alone."""
    return tuple(part for part in network.parts if isinstance(part, Triode | Pentode) and part.is_at_rest)


def ports_of(valve: Triode | Pentode) -> tuple[Port, ...]:
    """Return a valve's ports in the order of its law: each electrode with the cathode."""
    return tuple((valve.pins[electrode], valve.pins["cathode"]) for electrode in _PORTS[valve.kind])


def linear_part(network: Network) -> Network:
    """Return what is left of a network without its valves at rest; their electrodes keep the insulation to earth."""
    valves = valves_at_rest(network)
    for valve in valves:
        network = network.without(valve.reference)
    for node in dict.fromkeys(node for valve in valves for node in valve.pins.values()):
        if node != EARTH:
            pins = {"a": node, "b": EARTH}
            # A nought in front: no part of a file is called so.
            leak = Resistor(reference=f"0insulation {node}", pins=pins, value=Quantity(INSULATION, OHM))
            network = network.with_part(leak)
    return network


@cache
def valve_of(type_name: str, kind: str) -> Valve:
    """Return the valve of a type; of one with several systems that of the part's kind.

    Raises:
        UnknownValveError: If the catalogue has no such type or system.
    """
    found = valve_type(type_name)
    return found.valve(kind if len(found.systems) > 1 else "")


@dataclass(frozen=True, slots=True)
class NetworkPoint:
    """A circuit at rest.

    Attributes:
        voltages: Node → voltage from earth [V], shape (draws,); NaN where no operating point was found.
        currents: Valve → currents into its ports [A], shape (ports, draws).
        states: Valve → flags of `State`, shape (draws,).
    """

    voltages: Mapping[str, Any]
    currents: Mapping[str, Any]
    states: Mapping[str, Any]

    @property
    def found(self) -> Any:
        """Which draws have an operating point, shape (draws,)."""
        lost = [(state & int(State.NO_OPERATING_POINT)) != 0 for state in self.states.values()]
        return ~np.any(lost, axis=0) if lost else np.isfinite(next(iter(self.voltages.values())))


def rest(
    network: Network, symbols: Mapping[str, Any], draws: int = 1, types: Mapping[str, str] | None = None
) -> NetworkPoint:
    """Return the dc operating point of a network.

    Args:
        network: The circuit; valves with mu, ra or gm of their own stay what they are, small-signal equivalents.
        symbols: Every symbol's value in SI units, numbers or arrays of shape (draws,).
        draws: How many draws there are.
        types: Word of a valve's `type:` → type of the catalogue, where the part names a template's row.

    Raises:
        FloatingNodeError, SourceLoopError, SingularCircuitError: If the linear part cannot be solved.
        UnknownValveError: If a type is none of the catalogue.
    """
    valves = valves_at_rest(network)
    linear = linear_part(network)
    ports = [port for valve in valves for port in ports_of(valve)]
    insulation = {s: p.value.magnitude for s, (_, p) in linear.parameters().items() if s.startswith("0insulation")}  # type: ignore[union-attr]  # given above
    behind = Dense(linear, DC, ports).behind({**symbols, **insulation}, draws)
    if not valves:
        return NetworkPoint({node: behind.still[:, place] for node, place in behind.places.items()}, {}, {})
    laws = [valve_of((types or {}).get(valve.type, valve.type), valve.kind) for valve in valves]
    places = [(behind.places[a], behind.places[b]) for a, b in ports]
    share = np.concatenate([np.full(len(ports_of(valve)), valve.emission) for valve in valves])
    e = np.stack([behind.still[:, a] - behind.still[:, b] for a, b in places], axis=-1)
    z = -np.stack([behind.response[:, a] - behind.response[:, b] for a, b in places], axis=1)
    # A cathode that gives a tenth of the current does what a tenth of the resistances would do.
    point = operating_point(laws, e, z * share)
    currents = point.currents * share
    voltages = behind.still + np.einsum("dnp,dp->dn", behind.response, currents)
    found: dict[str, Any] = {}
    first = 0
    for valve in valves:
        count = len(ports_of(valve))
        found[valve.reference] = currents[:, first : first + count].T
        first += count
    states = {valve.reference: point.state[:, index] for index, valve in enumerate(valves)}
    return NetworkPoint({node: voltages[:, place] for node, place in behind.places.items()}, found, states)
