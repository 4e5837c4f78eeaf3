"""Figures of a circuit file that no single set of equations gives: mid-band gain, −3 dB limits, sensitivities."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from tutor.circuits.analysis import AC, Analysis
from tutor.circuits.asked import CircuitAsk, Gain, read_circuit_ask
from tutor.circuits.band import band_of
from tutor.circuits.errors import CircuitError, shown
from tutor.circuits.linear import Solved, symbol_values
from tutor.circuits.network import Network
from tutor.circuits.problem import pose
from tutor.circuits.sensitivity import sensitivity
from tutor.circuits.transfer import response_of
from tutor.quantities import HERTZ, RATIO

BAND_FIGURES = ("mid-band gain", "lower limit", "upper limit")
FIGURES = (*BAND_FIGURES, "sensitivity")


@dataclass(frozen=True, slots=True)
class BandFigure:
    """The gain of the level stretch of a response, or a frequency where it has fallen by 3 dB.

    Attributes:
        kind: Which of the three.
        gain: From where to where.
    """

    kind: Literal["mid-band gain", "lower limit", "upper limit"]
    gain: Gain

    def solve(self, network: Network) -> Solved:
        """Return the figure: a gain with its sign as a phase, or a frequency [Hz].

        Raises:
            CircuitError: If the response has no such limit; its subclasses name the part or node at fault.
        """
        response = response_of(network, self.gain.start, self.gain.end)
        band = band_of(response, symbol_values(network, network.values(), None))
        problem = pose(network, self.gain, AC)
        if self.kind == "mid-band gain":
            return Solved(complex(band.gain), RATIO, problem, has_formula=False)
        limit = band.lower if self.kind == "lower limit" else band.upper
        if limit is None:
            way = "down to 0 Hz" if self.kind == "lower limit" else "up without end"
            raise CircuitError(f"the {self.gain} has no {self.kind}: its band reaches {way}")
        return Solved(limit, HERTZ, problem, has_formula=False)


@dataclass(frozen=True, slots=True)
class SensitivityFigure:
    """By how many per cent a quantity moves for one per cent of one value.

    Attributes:
        of: The quantity, with the analysis it is asked at.
        to: The value that moves.
    """

    of: CircuitAsk
    to: str

    def solve(self, network: Network, analysis: Analysis, frequency: float | None, time: float | None) -> Solved:
        """Return the relative sensitivity, a ratio; see `sensitivity.sensitivity` for the errors."""
        found = sensitivity(network, self.of.asked, self.to, analysis, frequency, time)
        return Solved(found.relative, RATIO, pose(network, self.of.asked, analysis), has_formula=False)


def is_figure(data: Any) -> bool:
    """Tell whether a form asks for one of these."""
    return isinstance(data, Mapping) and any(key in FIGURES for key in data)


def read_figure(data: Mapping[str, Any]) -> BandFigure | SensitivityFigure:
    """Read a form such as `{mid-band gain: {from: a, to: b}}` or `{sensitivity: {of: {voltage: tap}, to: R1}}`.

    Raises:
        CircuitError: Says what was found and what would do.
    """
    if len(data) != 1:
        raise CircuitError(f"found {', '.join(map(str, data))}; exactly one of {', '.join(FIGURES)} is wanted")
    ((kind, inner),) = data.items()
    if kind in BAND_FIGURES:
        gain = read_circuit_ask({"gain": inner}).asked
        assert isinstance(gain, Gain)
        return BandFigure(kind, gain)  # type: ignore[arg-type]  # one of the three, as has just been seen
    if not isinstance(inner, Mapping) or set(inner) != {"of", "to"} or not isinstance(inner["to"], str):
        raise CircuitError(f"sensitivity: found {shown(inner)}; {{of: {{voltage: tap}}, to: R1}} is wanted")
    return SensitivityFigure(read_circuit_ask(inner["of"]), inner["to"])
