"""Circuit files: `circuit:`, `parts:`, and for `quiescent solve` the analysis and what is asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import CircuitAsk, read_circuit_ask
from tutor.circuits.errors import CircuitError, PartError, did_you_mean
from tutor.circuits.linear import Solved, solve
from tutor.circuits.network import Network, read_network
from tutor.circuits.source import Path_, Source, read_source
from tutor.errors import Fault, FaultyFileError
from tutor.quantities import HERTZ, QuantityError, read_quantity, read_unit

KEYS = ("circuit", "title", "words", "parts", "analysis", "frequency", "ask")


@dataclass(frozen=True, slots=True)
class CircuitFile:
    """A circuit with its questions.

    Attributes:
        name: The circuit's name.
        network: Its parts.
        analysis: `dc` or `ac` for asks that do not say.
        frequency: In Hz for asks that do not say, or None.
        asks: What is asked, each with the form as the file wrote it.
    """

    name: str
    network: Network
    analysis: Analysis
    frequency: float | None
    asks: tuple[tuple[Any, CircuitAsk], ...]

    def solve(self, ask: CircuitAsk) -> Solved:
        """Solve one ask; raises CircuitError."""
        kind = ask.analysis or self.analysis.kind
        frequency = self.frequency if ask.frequency is None else read_frequency(ask.frequency)
        return solve(self.network, ask.asked, AC if kind == "ac" else DC, frequency if kind == "ac" else None)


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
    network = _guard(source, ("parts",), faults, lambda: read_network(data.get("parts")))
    frequency = None
    if data.get("frequency") is not None:
        frequency = _guard(source, ("frequency",), faults, lambda: read_frequency(data["frequency"]))
    kind = data.get("analysis", "dc")
    if kind not in ("dc", "ac"):
        faults.append(source.fault(("analysis",), f"found {kind!r}; known are dc and ac"))
    asks = _asks(source, data.get("ask"), faults)
    if faults or network is None:
        raise FaultyFileError(faults)
    name = str(data.get("circuit", source.name))
    return CircuitFile(name, network, AC if kind == "ac" else DC, frequency, asks)


def _unknown_key(source: Source, key: str) -> Fault:
    return source.fault((key,), f"unknown key{did_you_mean(key, KEYS)}; known are {', '.join(KEYS)}")


def _guard(source: Source, path: Path_, faults: list[Fault], read: Any) -> Any:
    """Return what `read` gives; on an error add a fault at the part's own key and return None."""
    try:
        return read()
    except PartError as error:
        faults.append(source.fault((*path, error.part, *error.key.split(".")), error.reason))
    except CircuitError as error:
        faults.append(source.fault(path, str(error)))
    return None


def _asks(source: Source, raw: Any, faults: list[Fault]) -> tuple[tuple[Any, CircuitAsk], ...]:
    if raw is None:
        return ()
    if not isinstance(raw, list):
        faults.append(source.fault(("ask",), f"found {raw!r}; a list of forms is wanted, such as - {{voltage: tap}}"))
        return ()
    found = []
    for index, form in enumerate(raw):
        read = _guard(source, ("ask", index), faults, lambda form=form: read_circuit_ask(form))
        if read is not None:
            found.append((form, read))
    return tuple(found)


def read_frequency(text: Any) -> float:
    """Read a frequency such as `50 Hz` or `1 kHz`; a bare number is in hertz.

    Raises:
        CircuitError: If it is none.
    """
    try:
        quantity = read_quantity(str(text), read_unit("Hz")).quantity
    except QuantityError as error:
        raise CircuitError(str(error)) from error
    if quantity.unit.symbol and quantity.unit.dimension != HERTZ.dimension:
        raise CircuitError(f"found {text!r}, a {quantity.unit.dimension.name}; a frequency is wanted, such as 50 Hz")
    return quantity.magnitude
