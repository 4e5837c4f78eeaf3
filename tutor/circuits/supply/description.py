"""What a supply is made of: winding, rectifier, reservoir, smoothing sections, what it feeds.

Every number is in SI units and may be one number or an array over draws, shape (draws,). Nodes are counted from the
rectifier: node 0 is the reservoir (with a choke input the rectifier's output), node k the capacitor of section k, the
last one the output. The negative side is earth.

    winding ── rectifier ──┬── R or choke ──┬── R or choke ──┬── output
                        reservoir           C                C     load, bleeder
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any, TypeVar

from tutor.circuits.errors import shown
from tutor.circuits.supply.errors import SupplyError, UnloadedSupplyError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

INFINITE = float("inf")
Described = TypeVar("Described")


class Topology(StrEnum):
    """How the winding is rectified."""

    HALF_WAVE = "half-wave"
    BI_PHASE = "bi-phase"
    BRIDGE = "bridge"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Winding:
    """The secondary as the rectifier sees it: an emf behind a resistance.

    Attributes:
        emf: Off-load voltage [V rms]: of the whole winding, but of *each half* for bi-phase.
        resistance: In series with that emf [Ω], the primary's taken over by the square of the turns ratio
            (`rules.source_resistance`) and any resistor per anode included. For bi-phase each half has its own.
        frequency: Of the mains [Hz].
    """

    emf: Numbers
    resistance: Numbers
    frequency: Numbers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Silicon:
    """A silicon diode, by the straight line V = drop + slope·I.

    Attributes:
        drop: Forward voltage at the foot of the line [V].
        slope: Slope resistance [Ω].
    """

    drop: Numbers
    slope: Numbers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Vacuum:
    """A vacuum diode, by the law I = perveance·V^1.5 per anode (Child and Langmuir).

    Attributes:
        perveance: Per anode [A/V^1.5].
    """

    perveance: Numbers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ideal:
    """A rectifier without a drop, behind a resistance.

    Attributes:
        resistance: In series with each diode [Ω].
    """

    resistance: Numbers


Rectifier = Silicon | Vacuum | Ideal


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What one node feeds: a resistance and a constant current side by side.

    Attributes:
        resistance: [Ω]; infinite for none.
        current: Constant current [A], drawn whatever the voltage.
    """

    resistance: Numbers = INFINITE
    current: Numbers = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """One smoothing section: a resistor, or a choke with its resistance, and the capacitor after it.

    Attributes:
        resistance: The series resistor, or the choke's dc resistance [Ω].
        capacitance: [F].
        inductance: Of the choke [H]; 0 makes it an R-C section.
        load: What is drawn from this capacitor besides the sections that follow it.
    """

    resistance: Numbers
    capacitance: Numbers
    inductance: Numbers = 0.0
    load: Load = field(default_factory=Load)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supply:
    """A whole supply.

    Attributes:
        winding: The winding.
        topology: How it is rectified.
        rectifier: The law of each of its diodes.
        reservoir: First capacitor [F]; 0 for a choke (or resistor) input.
        sections: Smoothing sections, from the rectifier on.
        load: At the output, which is the last node.
        bleeder: Resistor across the output [Ω]; infinite for none.
        reservoir_load: What is drawn from node 0 when the output is another node.

    Raises:
        SupplyError: If a value is not a finite number of the right sign, or the arrays differ in length; names the
            key and the first draw at fault.
        UnloadedSupplyError: If there is neither a capacitor nor a resistance for the rectified voltage to stand across.
    """

    winding: Winding
    topology: Topology
    rectifier: Rectifier
    reservoir: Numbers
    sections: tuple[Section, ...] = ()
    load: Load = field(default_factory=Load)
    bleeder: Numbers = INFINITE
    reservoir_load: Load = field(default_factory=Load)

    def __post_init__(self) -> None:
        if not isinstance(self.topology, Topology):
            try:
                object.__setattr__(self, "topology", Topology(self.topology))
            except ValueError:
                raise SupplyError("topology", shown(self.topology), " or ".join(Topology)) from None
        if not isinstance(self.rectifier, Silicon | Vacuum | Ideal):
            raise SupplyError("rectifier", shown(self.rectifier), "Silicon, Vacuum or Ideal")
        object.__setattr__(self, "sections", tuple(self.sections))
        _check_numbers(self)
        _check_paths(self)

    @property
    def draws(self) -> int:
        """Number of draws: the length of its arrays, 1 if it has none."""
        return max((len(value) for _, value in _numbers(self) if _is_array(value)), default=1)

    @property
    def nodes(self) -> int:
        """Number of nodes: the reservoir and one per section."""
        return 1 + len(self.sections)

    @property
    def is_full_wave(self) -> bool:
        """Whether both half cycles charge."""
        return self.topology is not Topology.HALF_WAVE

    def part(self, start: int, stop: int) -> Supply:
        """Return the supply of some of its draws, from `start` up to but without `stop`."""
        return _sliced(self, start, stop)

    def off_load(self) -> Supply:
        """Return the same supply with every load taken off; only the bleeder stays."""
        bare = tuple(replace(section, load=Load()) for section in self.sections)
        return replace(self, sections=bare, load=Load(), reservoir_load=Load())


def _is_array(value: Any) -> bool:
    return getattr(value, "ndim", 0) > 0


def _numbers(part: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield the path and value of every number in a description."""
    for each in fields(part):
        value, key = getattr(part, each.name), f"{path}{each.name}"
        if is_dataclass(value):
            yield from _numbers(value, f"{key}.")
        elif isinstance(value, tuple):
            for index, section in enumerate(value):
                yield from _numbers(section, f"{key}[{index}].")
        elif not isinstance(value, Topology):
            yield key, value


def _sliced(part: Described, start: int, stop: int) -> Described:
    changes: dict[str, Any] = {}
    for each in fields(part):  # type: ignore[arg-type]  # only dataclasses come here
        value = getattr(part, each.name)
        if is_dataclass(value):
            changes[each.name] = _sliced(value, start, stop)
        elif isinstance(value, tuple):
            changes[each.name] = tuple(_sliced(section, start, stop) for section in value)
        elif _is_array(value):
            changes[each.name] = value[start:stop]
    return replace(part, **changes)  # type: ignore[type-var]


# Which numbers must be above zero, may be zero, may be infinite; all others are faults.
_POSITIVE = {"emf", "frequency", "perveance"}
_INFINITE = {"bleeder", "load.resistance", "reservoir_load.resistance"}


def _check_numbers(supply: Supply) -> None:
    import numpy as np

    length: int | None = None
    for key, value in _numbers(supply):
        try:
            array = np.asarray(value, dtype=float)
        except (TypeError, ValueError):
            raise SupplyError(key, shown(value), "a number, or an array of numbers") from None
        if isinstance(value, bool | str) or array.ndim > 1 or array.size == 0 or isinstance(value, list | tuple):
            raise SupplyError(key, shown(value), "a number, or a NumPy array of shape (draws,)")
        if array.ndim:
            if length is not None and array.size != length:
                raise SupplyError(key, f"{array.size} draws", f"{length} as in the arrays before it, or one number")
            length = array.size
        _check_range(key, array)


def _check_range(key: str, array: Any) -> None:
    import numpy as np

    may_be_infinite = any(key.endswith(name) for name in _INFINITE)
    above_zero = may_be_infinite or key.split(".")[-1] in _POSITIVE or key.endswith("].capacitance")
    bad = np.isnan(array) | (array <= 0 if above_zero else array < 0)
    if not may_be_infinite:
        bad |= np.isinf(array)
    if np.any(bad):
        wanted = "a number above 0" if above_zero else "a number, 0 or more"
        _fault(key, array, bad, wanted if may_be_infinite else f"{wanted}, not infinite")


def _fault(key: str, array: Any, bad: Any, wanted: str) -> None:
    import numpy as np

    draw = int(np.argmax(bad)) if np.ndim(bad) else None
    found = array if draw is None or not np.ndim(array) else array[draw]
    raise SupplyError(key, f"{float(found):g}", wanted, draw)


def _check_paths(supply: Supply) -> None:
    """Refuse what would be a short circuit, or a voltage that hangs in the air."""
    import numpy as np

    for index, section in enumerate(supply.sections):
        short = (np.asarray(section.resistance) == 0) & (np.asarray(section.inductance) == 0)
        if np.any(short):
            key = f"sections[{index}].resistance"
            _fault(key, np.asarray(section.resistance), short, "a resistor above 0 Ω, or a choke with an inductance")
    if not isinstance(supply.rectifier, Vacuum):
        slope = supply.rectifier.slope if isinstance(supply.rectifier, Silicon) else supply.rectifier.resistance
        stiff = np.asarray(supply.winding.resistance) + np.asarray(slope) <= 0
        if np.any(stiff):
            wanted = "some resistance in the winding or the rectifier: without it the charging current has no bound"
            _fault("winding.resistance", np.asarray(supply.winding.resistance), stiff, wanted)
    if not supply.sections:
        resistances = (supply.load.resistance, supply.bleeder, supply.reservoir_load.resistance)
        conductance = sum(1 / np.asarray(value, dtype=float) for value in resistances)
        hanging = (np.asarray(supply.reservoir) == 0) & (conductance == 0)
        if np.any(hanging):
            draw = int(np.argmax(hanging)) if np.ndim(hanging) else None
            wanted = "a reservoir, a section, a load resistance or a bleeder for the voltage to stand across"
            raise UnloadedSupplyError("reservoir", "0", wanted, draw)
