"""What can be asked of a circuit: the forms of a circuit file's `ask:` and of a template's `of circuit:`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from tutor.circuits.equations import EARTH
from tutor.circuits.errors import CircuitError, did_you_mean, shown
from tutor.quantities import AMPERE, HERTZ, OHM, RATIO, SECOND, VOLT, WATT, Unit

TAKES = ("magnitude", "phase", "decibels", "real", "imaginary")
FORMS = (
    "voltage",
    "current",
    "power",
    "gain",
    "impedance",
    "input impedance",
    "output impedance",
    "short-circuit current",
    "time constant",
    "corner frequency",
)


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
class InputImpedance:
    """The impedance that a source between two nodes looks into: its own place open, all other sources dead."""

    a: str
    b: str = EARTH
    unit: Unit = OHM

    def __str__(self) -> str:
        return f"input impedance between {self.a} and {'earth' if self.b == EARTH else self.b}"


@dataclass(frozen=True, slots=True)
class OutputImpedance:
    """The impedance that a load between two nodes sees: the parts that are the load taken out, all sources dead."""

    a: str
    b: str = EARTH
    loads: tuple[str, ...] = ()
    unit: Unit = OHM

    def __str__(self) -> str:
        without = f" without {', '.join(self.loads)}" if self.loads else ""
        return f"output impedance between {self.a} and {'earth' if self.b == EARTH else self.b}{without}"


@dataclass(frozen=True, slots=True)
class ShortCircuitCurrent:
    """The current from node a to node b through a short between them, all sources alive: Norton's current."""

    a: str
    b: str = EARTH
    unit: Unit = AMPERE

    def __str__(self) -> str:
        return f"short-circuit current from {self.a} to {'earth' if self.b == EARTH else self.b}"


@dataclass(frozen=True, slots=True)
class TimeConstant:
    """The time constant of the one capacitor or inductor with the resistance that it sees."""

    part: str
    unit: Unit = SECOND

    def __str__(self) -> str:
        return f"time constant of {self.part}"


@dataclass(frozen=True, slots=True)
class CornerFrequency:
    """The frequency where one capacitor or inductor bends a response: 1/(2π·time constant).

    A *pole* counts the resistance that the part sees with all sources dead; a *zero* that which it sees while the
    source at `start` is such that the voltage at `end` is nought. Other stores are short or open, as is said of each.

    Attributes:
        part: The capacitor or inductor.
        kind: `pole` or `zero`.
        start: The pair of nodes that is driven; None where the circuit's own sources do.
        end: The pair where the response is read; for a zero.
        short: References of the stores that are short at this frequency.
        open: References of those that are open.
    """

    part: str
    kind: Literal["pole", "zero"] = "pole"
    start: tuple[str, str] | None = None
    end: tuple[str, str] | None = None
    short: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    unit: Unit = HERTZ

    def __str__(self) -> str:
        return f"corner frequency of {self.part}"


Asked: TypeAlias = (
    Voltage
    | Current
    | Power
    | Gain
    | Impedance
    | InputImpedance
    | OutputImpedance
    | ShortCircuitCurrent
    | TimeConstant
    | CornerFrequency
)


def without_analysis(asked: Asked) -> bool:
    """Tell whether a form is the same whatever the circuit is looked at for."""
    return isinstance(asked, TimeConstant | CornerFrequency)


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


def read_circuit_ask(data: Any) -> CircuitAsk:
    """Read one asked form.

    Args:
        data: A mapping such as `{voltage: [a, b]}` or `{gain: {from: a, to: b}, analysis: ac, frequency: 1 kHz}`.

    Returns:
        The form with its analysis.

    Raises:
        CircuitError: Says what was found and which forms there are.
    """
    if not isinstance(data, Mapping):
        raise CircuitError(f"found {shown(data)}; a mapping is wanted, such as {{voltage: tap}} or {{current: R1}}")
    forms = [key for key in data if key in FORMS]
    known = (*FORMS, "analysis", "frequency", "take", "time")
    extra = [key for key in data if key not in known]
    if extra:
        near = did_you_mean(str(extra[0]), known)
        raise CircuitError(f"found the key {shown(extra[0])}{near}; known are {', '.join(known)}")
    if len(forms) != 1:
        raise CircuitError(f"found {', '.join(forms) or 'no quantity'}; exactly one of {', '.join(FORMS)} is wanted")
    return CircuitAsk(
        asked=_FORM_READERS[forms[0]](data[forms[0]]),
        analysis=_one_of(data, "analysis", ("dc", "ac", "step")),
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


def _references(data: Any) -> tuple[str, ...]:
    if data is None:
        return ()
    if isinstance(data, list | tuple):
        return tuple(_reference(one) for one in data)
    return (_reference(data),)


def _read_output_impedance(data: Any) -> OutputImpedance:
    if not isinstance(data, Mapping):
        return OutputImpedance(*_node_pair(data))
    _refuse_others("output impedance", data, ("at", "load"), "{at: anode, load: RL}")
    return OutputImpedance(*_node_pair(data.get("at")), _references(data.get("load")))


_CORNER_KEYS = ("part", "kind", "from", "to", "short", "open")


def _read_corner(data: Any) -> CornerFrequency:
    if not isinstance(data, Mapping):
        return CornerFrequency(_reference(data))
    _refuse_others("corner frequency", data, _CORNER_KEYS, "C1 or {part: C1, kind: zero, from: in, to: out}")
    kind: Literal["pole", "zero"] = _one_of(data, "kind", ("pole", "zero")) or "pole"
    start, end = (None if data.get(key) is None else _node_pair(data[key]) for key in ("from", "to"))
    if kind == "zero" and (start is None or end is None):
        raise CircuitError("corner frequency: a zero belongs to a response; say `from:` where to `to:` where")
    short, opened = _references(data.get("short")), _references(data.get("open"))
    return CornerFrequency(_reference(data.get("part")), kind, start, end, short, opened)


def _refuse_others(form: str, data: Mapping[str, Any], known: tuple[str, ...], example: str) -> None:
    extra = [key for key in data if key not in known]
    if extra:
        near = did_you_mean(str(extra[0]), known)
        raise CircuitError(f"{form}: found the key {shown(extra[0])}{near}; {example} is wanted")


_FORM_READERS: dict[str, Callable[[Any], Asked]] = {
    "voltage": lambda data: Voltage(*_node_pair(data)),
    "current": _read_current,
    "power": lambda data: Power(_reference(data)),
    "gain": _read_gain,
    "impedance": lambda data: Impedance(*_node_pair(data)),
    "input impedance": lambda data: InputImpedance(*_node_pair(data)),
    "output impedance": _read_output_impedance,
    "short-circuit current": lambda data: ShortCircuitCurrent(*_node_pair(data)),
    "time constant": lambda data: TimeConstant(_reference(data)),
    "corner frequency": _read_corner,
}
