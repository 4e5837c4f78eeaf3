"""What the meter reads on each draw of a `fault` ask, and whether it leaves one suspect only.

NumPy and the valves' laws are loaded inside the functions: a template without faults needs neither.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tutor.circuits.analysis import AC, DC, S
from tutor.circuits.expressions import Expression
from tutor.circuits.faults.instrument import INSTRUMENTS, Instrument
from tutor.circuits.network import Network
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.quantities import Quantity
from tutor.questions.compiling import base_names
from tutor.questions.template import Ask, Template

if TYPE_CHECKING:
    from tutor.circuits.dense import Behind
    from tutor.circuits.faults.bench import Bench

HEALTHY = "healthy_"
"""Stands before a node's name in the conditions under `sound:`: what the healthy circuit reads there."""

ROW = "0row "
"""Stands before the name of drawn rows in a batch: which row each draw has."""

_BENCHES: dict[tuple[str, str], Bench] = {}
_KEPT: dict[tuple[object, ...], Table] = {}
MOST_KEPT = 64


@dataclass(frozen=True, slots=True)
class Table:
    """The readings of many draws; volts, and ranges of 0 for a meter that finds its own.

    Attributes:
        healthy: Of the healthy circuit as read, shape (points, draws).
        healthy_ranges: On which range [V].
        shown: Of the faulty circuit as read.
        ranges: On which range [V].
        errors: How far those may be from the truth [V].
        predicted: What each case would make there: case 0 the healthy circuit, case n the n-th suspect; shape (cases,
            points, draws).
        clear: Whether one suspect, and no other, explains what is shown, and the healthy circuit is sound; shape
            (draws,).
    """

    healthy: Any
    healthy_ranges: Any
    shown: Any
    ranges: Any
    errors: Any
    predicted: Any
    clear: Any


def fault_asks(template: Template) -> tuple[Ask, ...]:
    """Return the asks about faults."""
    return tuple(ask for ask in template.asks if ask.kind == "fault")


def clear_draws(template: Template, values: Mapping[str, Any], labels: Mapping[str, Any], draws: int) -> Any:
    """Tell which draws can be asked: every fault of theirs can be told from all others; shape (draws,).

    Args:
        template: The template.
        values: Named numbers over the draws, the case of each fault ask (from 1) under its name.
        labels: Word of each drawn row over the draws.
        draws: How many there are.
    """
    import numpy as np

    clear = np.ones(draws, dtype=bool)
    for ask in fault_asks(template):
        clear &= table_of(template, ask, values, labels, draws).clear
    return clear


def table_of(template: Template, ask: Ask, values: Mapping[str, Any], labels: Mapping[str, Any], draws: int) -> Table:
    """Return the readings of a fault ask over many draws; arguments as in `clear_draws`.

    The latest single draws are kept: what was looked at to admit a draw is shown a moment later.
    """
    if draws > 1 or not isinstance(values[ask.name], float):
        return _table(template, ask, values, labels, draws)
    drawn = {name: values[name] for name in (*base_names(template), ask.name)}
    key = (template.release, ask.name, *(float(value) for value in drawn.values()), *map(str, labels.values()))
    found = _KEPT.get(key)
    if found is None:
        found = _table(template, ask, values, labels, draws)
        while len(_KEPT) >= MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)), None)
        _KEPT[key] = found
    return found


def _table(template: Template, ask: Ask, values: Mapping[str, Any], labels: Mapping[str, Any], draws: int) -> Table:
    import numpy as np

    from tutor.circuits.faults.diagnosis import errors_of, unique

    assert template.network is not None
    bench, instrument = _bench(template, ask), INSTRUMENTS[ask.meter]
    types = _types(template.network, labels, draws)
    truth = np.broadcast_to(np.asarray(values[ask.name]), (draws,)).astype(int)
    with np.errstate(all="ignore"):
        behind = bench.behind(lambda network: symbols_of(template, network, values, draws), draws)
        reader = _Reader(bench, behind, instrument, types)
        if instrument.ranges:
            healthy, healthy_ranges = reader.read(np.zeros(draws, dtype=int))
            found, ranges = reader.read(truth)
            predicted = bench.readings(behind, instrument.ohms_per_volt * ranges, types)
        else:
            # It loads every point alike, so that all cases are read at once and the one that is true is among them.
            healthy_ranges = ranges = np.zeros((len(bench.points), draws))
            predicted = bench.readings(behind, np.full(ranges.shape, instrument.resistance), types)
            healthy, found = predicted[0], predicted[truth, :, np.arange(draws)].T
        shown = _rounded(instrument, found, ranges)
        errors = errors_of(instrument, shown, ranges)
        clear = unique(predicted, shown, errors, truth)
    for condition in ask.sound:
        clear = clear & _met(condition, ask, healthy, values, draws)
    return Table(_rounded(instrument, healthy, healthy_ranges), healthy_ranges, shown, ranges, errors, predicted, clear)


def _bench(template: Template, ask: Ask) -> Bench:
    """Return the bench of an ask, written once in a process."""
    from tutor.circuits.faults.bench import Bench

    key = (template.release, ask.name)
    if key not in _BENCHES:
        assert template.network is not None
        analysis = AC if template.analysis == "ac" else DC
        faults = [suspect.fault for suspect in ask.suspects]
        _BENCHES[key] = Bench(template.network, faults, list(ask.points), analysis)
    return _BENCHES[key]


def symbols_of(template: Template, network: Network, values: Mapping[str, Any], draws: int) -> dict[str, Any]:
    """Return every symbol of a network over the draws; its parts' values are expressions over named numbers."""
    import numpy as np

    from tutor.questions.arrays import array_value

    known: dict[str, Any] = {}
    for symbol, (_, parameter) in network.parameters().items():
        if isinstance(parameter.value, Quantity):
            known[symbol] = np.full(draws, parameter.value.magnitude)
        elif parameter.value is not None:
            known[symbol] = array_value(parameter.value, values, draws)
    for definition in network.definitions():
        real = array_value(definition.real, known, draws)
        if definition.imaginary is not None:
            real = real + 1j * array_value(definition.imaginary, known, draws)
        known[definition.symbol] = real
    if template.analysis == "ac" and template.frequency is not None:
        known[S] = 2j * np.pi * array_value(template.frequency, values, draws)
    return known


def _types(network: Network, labels: Mapping[str, Any], draws: int) -> dict[str, Any]:
    """Return the type of every valve over the draws."""
    import numpy as np

    found = {}
    for part in network.parts:
        if isinstance(part, Triode | Pentode):
            word = labels.get(part.type, part.type)
            found[part.reference] = np.broadcast_to(np.asarray(word), (draws,))
    return found


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the points of one case for each draw, on the range that suits each reading."""

    bench: Bench
    behind: list[Behind]
    instrument: Instrument
    types: Mapping[str, Any]

    def read(self, cases: Any) -> tuple[Any, Any]:
        """Return voltages and ranges, shapes (points, draws), with case `cases[d]` on draw d.

        Who knows nothing begins with the highest range and turns down as long as the needle stays on the scale.
        """
        import numpy as np

        shape = (len(self.bench.points), len(cases))
        ranges = np.full(shape, self.instrument.ranges[0])
        voltages = self._of_cases(cases, self.instrument.ohms_per_volt * ranges)
        turning = np.ones(shape, dtype=bool)
        for lower in self.instrument.ranges[1:]:
            tried = self._of_cases(cases, np.full(shape, self.instrument.ohms_per_volt * lower))
            turning &= np.abs(tried) <= lower
            ranges, voltages = np.where(turning, lower, ranges), np.where(turning, tried, voltages)
        return voltages, ranges

    def _of_cases(self, cases: Any, loading: Any) -> Any:
        import numpy as np

        found = np.full(loading.shape, np.nan)
        for case in np.unique(cases):
            draws = np.flatnonzero(cases == case)
            behind = [one.of(draws) for one in self.behind] if len(draws) < len(cases) else self.behind
            types = {valve: names[draws] for valve, names in self.types.items()}
            found[:, draws] = self.bench.readings(behind, loading[:, draws], types, [int(case)])[0]
        return found


def _rounded(instrument: Instrument, voltages: Any, ranges: Any) -> Any:
    import numpy as np

    return np.vectorize(instrument.shown, otypes=[float])(voltages, ranges)


def _met(condition: Expression, ask: Ask, healthy: Any, values: Mapping[str, Any], draws: int) -> Any:
    from tutor.questions.arrays import array_value

    readings = {f"{HEALTHY}{node}": healthy[index] for index, node in enumerate(ask.points)}
    return array_value(condition, {**values, **readings}, draws).astype(bool)
