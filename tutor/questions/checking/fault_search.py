"""The second opinion on faults: every single fault solved again, with the meter as a part of the circuit.

Nothing of the bench is used: each suspect's circuit is written anew for each test point with the meter in it, and
valves are brought to rest by linearising them in the circuit's own equations, step by step from a cold start, as a
general circuit simulator does it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.equations import EARTH
from tutor.circuits.faults.instrument import INSTRUMENTS
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Resistor
from tutor.circuits.valves.in_network import linear_part, ports_of, valve_of, valves_at_rest
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.fault_finding import fault_asks, symbols_of, table_of
from tutor.questions.lottery import labels_of
from tutor.questions.template import Ask, Template

DRAWS = 40
"""Draws that `check` searches again."""

FEWEST_ANSWERS = 3
"""Suspects that must turn out to be the one on some draw: a question with one answer is none."""

METER = "0meter"

FIRST_DRAG, SHRINKING, DRAGGED, FREE = 1e-2, 2.5, 30, 40
"""A conductance in siemens holds each port where it was; it shrinks step by step and is gone for the last ones."""
SETTLED = 1e-9


def findings_of_search(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding where a search of its own does not find exactly the one fault."""
    for ask in fault_asks(evidence.template):
        path = ("ask", ask.name, "suspects")
        answers = np.unique(evidence.values(ask.name)).size
        if answers < min(FEWEST_ANSWERS, len(ask.suspects)):
            message = (
                f"only {answers} of {len(ask.suspects)} suspects is ever the one; widen the values or the suspects"
            )
            yield finding("faults", path, message)
        found = search(evidence, ask, min(DRAWS, evidence.draws))
        wrong = np.flatnonzero(~found.agrees)
        if len(wrong):
            serial = int(evidence.serials[evidence.admitted][wrong[0]])
            names = ["healthy", *(suspect.name for suspect in ask.suspects)]
            explaining = [names[case] for case in np.flatnonzero(found.explains[:, wrong[0]])]
            message = (
                f"a search of its own finds {', '.join(explaining) or 'nothing'} where the key is "
                f"{names[int(found.truth[wrong[0]])]} (serial {serial}; {len(wrong)} of {len(found.truth)} draws)"
            )
            yield finding("faults", path, message)


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found.

    Attributes:
        explains: Whether a case explains the readings within the meter's error, shape (cases, draws); case 0 is the
            healthy circuit.
        truth: The case that is the key, shape (draws,).
    """

    explains: Any
    truth: Any

    @property
    def agrees(self) -> Any:
        """Whether exactly the key explains the readings, shape (draws,)."""
        draws = np.arange(len(self.truth))
        return (self.explains.sum(axis=0) == 1) & self.explains[self.truth, draws]


def search(evidence: Evidence, ask: Ask, draws: int) -> Search:
    """Solve every suspect of the first admitted draws again and compare with the readings that are shown."""
    template = evidence.template
    batch = {name: value[evidence.admitted][:draws] for name, value in evidence.batch.values.items()}
    labels = labels_of(evidence.compiled, batch)
    table = table_of(template, ask, batch, labels, draws)
    instrument = INSTRUMENTS[ask.meter]
    loading = (
        instrument.ohms_per_volt * table.ranges
        if instrument.ranges
        else np.full(table.ranges.shape, instrument.resistance)
    )
    assert template.network is not None
    networks = [template.network, *(suspect.fault.applied(template.network) for suspect in ask.suspects)]
    explains = np.ones((len(networks), draws), dtype=bool)
    for case, network in enumerate(networks):
        for index, node in enumerate(ask.points):
            volts = _read(template, network, node, loading[index], batch, labels)
            with np.errstate(invalid="ignore"):
                explains[case] &= np.abs(volts - table.shown[index]) <= table.errors[index] * (1 + 1e-6)
    return Search(explains, batch[ask.name].astype(int))


def _read(
    template: Template, network: Network, node: str, ohms: Any, values: Mapping[str, Any], labels: Mapping[str, Any]
) -> Any:
    """Return the volts at a node with a meter there, shape (draws,)."""
    draws = len(ohms)
    metered = network.with_part(Resistor(reference=METER, pins={"a": node, "b": EARTH}, value=None))
    analysis = AC if template.analysis == "ac" else DC
    symbols = symbols_of(template, metered, values, draws) | {METER: ohms}
    valves = valves_at_rest(metered) if analysis == DC else ()
    if not valves:
        system = _System(metered, analysis, symbols, draws)
        found = system.solve(system.matrix, system.side)[:, system.column(node)]
        return np.abs(found) if analysis == AC else found
    result = np.full(draws, np.nan)
    words = np.stack([np.broadcast_to(np.asarray(labels.get(v.type, v.type)), (draws,)) for v in valves])
    for names in sorted({tuple(column) for column in words.T}):
        chosen = np.flatnonzero((words == np.array(names)[:, None]).all(axis=0))
        some = {name: value[chosen] if np.ndim(value) else value for name, value in symbols.items()}
        result[chosen] = _rest(metered, node, some, names, len(chosen))
    return result


class _System:
    """Matrix and right-hand side of a network's equations over draws."""

    def __init__(self, network: Network, analysis: Analysis, symbols: Mapping[str, Any], draws: int) -> None:
        equations = network.equations(analysis)
        self._columns = {unknown: place for place, unknown in enumerate(equations.unknowns)}
        self._voltages = {u.name: place for u, place in self._columns.items() if u.kind == "voltage"}
        kind = complex if analysis == AC else float
        self.matrix = np.zeros((draws, len(self._columns), len(self._columns)), dtype=kind)
        self.side = np.zeros((draws, len(self._columns)), dtype=kind)
        for (row, column), coefficient in equations.matrix.items():
            self.matrix[:, self._columns[row], self._columns[column]] = coefficient.value(symbols)
        for rows in equations.sources.values():
            for row, value in rows.items():
                self.side[:, self._columns[row]] += value.value(symbols)

    def column(self, node: str) -> int:
        """Return the column of a node's voltage."""
        return self._voltages[node]

    def incidence(self, ports: list[tuple[str, str]]) -> Any:
        """Return which node voltages make which port voltages, shape (ports, unknowns)."""
        found = np.zeros((len(ports), self.side.shape[1]))
        for index, ends in enumerate(ports):
            for node, sign in zip(ends, (1.0, -1.0), strict=True):
                if node != EARTH:
                    found[index, self._voltages[node]] += sign
        return found

    @staticmethod
    def solve(matrix: Any, side: Any) -> Any:
        """Return the solution, shape (draws, unknowns)."""
        heights = np.abs(matrix).max(axis=2, keepdims=True)
        heights[heights == 0] = 1.0
        return np.linalg.solve(matrix / heights, side[..., None] / heights)[..., 0]


def _rest(network: Network, node: str, symbols: Mapping[str, Any], names: tuple[str, ...], draws: int) -> Any:
    """Return the volts at a node of a circuit with valves at rest, shape (draws,); NaN where it does not settle."""
    valves = valves_at_rest(network)
    linear = linear_part(network)
    insulation = {s: p.value.magnitude for s, (_, p) in linear.parameters().items() if s.startswith("0insulation")}  # type: ignore[union-attr]  # given
    system = _System(linear, DC, {**symbols, **insulation}, draws)
    laws = [
        valve_of(name, valve.kind).law.scaled(max(valve.emission, 1e-12))
        for name, valve in zip(names, valves, strict=True)
    ]
    counts = [len(ports_of(valve)) for valve in valves]
    ends = system.incidence([port for valve in valves for port in ports_of(valve)])
    u = np.zeros((len(ends), draws))
    settled = np.zeros(draws, dtype=bool)
    x = np.full(system.side.shape, np.nan)
    drag = FIRST_DRAG
    for step in range(DRAGGED + FREE):
        drag = drag / SHRINKING if step < DRAGGED else 0.0
        current, slope = _currents(laws, counts, u)
        held = slope + drag * np.eye(len(ends))[:, :, None]
        matrix = system.matrix + np.einsum("pn,pqd,qm->dnm", ends, held, ends)
        side = system.side - np.einsum("pn,pd->dn", ends, current - np.einsum("pqd,qd->pd", held, u))
        x = system.solve(matrix, side)
        new = (x @ ends.T).T
        settled = (np.abs(new - u) <= SETTLED * (1.0 + np.abs(new).max(axis=0))).all(axis=0)
        # Without drag a step may overshoot a sharp bend: half of it never diverges from there.
        u = new if step < DRAGGED + FREE // 2 else 0.5 * (u + new)
        if step >= DRAGGED and settled.all():
            break
    return np.where(settled, x[:, system.column(node)], np.nan)


def _currents(laws: list[Any], counts: list[int], u: Any) -> tuple[Any, Any]:
    """Return the currents of all ports [A] and their slopes [A/V], shapes (ports, draws) and (ports, ports, draws)."""
    current, slope = np.zeros_like(u), np.zeros((len(u), *u.shape))
    first = 0
    with np.errstate(all="ignore"):
        for law, count in zip(laws, counts, strict=True):
            place = slice(first, first + count)
            current[place], slope[place, place] = law.slopes(u[place])
            first += count
    return current, slope
