"""Texts: every step of a solution is tied to something proved, and every value needed is given."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Any

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import Asked, Current, Gain, Impedance, Power, Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Expression, Name, dimension_of, names_in
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.parts import Part
from tutor.circuits.parts.passive import Capacitor, Inductor, Resistor
from tutor.circuits.problem import pose
from tutor.quantities import OHM, Quantity
from tutor.questions.arrays import array_value, relative_difference
from tutor.questions.checking.circuit_proof import symbol_arrays
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.compiling import frequency_of
from tutor.questions.draw import all_units, given_names
from tutor.questions.template import Template
from tutor.questions.text import Span, spans_in
from tutor.questions.values import Derived

AGREEMENT = 1e-9
MOST_DRAWS = 200  # draws on which steps are compared; more add nothing


def check_solution(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every step that disagrees with itself or with everything that is proved."""
    known = _Known(evidence)
    template = evidence.template
    shown: set[str] = set()
    for index, step in enumerate(template.solution):
        for span in spans_in(step):
            yield from _check_span(known, span, ("solution", index))
            shown.update(name for member in span.members for name in names_in(member) if span.valued or span.alone)
    for index, hint in enumerate(template.hints):
        for span in spans_in(hint):
            yield from _check_span(known, span, ("hints", index))
    if not template.solution:
        return
    for ask in template.asks:
        if (
            ask.kind in ("number", "preferred", "reading")
            and ask.name not in shown
            and not known.is_shown(template, ask.name)
        ):
            message = f"no step ends at the value of {ask.name}; end one with `{ask.name}=`"
            yield finding("solution", ("solution",), message)


def _check_span(known: _Known, span: Span, path: tuple[str | int, ...]) -> Iterator[Finding]:
    values = [known.value(member) for member in span.members]
    for first, other in itertools.pairwise(range(len(values))):
        if relative_difference(values[first], values[other]).max(initial=0.0) > AGREEMENT:
            message = f"`{describe(span.members[first])}` and `{describe(span.members[other])}` are not equal"
            yield finding("solution", path, message)
            return
    if not (span.valued or span.alone) and len(span.members) == 1:
        return
    if not known.is_tied(span):
        message = (
            f"`{span.text}` is tied to nothing that is proved: no value, ask or quantity of the circuit equals it; "
            "name it under `values:` with a formula, or write it as a chain with an equal expression"
        )
        yield finding("solution", path, message)


class _Known:
    """What is proved of a template, over some draws, to hold steps against."""

    def __init__(self, evidence: Evidence) -> None:
        self._evidence = evidence
        self._template = evidence.template
        self._values = {name: value[:MOST_DRAWS] for name, value in evidence.all_values().items()}
        self._drawn = set(evidence.compiled.base)
        self._draws = min(MOST_DRAWS, evidence.draws)
        self._dimensions = {name: unit.dimension for name, unit in all_units(evidence.template).items()}
        self._catalogue: list[tuple[Any, Any]] | None = None

    def value(self, expression: Expression) -> Any:
        """Return an expression's value over the draws."""
        if isinstance(expression, Name) and expression.name not in self._values:
            return array_value_of_label(self._draws)
        return array_value(expression, self._values, self._draws)

    def is_shown(self, template: Template, name: str) -> bool:
        """Tell whether a valued span of the solution equals an ask's key."""
        for step in template.solution:
            for span in spans_in(step):
                if (span.valued or span.alone) and self._agree(self.value(span.members[-1]), self._values[name]):
                    return True
        return False

    def is_tied(self, span: Span) -> bool:
        """Tell whether a span is a name, a true chain of different expressions, or equal to something proved."""
        if any(isinstance(member, Name) for member in span.members):
            return True
        if len({describe(member) for member in span.members}) > 1:
            return True
        value = self.value(span.members[-1])
        dimension = dimension_of(span.members[-1], self._dimensions)
        return any(
            dimension == other_dimension and self._agree(value, other) for other_dimension, other in self._proved()
        )

    def _agree(self, a: Any, b: Any) -> bool:
        return bool(relative_difference(a, b).max(initial=0.0) <= AGREEMENT)

    def _proved(self) -> list[tuple[Any, Any]]:
        if self._catalogue is None:
            # A compound that comes out as a drawn value is a mistake, not a step: those are left out.
            known = {n: v for n, v in self._values.items() if n in self._dimensions and n not in self._drawn}
            named = [(self._dimensions[name], value) for name, value in known.items()]
            self._catalogue = named + list(self._of_circuit())
        return self._catalogue

    def _of_circuit(self) -> Iterator[tuple[Any, Any]]:
        """Yield the quantities of the circuit that a technician would name: voltages, currents, powers, impedances."""
        import numpy as np

        network = self._template.network
        if network is None or not self._draws:
            return
        analyses: list[tuple[Analysis, Any]] = [(DC, None)]
        frequencies = {describe(f): f for f in self._frequencies()}
        analyses += [(AC, array_value(f, self._values, self._draws)) for f in frequencies.values()]
        for analysis, frequency in analyses:
            for asked in self._askable():
                try:
                    problem = pose(network, asked, analysis)
                    symbols = symbol_arrays(problem, self._values, frequency, self._draws)
                    value = solve_numerically(problem, symbols)
                except (CircuitError, KeyError):
                    continue
                yield asked.unit.dimension, np.abs(value) if np.iscomplexobj(value) else value
                if not np.iscomplexobj(value):
                    yield asked.unit.dimension, -value
        yield from self._reactances()
        yield from self._combinations()

    def _frequencies(self) -> Iterator[Expression]:
        if self._template.frequency is not None:
            yield self._template.frequency
        for ask in self._template.asks:
            if ask.circuit is not None and ask.circuit.frequency is not None:
                yield frequency_of(self._template, ask.circuit)

    def _askable(self) -> list[Asked]:
        network = self._template.network
        assert network is not None
        nodes = [node for node in network.nodes if node != "0"]
        pairs = list(itertools.combinations([*nodes, "0"], 2))[:60]
        found: list[Asked] = [Voltage(a, b) for a, b in pairs]
        found += [Impedance(a, b) for a, b in pairs]
        for part in network.parts:
            if part.pins:
                found += [Current(part.reference), Power(part.reference)]
        found += [Gain((a, "0"), (b, "0")) for a, b in itertools.permutations(nodes, 2)][:60]
        return found

    def _reactances(self) -> Iterator[tuple[Any, Any]]:
        network = self._template.network
        assert network is not None
        for part in network.parts:
            if isinstance(part, Capacitor | Inductor):
                value = self._part_value(part)
                for expression in self._frequencies():
                    omega = 2 * math.pi * array_value(expression, self._values, self._draws)
                    yield OHM.dimension, 1 / (omega * value) if isinstance(part, Capacitor) else omega * value

    def _combinations(self) -> Iterator[tuple[Any, Any]]:
        """Yield resistors that stand in parallel or in series, two by two: the first steps of most solutions."""
        network = self._template.network
        assert network is not None
        resistors = [part for part in network.parts if isinstance(part, Resistor)]
        for first, second in itertools.combinations(resistors, 2):
            a, b = self._part_value(first), self._part_value(second)
            shared = set(first.terminals()) & set(second.terminals())
            if len(shared) == 2:
                yield OHM.dimension, a * b / (a + b)
            elif any(self._joins_only(node, first, second) for node in shared):
                yield OHM.dimension, a + b

    def _joins_only(self, node: str, *parts: Part) -> bool:
        """Tell whether nothing but the given parts touches a node."""
        assert self._template.network is not None
        touching = [p for p in self._template.network.parts if node in (*p.pins.values(), *p.senses())]
        return node != "0" and all(part in parts for part in touching)

    def _part_value(self, part: Resistor | Capacitor | Inductor) -> Any:
        if isinstance(part.value, Quantity):
            return part.value.magnitude
        assert part.value is not None
        return array_value(part.value, self._values, self._draws)


def array_value_of_label(draws: int) -> Any:
    """Return what stands for a word (the label of a row) where numbers are compared: nothing that could differ."""
    import numpy as np

    return np.zeros(draws)


def check_givens(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every value that a formula needs and the question does not give."""
    template = evidence.template
    given = set(given_names(template))
    for ask in template.asks:
        if ask.formula is None:
            continue
        for name in _needed(template, ask.formula):
            if name not in given:
                message = (
                    f"{name} is needed and is given neither in the text nor in the drawing; show it with `{name}=`"
                )
                yield finding("givens", ("ask", ask.name, "formula"), message)


def _needed(template: Template, expression: Expression) -> list[str]:
    """Return the drawn values behind a formula; earlier asks and given values need no further look."""
    given = set(given_names(template))
    found: list[str] = []
    waiting = list(names_in(expression))
    asks = {ask.name for ask in template.asks}
    while waiting:
        name = waiting.pop(0)
        rule = template.values.get(name)
        if name in asks:
            continue
        if isinstance(rule, Derived) and name not in given:
            waiting.extend(names_in(rule.formula))
        elif name not in found:
            found.append(name)
    return found
