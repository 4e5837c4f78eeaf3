"""What is wrong with a draft, and where: the whole of it as the file would be read, and its circuit row by row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tutor.circuits.analysis import AC, DC
from tutor.circuits.errors import CircuitError, FloatingNodeError, NodeError, PartError, SourceLoopError
from tutor.circuits.network import Network, read_parts
from tutor.circuits.source import Source
from tutor.errors import Fault, FaultyFileError
from tutor.quantities import Unit
from tutor.questions.authoring.rows import parts_of
from tutor.questions.authoring.writing import in_order
from tutor.questions.reading import FindCircuit, read_template
from tutor.questions.template import Template

NAME = "the draft"


@dataclass(frozen=True, slots=True)
class Reading:
    """A draft as it was read.

    Attributes:
        template: The template, or None while something is wrong.
        faults: What is wrong, each at its key.
    """

    template: Template | None
    faults: tuple[Fault, ...] = ()

    def at(self, key: str) -> tuple[str, ...]:
        """Return what is wrong at a key and below it."""
        return tuple(f.message for f in self.faults if f.key == key or f.key.startswith((f"{key}.", f"{key}[")))


def read_draft(data: Mapping[str, Any], find_circuit: FindCircuit, bank: str = "") -> Reading:
    """Read a draft as its file would be read."""
    try:
        return Reading(read_template(Source(NAME, in_order(data), {}), find_circuit, bank))
    except FaultyFileError as error:
        return Reading(None, error.faults)


@dataclass(frozen=True, slots=True)
class Bench:
    """A draft's circuit as it was read.

    Attributes:
        network: The parts that could be read.
        units: Unit of every named value.
        at_row: Reference → what is wrong with the part.
        overall: What is wrong with the circuit as a whole.
        sample: Some template around the circuit, to draw it with; None while something is wrong.
    """

    network: Network
    units: Mapping[str, Unit]
    at_row: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    overall: tuple[str, ...] = ()
    sample: Template | None = None

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.at_row and not self.overall


_AROUND = {"template": "bench", "title": "Bench", "topic": "bench", "level": "1", "text": "-"}
_ASKED = {"bench": {"text": "-", "formula": "1"}}


def read_bench(data: Mapping[str, Any], find_circuit: FindCircuit) -> Bench:
    """Read a draft's circuit and values alone, whatever else is missing yet."""
    values = _sound_values(data.get("values"), find_circuit)
    plain = _AROUND | {"values": values.rules, "ask": _ASKED}
    around = read_draft(plain, find_circuit)
    units = around.template.units if around.template else {}
    units = {name: unit for name, unit in units.items() if name != "bench"}
    parts = parts_of(data)
    if isinstance(data.get("circuit"), str):
        try:
            parts = dict(find_circuit(data["circuit"]))
        except CircuitError as error:
            return Bench(Network(()), units, {}, (str(error),))
    if not parts:
        return Bench(Network(()), units, values.faults)
    network, errors = read_parts(parts, units)
    at_row: dict[str, list[str]] = {name: list(faults) for name, faults in values.faults.items()}
    overall: list[str] = []
    for wrong in errors:
        _place(wrong, at_row, overall, network)
    if not errors:
        _check_wiring(data, network, at_row, overall)
    sample = None
    if not at_row and not overall:
        found = read_draft(plain | {"circuit": {"parts": parts}} | _analysis(data), find_circuit)
        sample = found.template
        overall += [fault.message for fault in found.faults]
    return Bench(network, units, {name: tuple(found) for name, found in at_row.items()}, tuple(overall), sample)


def _analysis(data: Mapping[str, Any]) -> dict[str, Any]:
    found = {key: data[key] for key in ("analysis", "frequency") if data.get(key)}
    return found if found.get("analysis") != "ac" or "frequency" in found else found | {"frequency": "1 kHz"}


@dataclass(frozen=True, slots=True)
class _Values:
    rules: Mapping[str, Any]
    faults: Mapping[str, tuple[str, ...]]


def _sound_values(raw: Any, find_circuit: FindCircuit) -> _Values:
    """Return the value rules that can be read, and what is wrong with the others."""
    rules = dict(raw) if isinstance(raw, Mapping) else {}
    faults: dict[str, tuple[str, ...]] = {}
    for _ in range(len(rules) + 1):
        found = read_draft(_AROUND | {"values": rules, "ask": _ASKED}, find_circuit)
        wrong = {fault.key.split(".")[1]: fault.message for fault in found.faults if fault.key.startswith("values.")}
        wrong = {name: message for name, message in wrong.items() if name in rules}
        if not wrong:
            break
        for name, message in wrong.items():
            faults[name] = (*faults.get(name, ()), message)
            rules.pop(name)
    return _Values(rules, faults)


def _place(error: CircuitError, at_row: dict[str, list[str]], overall: list[str], network: Network) -> None:
    """Note an error at the rows that it names."""
    match error:
        case PartError(part=part, key=key, reason=reason):
            at_row.setdefault(part, []).append(f"{key}: {reason}" if key not in ("", "value") else reason)
        case FloatingNodeError(parts=parts) | SourceLoopError(parts=parts) if parts:
            for part in parts:
                at_row.setdefault(part, []).append(str(error))
        case NodeError(name=name):
            rows = [p.reference for p in network.parts if name in p.linked()]
            for part in rows:
                at_row.setdefault(part, []).append(str(error))
            if not rows:
                overall.append(str(error))
        case _:
            overall.append(str(error))


def _check_wiring(data: Mapping[str, Any], network: Network, at_row: dict[str, list[str]], overall: list[str]) -> None:
    analysis = AC if data.get("analysis") == "ac" else DC
    try:
        network.equations(analysis)
    except CircuitError as error:
        _place(error, at_row, overall, network)
    # A part without a value takes that of its own name; one that has neither would only be missed later.
    for part in network.parts:
        for parameter in part.parameters():
            if parameter.value is None and not at_row.get(part.reference):
                missing = "its value is missing" if parameter.key == "value" else f"its {parameter.key} is missing"
                at_row.setdefault(part.reference, []).append(missing)


def no_circuit(name: str) -> Mapping[str, Any]:
    """Stand in where a draft's circuits are its own: there are no others.

    Raises:
        CircuitError: Always.
    """
    raise CircuitError(f"there is no circuit {name!r} to share; give the parts themselves")
