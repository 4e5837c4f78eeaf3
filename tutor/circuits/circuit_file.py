"""Circuit files: `circuit:`, `parts:`, and for `quiescent solve` the analysis and what is asked.

At `analysis: step` every source is switched on at the time 0 and `time:` says when the answer is read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from tutor.circuits.analysis import AC, DC, STEP, Analysis
from tutor.circuits.asked import CircuitAsk, read_circuit_ask
from tutor.circuits.errors import CircuitError, PartError, did_you_mean, shown, with_article
from tutor.circuits.figures import BandFigure, SensitivityFigure, is_figure, read_figure
from tutor.circuits.linear import Solved, solve
from tutor.circuits.network import Network, read_parts
from tutor.circuits.source import Path_, Source, read_source
from tutor.errors import Fault, FaultyFileError
from tutor.quantities import HERTZ, SECOND, QuantityError, Unit, read_quantity, read_unit

KEYS = ("circuit", "title", "words", "parts", "analysis", "frequency", "time", "ask")
ANALYSES = {"dc": DC, "ac": AC, "step": STEP}


@dataclass(frozen=True, slots=True)
class CircuitFile:
    """A circuit with its questions.

    Attributes:
        name: The circuit's name.
        network: Its parts.
        analysis: `dc`, `ac` or `step` for asks that do not say.
        frequency: In Hz for asks that do not say, or None.
        time: In seconds for asks that do not say, or None.
        asks: What is asked, each with the form as the file wrote it.
    """

    name: str
    network: Network
    analysis: Analysis
    frequency: float | None
    time: float | None
    asks: tuple[tuple[Any, CircuitAsk | BandFigure | SensitivityFigure], ...]

    def solve(self, ask: CircuitAsk | BandFigure | SensitivityFigure) -> Solved:
        """Solve one ask; raises CircuitError."""
        if isinstance(ask, BandFigure):
            return ask.solve(self.network)
        if isinstance(ask, SensitivityFigure):
            return ask.solve(self.network, *self._when(ask.of))
        return solve(self.network, ask.asked, *self._when(ask)).taken(ask.take)

    def _when(self, ask: CircuitAsk) -> tuple[Analysis, float | None, float | None]:
        """Return analysis, frequency and time of an ask, those of the file where it does not say."""
        analysis = ANALYSES[ask.analysis or self.analysis.kind]
        frequency = self.frequency if ask.frequency is None else read_frequency(ask.frequency)
        return analysis, frequency, self.time if ask.time is None else read_time(ask.time)


def read_circuit_file(path: Path) -> CircuitFile:
    """Read a circuit file.

    Raises:
        FaultyFileError: With every fault's line, key, what was found and what would do.
    """
    return circuit_from_source(read_source(path))


def circuit_from_source(source: Source) -> CircuitFile:
    """Read a circuit from a YAML source; see `read_circuit_file`."""
    data = source.data
    if not isinstance(data, dict):
        raise FaultyFileError([source.fault((), "a circuit file holds `circuit:`, `parts:` and `ask:`")])
    faults = [_unknown_key(source, key) for key in data if key not in KEYS]
    network, wrong = read_parts(data.get("parts"))
    faults += [_fault_of(source, ("parts",), error) for error in wrong]
    frequency = _guard(source, ("frequency",), faults, lambda: _optional(data, "frequency", read_frequency))
    time = _guard(source, ("time",), faults, lambda: _optional(data, "time", read_time))
    kind = data.get("analysis") or "dc"
    if not isinstance(kind, str) or kind not in ANALYSES:
        faults.append(source.fault(("analysis",), f"found {shown(kind)}; known are {', '.join(ANALYSES)}"))
    name = data.get("circuit", source.name)
    if not isinstance(name, str) or not name:
        faults.append(source.fault(("circuit",), f"found {shown(name)}; the circuit's name is wanted"))
    asks = _asks(source, data.get("ask"), faults)
    if faults:
        raise FaultyFileError(faults)
    return CircuitFile(name, network, ANALYSES[kind], frequency, time, asks)


def _optional(data: dict[str, Any], key: str, read: Callable[[Any], float]) -> float | None:
    return None if data.get(key) is None else read(data[key])


def _unknown_key(source: Source, key: str) -> Fault:
    return source.fault((key,), f"unknown key{did_you_mean(key, KEYS)}; known are {', '.join(KEYS)}")


def _guard(source: Source, path: Path_, faults: list[Fault], read: Callable[[], Any]) -> Any:
    """Return what `read` gives; on an error add a fault and return None."""
    try:
        return read()
    except CircuitError as error:
        faults.append(_fault_of(source, path, error))
    return None


def _fault_of(source: Source, path: Path_, error: CircuitError) -> Fault:
    """Return an error as a fault, at the part's own key where it names one."""
    if isinstance(error, PartError):
        return source.fault((*path, error.part, *error.key.split(".")), error.reason)
    return source.fault(path, str(error).removeprefix("parts: "))


def _asks(source: Source, raw: Any, faults: list[Fault]) -> tuple[tuple[Any, Any], ...]:
    if raw is None:
        return ()
    if not isinstance(raw, list):
        faults.append(
            source.fault(("ask",), f"found {shown(raw)}; a list of forms is wanted, such as - {{voltage: tap}}")
        )
        return ()
    found = []
    for index, form in enumerate(raw):
        reader: Callable[[Any], Any] = read_figure if is_figure(form) else read_circuit_ask
        read = _guard(source, ("ask", index), faults, partial(reader, form))
        if read is not None:
            found.append((form, read))
    return tuple(found)


def read_frequency(text: Any) -> float:
    """Read a frequency such as `50 Hz` or `1 kHz`; a bare number is in hertz.

    Raises:
        CircuitError: If it is none.
    """
    return _read_in(text, HERTZ, "50 Hz")


def read_time(text: Any) -> float:
    """Read a time such as `5 ms`; a bare number is in seconds.

    Raises:
        CircuitError: If it is none.
    """
    return _read_in(text, SECOND, "5 ms")


def _read_in(text: Any, unit: Unit, example: str) -> float:
    try:
        quantity = read_quantity(str(text), read_unit(unit.symbol)).quantity
    except QuantityError as error:
        reason = getattr(error, "reason", "") or str(error)
        raise CircuitError(f"found {shown(text)}: {reason}; for example {example}") from error
    if not quantity.unit.fits(unit):
        found, wanted = with_article(quantity.unit.name), with_article(unit.name)
        raise CircuitError(f"found {shown(text)}, {found}; {wanted} is wanted, such as {example}")
    return quantity.magnitude
