"""From an asked form to equations with a right-hand side: which source is alive, and what is read off."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from tutor.circuits.analysis import DC, Analysis
from tutor.circuits.asked import (
    Asked,
    CornerFrequency,
    Current,
    Gain,
    Impedance,
    InputImpedance,
    OutputImpedance,
    Power,
    ShortCircuitCurrent,
    TimeConstant,
    Voltage,
)
from tutor.circuits.equations import EARTH, Equations, Form, Unknown
from tutor.circuits.errors import CircuitError, NodeError, PartError, SourceLoopError, with_article
from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.passive import Capacitor, Inductor
from tutor.circuits.parts.probes import CurrentProbe, NullProbe, VoltageProbe
from tutor.circuits.parts.sources import VoltageSource
from tutor.circuits.parts.transformer import Transformer
from tutor.circuits.polynomial import ONE, Polynomial

TEST_SOURCE = "test source"


@dataclass(frozen=True, slots=True)
class Problem:
    """One system of equations and what is wanted of its solution.

    Attributes:
        network: The circuit, with a test source when the form needs one.
        equations: Its equations.
        side: The right-hand side, by row.
        products: What is wanted: each entry a pair of forms. One entry (form, ()) is that form's value; for power the
            entries are (voltage, current) whose products add up.
        analysis: At which analysis.
        reactive: For a time constant, the part that stores: the result R becomes R·C or L/R.
        is_corner: Whether that in turn becomes a frequency, 1/(2π·time constant).
        is_power: Whether the result is a sum of voltage times current.
    """

    network: Network
    equations: Equations
    side: dict[Unknown, Polynomial]
    products: tuple[tuple[Form, Form], ...]
    analysis: Analysis
    reactive: Capacitor | Inductor | None = None
    is_corner: bool = False
    is_power: bool = False

    @property
    def is_complex(self) -> bool:
        """Whether the result is a phasor."""
        return self.analysis.kind == "ac"

    def of_store(self, seen: Any, size: Any) -> Any:
        """Return time constant or corner frequency for the resistance that a store sees, and its own size."""
        assert self.reactive is not None
        if self.reactive.kind == "capacitor":
            constant = seen * size
            return 1 / (2 * math.pi * constant) if self.is_corner else constant
        return seen / (2 * math.pi * size) if self.is_corner else size / seen


def pose(network: Network, asked: Asked, analysis: Analysis) -> Problem:
    """Return the problem that answers an asked form.

    Raises:
        NodeError: If the form names a node or part that the circuit does not have.
        FloatingNodeError, SourceLoopError: If the circuit cannot be solved at this analysis.
        CircuitError: If the form does not fit the circuit.
    """
    match asked:
        case Voltage(a, b):
            _know_nodes(network, a, b)
            equations = network.equations(analysis)
            return _alive(network, equations, analysis, equations.difference(a, b))
        case Current(reference, winding):
            equations = network.equations(analysis)
            return _alive(network, equations, analysis, _current(network, equations, reference, winding))
        case Power(reference):
            return _power(network, reference, analysis)
        case Gain(start, end):
            return _gain(network, start, end, analysis)
        case Impedance(a, b):
            _know_nodes(network, a, b)
            return _impedance(network, a, b, analysis)
        case InputImpedance(a, b):
            _know_nodes(network, a, b)
            return _impedance(_without(network, _sources_between(network, a, b)), a, b, analysis)
        case OutputImpedance(a, b, loads):
            _know_nodes(network, a, b)
            return _impedance(_without(network, loads), a, b, analysis)
        case ShortCircuitCurrent(a, b):
            return _short_circuit(network, a, b, analysis)
        case TimeConstant(reference):
            return _time_constant(network, reference)
        case CornerFrequency():
            return _corner(network, asked)


def _know_nodes(network: Network, *nodes: str) -> None:
    known = (*network.nodes, EARTH)
    for node in nodes:
        if node not in known:
            raise NodeError(node, "node", network.nodes)


def _current(network: Network, equations: Equations, reference: str, winding: str) -> Form:
    part = network.part(reference)
    if not winding:
        return part.current(equations)
    if not isinstance(part, Transformer):
        raise PartError(reference, "", f"{with_article(part.kind)} has no winding {winding!r}")
    if winding not in part.windings:
        raise NodeError(winding, f"winding of {reference}", part.windings)
    return part.current_of(winding)


def _alive(network: Network, equations: Equations, analysis: Analysis, form: Form) -> Problem:
    return Problem(network, equations, _right_hand_side(equations), ((form, ()),), analysis)


def _right_hand_side(equations: Equations) -> dict[Unknown, Polynomial]:
    """Return the right-hand side with every independent source alive."""
    side: dict[Unknown, Polynomial] = {}
    for rows in equations.sources.values():
        for row, value in rows.items():
            side[row] = side.get(row, Polynomial()) + value
    return side


def _power(network: Network, reference: str, analysis: Analysis) -> Problem:
    part = network.part(reference)
    equations = network.equations(analysis)
    products = tuple((equations.difference(*ends), form) for ends, form in part.absorbed(equations))
    return Problem(network, equations, _right_hand_side(equations), products, analysis, is_power=True)


def _gain(network: Network, start: tuple[str, str], end: tuple[str, str], analysis: Analysis) -> Problem:
    _know_nodes(network, *start, *end)
    if start[0] == start[1]:
        raise CircuitError(f"gain: from {start[0]!r} to {start[1]!r} there is no voltage to compare with")
    driver, sign = _driver(network, start)
    if driver is None:
        probe = VoltageProbe(reference=TEST_SOURCE, pins={"a": start[0], "b": start[1]})
        network, driver = network.with_part(probe), TEST_SOURCE
    equations = network.equations(analysis)
    row = Unknown("current", driver)
    return Problem(network, equations, {row: sign}, ((equations.difference(*end), ()),), analysis)


def _driver(network: Network, pair: tuple[str, str]) -> tuple[str | None, Polynomial]:
    """Return the voltage source that already stands between two nodes, and its sign."""
    for part in network.parts:
        if isinstance(part, VoltageSource):
            if part.terminals() == pair:
                return part.reference, ONE
            if part.terminals() == pair[::-1]:
                return part.reference, -ONE
    return None, ONE


def _impedance(network: Network, a: str, b: str, analysis: Analysis) -> Problem:
    if a == b:
        raise CircuitError(f"impedance: {a!r} and {b!r} are the same node")
    equations = network.equations(analysis)
    side = {}
    for name, value in ((a, ONE), (b, -ONE)):
        row = equations.node(name)
        if row is not None:
            side[row] = value
    return Problem(network, equations, side, ((equations.difference(a, b), ()),), analysis)


def _sources_between(network: Network, a: str, b: str) -> list[str]:
    """Return the voltage sources that stand between two nodes: they are what looks in."""
    return [p.reference for p in network.parts if isinstance(p, VoltageSource) and set(p.terminals()) == {a, b}]


def _without(network: Network, references: Iterable[str]) -> Network:
    for reference in references:
        network = network.without(reference)
    return network


def _short_circuit(network: Network, a: str, b: str, analysis: Analysis) -> Problem:
    _know_nodes(network, a, b)
    if a == b:
        raise CircuitError(f"short-circuit current: {a!r} and {b!r} are the same node")
    network.equations(analysis)  # the circuit's own faults come first
    shorted = network.with_part(VoltageProbe(reference=TEST_SOURCE, pins={"a": a, "b": b}))
    try:
        equations = shorted.equations(analysis)
    except SourceLoopError as error:
        held = ", ".join(part for part in error.parts if part != TEST_SOURCE)
        raise CircuitError(
            f"{held} holds the voltage between {a!r} and {b!r}, so that no short can be put there: the port has no "
            "Norton equivalent"
        ) from error
    return _alive(shorted, equations, analysis, ((ONE, Unknown("current", TEST_SOURCE)),))


def _corner(network: Network, asked: CornerFrequency) -> Problem:
    for pair in (asked.start, asked.end):
        _know_nodes(network, *(pair or ()))
    _store(network, asked.part, "corner frequency")
    if asked.kind == "zero" and asked.start == asked.end:
        raise CircuitError(f"corner frequency of {asked.part}: a zero wants two places, one driven and one read")
    network = _at_this_frequency(network, asked)
    if asked.start is not None:
        driver, _ = _driver(network, asked.start)
        pins = dict(zip("ab", asked.start, strict=True))
        if asked.kind == "zero":
            assert asked.end is not None
            network = _without(network, [driver] if driver is not None else [])
            network = network.with_part(NullProbe(reference=TEST_SOURCE, pins=pins, nulled=asked.end))
        elif driver is None:
            network = network.with_part(VoltageProbe(reference=TEST_SOURCE, pins=pins))
    return replace(_time_constant(network, asked.part), is_corner=True)


def _at_this_frequency(network: Network, asked: CornerFrequency) -> Network:
    """Return the circuit with the other stores short or open."""
    for reference in (*asked.short, *asked.open):
        _store(network, reference, "corner frequency")
        if reference == asked.part or (reference in asked.short and reference in asked.open):
            raise CircuitError(f"corner frequency of {asked.part}: {reference} cannot be short or open here as well")

    def other(part: Part) -> Part:
        if part.reference in asked.short:
            return VoltageProbe(reference=part.reference, pins=part.pins, instead_of=part)
        if part.reference in asked.open:
            return CurrentProbe(reference=part.reference, pins=part.pins, instead_of=part)
        return part

    return Network(tuple(other(part) for part in network.parts))


def _store(network: Network, reference: str, what: str) -> Capacitor | Inductor:
    part = network.part(reference)
    if not isinstance(part, Capacitor | Inductor):
        raise PartError(
            reference, "", f"{with_article(part.kind)} has no {what}; ask for that of a capacitor or an inductor"
        )
    return part


def _time_constant(network: Network, reference: str) -> Problem:
    part = _store(network, reference, "time constant")
    others = [p.reference for p in network.parts if isinstance(p, Capacitor | Inductor) and p is not part]
    if others:
        verb = "stores" if len(others) == 1 else "store"
        raise CircuitError(
            f"time constant of {reference}: {', '.join(others)} {verb} energy too, so that there is no single time "
            f"constant; leave only {reference} in the circuit"
        )
    # One ampere through the part's place, everything else dead: the voltage across it is the resistance that it sees.
    probe = CurrentProbe(reference=reference, pins=part.pins, instead_of=part)
    probed = Network(tuple(probe if p is part else p for p in network.parts))
    equations = probed.equations(DC)
    seen = equations.difference(*part.terminals()[::-1])
    return Problem(probed, equations, {probe.row: ONE}, ((seen, ()),), DC, reactive=part)
