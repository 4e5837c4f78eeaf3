"""What can be asked of a circuit: the forms of a circuit file's `ask:` and of a template's `of circuit:`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from tutor.circuits.equations import EARTH
from tutor.circuits.errors import CircuitError, did_you_mean, shown
from tutor.quantities import AMPERE, OHM, RATIO, SECOND, VOLT, WATT, Unit

TAKES = ("magnitude", "phase", "decibels", "real", "imaginary")
FORMS = ("voltage", "current", "power", "gain", "impedance", "time constant")


@dataclass(frozen=True, slots=True)
class Voltage:
    """The voltage of node a against node b."""

    a: str
    b: str = EARTH
    unit: Unit = VOLT

    def __str__(self) -> str:
        return f"voltage of {self.a}" + (f" against {self.b}" if self.b != EARTH else "")


@dataclass(frozen=True, slots=True)
class Current:
    """The current through a part, from its first node to its second; of one winding where a transformer has several."""

    part: str
    winding: str = ""
    unit: Unit = AMPERE

    def __str__(self) -> str:
        return f"current through {self.part}" + (f", {self.winding}" if self.winding else "")


@dataclass(frozen=True, slots=True)
class Power:
    """The power that a part absorbs; the mean at ac."""

    part: str
    unit: Unit = WATT

    def __str__(self) -> str:
        return f"power in {self.part}"


@dataclass(frozen=True, slots=True)
class Gain:
    """The voltage between two nodes for one volt between two others, all other sources dead."""

    start: tuple[str, str]
    end: tuple[str, str]
    unit: Unit = RATIO

    def __str__(self) -> str:
        ends = (a if b == EARTH else f"{a} against {b}" for a, b in (self.start, self.end))
        return "gain from {} to {}".format(*ends)


@dataclass(frozen=True, slots=True)
class Impedance:
    """The impedance between two nodes with all independent sources dead."""

    a: str
    b: str = EARTH
    unit: Unit = OHM

    def __str__(self) -> str:
        return f"impedance between {self.a} and {'earth' if self.b == EARTH else self.b}"


@dataclass(frozen=True, slots=True)
class TimeConstant:
    """The time constant of the one capacitor or inductor with the resistance that it sees."""

    part: str
    unit: Unit = SECOND

    def __str__(self) -> str:
        return f"time constant of {self.part}"


Asked: TypeAlias = Voltage | Current | Power | Gain | Impedance | TimeConstant


@dataclass(frozen=True, slots=True)
class CircuitAsk:
    """A form together with the analysis it is asked at.

    Attributes:
        asked: The quantity.
        analysis: `dc`, `ac` or `step`; None takes the file's.
        frequency: Text of the frequency at ac; None takes the file's.
        time: Text of the time at step; None takes the file's.
        take: What of a complex value is wanted.
    """

    asked: Asked
    analysis: Literal["dc", "ac", "step"] | None = None
    frequency: str | None = None
    take: Literal["magnitude", "phase", "decibels", "real", "imaginary"] | None = None
    time: str | None = None


def read_circuit_ask(data: Any, *, steps: bool = False) -> CircuitAsk:
    """Read one asked form.

    Args:
        data: A mapping such as `{voltage: [a, b]}` or `{gain: {from: a, to: b}, analysis: ac, frequency: 1 kHz}`.
        steps: Whether a value in time may be asked: in circuit files it may, in templates not.

    Returns:
        The form with its analysis.

    Raises:
        CircuitError: Says what was found and which forms there are.
    """
    if not isinstance(data, Mapping):
        raise CircuitError(f"found {shown(data)}; a mapping is wanted, such as {{voltage: tap}} or {{current: R1}}")
    forms = [key for key in data if key in FORMS]
    known = (*FORMS, "analysis", "frequency", "take", *(["time"] if steps else []))
    extra = [key for key in data if key not in known]
    if extra:
        near = did_you_mean(str(extra[0]), known)
        raise CircuitError(f"found the key {shown(extra[0])}{near}; known are {', '.join(known)}")
    if len(forms) != 1:
        raise CircuitError(f"found {', '.join(forms) or 'no quantity'}; exactly one of {', '.join(FORMS)} is wanted")
    return CircuitAsk(
        asked=_FORM_READERS[forms[0]](data[forms[0]]),
        analysis=_one_of(data, "analysis", ("dc", "ac", *(["step"] if steps else []))),
        frequency=None if data.get("frequency") is None else str(data["frequency"]),
        take=_one_of(data, "take", TAKES),
        time=None if data.get("time") is None else str(data["time"]),
    )


def _one_of(data: Mapping[str, Any], key: str, known: tuple[str, ...]) -> Any:
    value = data.get(key)
    if value is not None and value not in known:
        raise CircuitError(
            f"{key}: found {shown(value)}{did_you_mean(str(value), known)}; known are {', '.join(known)}"
        )
    return value


def _node_pair(data: Any) -> tuple[str, str]:
    if isinstance(data, list | tuple):
        if not 1 <= len(data) <= 2:
            raise CircuitError(f"found {shown(data)}; one node or two are wanted: [a, b]")
        return str(data[0]), str(data[1]) if len(data) == 2 else EARTH
    if isinstance(data, Mapping) or data is None:
        raise CircuitError(f"found {shown(data)}; one node or two are wanted: a or [a, b]")
    return str(data), EARTH


def _reference(data: Any) -> str:
    if not isinstance(data, str) or not data:
        raise CircuitError(f"found {shown(data)}; the reference of a part is wanted, such as R1")
    return data


def _read_current(data: Any) -> Current:
    part, _, winding = _reference(data).partition(".")
    return Current(part, winding)


def _read_gain(data: Any) -> Gain:
    if not isinstance(data, Mapping) or set(data) != {"from", "to"}:
        raise CircuitError(f"gain: found {shown(data)}; {{from: a, to: b}} is wanted")
    return Gain(_node_pair(data["from"]), _node_pair(data["to"]))


_FORM_READERS: dict[str, Callable[[Any], Asked]] = {
    "voltage": lambda data: Voltage(*_node_pair(data)),
    "current": _read_current,
    "power": lambda data: Power(_reference(data)),
    "gain": _read_gain,
    "impedance": lambda data: Impedance(*_node_pair(data)),
    "time constant": lambda data: TimeConstant(_reference(data)),
}
