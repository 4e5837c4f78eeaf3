"""A bench with one circuit and its suspects: what the meter reads at every test point, for all of them at once.

Each suspect's circuit is written once. A meter at a test point is one more port of the linear part, so that all points
and ranges come from one solution; where the valves settle is found in one go for all suspects, points and draws.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tutor.circuits.analysis import DC, Analysis
from tutor.circuits.dense import Behind, Dense
from tutor.circuits.equations import EARTH
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.faults.kinds import Fault
from tutor.circuits.network import Network
from tutor.circuits.valves.in_network import linear_part, ports_of, valve_of, valves_at_rest
from tutor.circuits.valves.operating_point import operating_point

Symbols = Callable[[Network], Mapping[str, Any]]
"""Gives every symbol's value of a network, numbers or arrays of shape (draws,)."""


@dataclass(frozen=True, slots=True)
class _Case:
    """One suspect's circuit, written down."""

    network: Network
    dense: Dense
    shares: Any  # of emission, for every port of the valves


class Bench:
    """A circuit, its suspects and its test points.

    Attributes:
        points: The test points.
        suspects: The faults; case 0 of every result is the healthy circuit, case n the n-th suspect.
    """

    def __init__(
        self, network: Network, suspects: Sequence[Fault], points: Sequence[str], analysis: Analysis = DC
    ) -> None:
        """Write the circuits of all suspects.

        Raises:
            FaultError, NodeError: If a suspect or a point is none.
            FloatingNodeError, SourceLoopError: If a circuit cannot be solved at this analysis.
        """
        self.points, self.suspects, self._analysis = tuple(points), tuple(suspects), analysis
        self._valves = valves_at_rest(network) if analysis == DC else ()
        self._cases = [self._case(network), *(self._case(fault.applied(network)) for fault in suspects)]

    def _case(self, network: Network) -> _Case:
        linear = linear_part(network) if self._valves else network
        valves = valves_at_rest(network) if self._valves else ()
        ports = [port for valve in valves for port in ports_of(valve)]
        dense = Dense(linear, self._analysis, [*ports, *((point, EARTH) for point in self.points)])
        shares = [valve.emission for valve in valves for _ in ports_of(valve)]
        return _Case(linear, dense, np.array(shares))

    def behind(self, symbols: Symbols, draws: int) -> list[Behind]:
        """Return every case's linear part as its valves and the meter see it; a singular one holds NaN."""
        found = []
        for case in self._cases:
            try:
                found.append(case.dense.behind(symbols(case.network), draws))
            except SingularCircuitError:
                size, ports = len(case.dense.places), len(case.shares) + len(self.points)
                nothing = np.full((draws, size), np.nan)
                found.append(Behind(case.dense.places, nothing, np.full((draws, size, ports), np.nan)))
        return found

    def readings(
        self, behind: Sequence[Behind], loading: Any, types: Mapping[str, Any], cases: Sequence[int] = ()
    ) -> Any:
        """Return the voltages at the test points with the meter at each in turn.

        Args:
            behind: Of all cases, from `behind`.
            loading: Resistance of the meter [Ω], shape (points, draws) or such as goes with it.
            types: Reference of a valve → its type in the catalogue for each draw, an array of words of shape (draws,).
            cases: Which cases are wanted; all where none is named.

        Returns:
            Volts, shape (cases, points, draws); at ac the magnitude. NaN where no operating point was found.
        """
        wanted = list(cases) or list(range(len(self._cases)))
        draws = behind[wanted[0]].still.shape[0]
        conductance = np.broadcast_to(1.0 / np.asarray(loading, dtype=float), (len(self.points), draws))
        if not self._valves:
            found = self._without_valves([behind[case] for case in wanted], conductance)
            return found if self._analysis == DC else np.abs(found)
        result = np.full((len(wanted), len(self.points), draws), np.nan)
        kinds = np.stack([np.asarray(types[valve.reference]) for valve in self._valves])
        for names in sorted({tuple(column) for column in kinds.T}):
            chosen = np.flatnonzero((kinds == np.array(names)[:, None]).all(axis=0))
            result[:, :, chosen] = self._with_valves(behind, conductance, wanted, names, chosen)
        return result

    def _without_valves(self, behind: Sequence[Behind], conductance: Any) -> Any:
        rows = []
        for case in behind:
            row = []
            for index, point in enumerate(self.points):
                place = case.places[point]
                resistance = -case.response[:, place, index]
                row.append(case.still[:, place] / (1.0 + conductance[index] * resistance))
            rows.append(row)
        return np.array(rows)

    def _with_valves(
        self, behind: Sequence[Behind], conductance: Any, cases: list[int], names: tuple[str, ...], chosen: Any
    ) -> Any:
        valves = [valve_of(name, valve.kind) for name, valve in zip(names, self._valves, strict=True)]
        ports = [port for valve in self._valves for port in ports_of(valve)]
        count = len(ports)
        voltages, resistances, ways = [], [], []
        for number in cases:
            case = behind[number]
            ends = [(case.places[a], case.places[b]) for a, b in ports]
            for index, point in enumerate(self.points):
                still, response = _loaded(case, case.places[point], count + index, conductance[index], chosen)
                response = response[:, :, :count] * self._cases[number].shares
                voltages.append(np.stack([still[:, a] - still[:, b] for a, b in ends], axis=-1))
                resistances.append(-np.stack([response[:, a] - response[:, b] for a, b in ends], axis=1))
                ways.append((still[:, case.places[point]], response[:, case.places[point]]))
        settled = operating_point(valves, np.concatenate(voltages), np.concatenate(resistances)).currents
        settled = settled.reshape(len(ways), len(chosen), count)
        found = [still + (response * i).sum(axis=1) for (still, response), i in zip(ways, settled, strict=True)]
        return np.array(found).reshape(len(cases), len(self.points), len(chosen))


def _loaded(case: Behind, place: int, port: int, conductance: Any, chosen: Any) -> tuple[Any, Any]:
    """Return node voltages and responses with the meter at one point; shapes (draws, nodes) and (draws, nodes, ports).

    The meter draws G·u from its point: u = u₀ + Σ rₚ·iₚ − R·G·u, with R the resistance of the point.
    """
    still, response, g = case.still[chosen], case.response[chosen], conductance[chosen]
    own = response[:, :, port]
    drawn = g / (1.0 - g * own[:, place])
    still = still + own * (drawn * still[:, place])[:, None]
    response = response + own[:, :, None] * (drawn[:, None] * response[:, place])[:, None, :]
    return still, response
