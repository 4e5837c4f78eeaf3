"""The equations of one circuit filled with numbers for many draws, and solved for several right-hand sides at once.

`numeric` answers one asked form; here the whole solution is wanted, and what a current drawn from a pair of nodes does
to it: that is how the linear part of a circuit looks from its valves and from a meter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import EARTH
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.network import Network

Port = tuple[str, str]
"""A pair of nodes; a current drawn from it leaves the circuit at the first and comes back at the second."""


@dataclass(frozen=True, slots=True)
class Behind:
    """A linear circuit as it looks from its ports.

    Attributes:
        places: Node → its column; earth has one of its own that holds nothing.
        still: Node voltages without any current drawn, shape (draws, columns).
        response: Volts for one ampere drawn from each port, shape (draws, columns, ports).
    """

    places: Mapping[str, int]
    still: Any
    response: Any

    def of(self, chosen: Any) -> Behind:
        """Return the same for some of the draws."""
        return Behind(self.places, self.still[chosen], self.response[chosen])


class Dense:
    """A network's equations for one analysis, written once and filled for many draws."""

    def __init__(self, network: Network, analysis: Analysis, ports: Sequence[Port]) -> None:
        """Write the equations.

        Raises:
            FloatingNodeError, SourceLoopError: If the circuit cannot be solved at this analysis.
        """
        self._analysis = analysis
        self._ports = tuple(ports)
        self._equations = network.equations(analysis)
        self._columns = {unknown: place for place, unknown in enumerate(self._equations.unknowns)}
        voltages = {u.name: place for u, place in self._columns.items() if u.kind == "voltage"}
        self.places: Mapping[str, int] = voltages | {EARTH: len(self._columns)}

    def behind(self, symbols: Mapping[str, Any], draws: int) -> Behind:
        """Return the circuit as its ports see it.

        Args:
            symbols: Every symbol's value in SI units, `s` included at ac; numbers or arrays of shape (draws,).
            draws: How many draws there are.

        Raises:
            SingularCircuitError: If the equations of some draw have no unique solution.
        """
        size = len(self._columns)
        kind = complex if self._analysis.kind == "ac" else float
        matrix = np.zeros((draws, size, size), dtype=kind)
        sides = np.zeros((draws, size, 1 + len(self._ports)), dtype=kind)
        for (row, column), coefficient in self._equations.matrix.items():
            matrix[:, self._columns[row], self._columns[column]] = coefficient.value(symbols)
        for rows in self._equations.sources.values():
            for row, value in rows.items():
                sides[:, self._columns[row], 0] += value.value(symbols)
        for port, (out, back) in enumerate(self._ports, 1):
            for node, amperes in ((out, -1.0), (back, 1.0)):
                if node != EARTH:
                    sides[:, self.places[node], port] += amperes
        heights = np.abs(matrix).max(axis=2, initial=0.0)
        heights[heights == 0] = 1.0
        try:
            solved = np.linalg.solve(matrix / heights[:, :, None], sides / heights[:, :, None])
        except np.linalg.LinAlgError as error:
            raise SingularCircuitError("at least one unknown", str(self._analysis), "for these values") from error
        padded = np.concatenate([solved, np.zeros((draws, 1, solved.shape[2]), dtype=kind)], axis=1)
        return Behind(self.places, padded[:, :, 0], padded[:, :, 1:])
