"""A network: parts read from a file's description, checked, and turned into equations."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import OMEGA, Analysis, S
from tutor.circuits.equations import Equations
from tutor.circuits.errors import (
    CircuitError,
    ExpressionError,
    NodeError,
    PartError,
    did_you_mean,
    shortened,
    shown,
    with_article,
)
from tutor.circuits.expressions import Name, dimension_of, names_in, read_expression
from tutor.circuits.expressions.evaluation import FUNCTIONS
from tutor.circuits.expressions.reading import CONSTANTS, WORDS
from tutor.circuits.parts import KINDS, Definition, Description, Parameter, Part, Value
from tutor.circuits.parts.controlled import CurrentControlled
from tutor.circuits.parts.passive import Coupling, Inductor
from tutor.circuits.topology import refuse_floating_nodes, refuse_source_loops
from tutor.quantities import Quantity, QuantityError, Unit, read_quantity, show

MOST_PARTS = 400
_REFERENCE = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,30}")
RESERVED = frozenset({S, "j", OMEGA, *FUNCTIONS, *CONSTANTS, *WORDS})
"""Words that mean something in expressions and formulas, so that no part can be called by them."""


@dataclass(frozen=True, slots=True)
class Network:
    """The parts of a circuit, in the order of their file.

    Attributes:
        parts: Every part; references are unique.
    """

    parts: tuple[Part, ...]

    @property
    def nodes(self) -> tuple[str, ...]:
        """Every node, in order of appearance."""
        return tuple(dict.fromkeys(node for part in self.parts for node in (*part.pins.values(), *part.senses())))

    def part(self, reference: str) -> Part:
        """Return a part by its reference.

        Raises:
            NodeError: If there is none; lists those that are.
        """
        for part in self.parts:
            if part.reference == reference:
                return part
        raise NodeError(reference, "part", (p.reference for p in self.parts))

    def parameters(self) -> dict[str, tuple[Part, Parameter]]:
        """Return every parameter by its symbol, with the part that it belongs to."""
        return {p.symbol: (part, p) for part in self.parts for p in part.parameters()}

    def definitions(self) -> tuple[Definition, ...]:
        """Return the symbols that are worked out from parameters."""
        return tuple(definition for part in self.parts for definition in part.definitions())

    def with_part(self, part: Part) -> Network:
        """Return the network with one more part."""
        return Network((*self.parts, part))

    def without(self, reference: str) -> Network:
        """Return the network with one part taken out."""
        self.part(reference)
        return Network(tuple(part for part in self.parts if part.reference != reference))

    def equations(self, analysis: Analysis) -> Equations:
        """Write the equations for one analysis.

        Raises:
            FloatingNodeError: If a node has no path to earth; names it and the parts at it.
            SourceLoopError: If parts that fix their voltage close a loop; names them.
        """
        refuse_floating_nodes(self.parts, self.nodes, analysis)
        refuse_source_loops(self.parts, analysis)
        equations = Equations(analysis)
        for part in self.parts:
            part.stamp(equations)
        for part in self.parts:
            if isinstance(part, CurrentControlled):
                part.stamp_controlled(equations, self.part(part.control))
        return equations

    def values(self) -> dict[str, float]:
        """Return the value of every parameter that is a number, by symbol, in SI units.

        Raises:
            PartError: If a part's value is missing or is an expression still to be bound.
        """
        found = {}
        for name, (part, parameter) in self.parameters().items():
            if not isinstance(parameter.value, Quantity):
                raise PartError(part.reference, parameter.key, "its value is missing; give one with its unit")
            found[name] = parameter.value.magnitude
        return found


def read_network(data: Any, units: Mapping[str, Unit] | None = None) -> Network:
    """Read a mapping reference → description into a network.

    Args:
        data: The `parts:` of a circuit file.
        units: Units of the values that a template names; part values may then be expressions over them, and a part
            without a value takes the value of its own name.

    Returns:
        The network.

    Raises:
        PartError: For the first part that is described wrongly; names part, key, what was found and what would do.
        NodeError: If a part refers to another that is not there.
    """
    network, errors = read_parts(data, units)
    if errors:
        raise errors[0]
    return network


def read_parts(data: Any, units: Mapping[str, Unit] | None = None) -> tuple[Network, list[CircuitError]]:
    """Return the network of the parts that could be read, and what is wrong with the others; see `read_network`."""
    if not isinstance(data, Mapping) or not data:
        wanted = "a mapping of references to parts is wanted, such as R1: {kind: …}"
        return Network(()), [CircuitError(f"parts: found {shown(data)}; {wanted}")]
    if len(data) > MOST_PARTS:
        return Network(()), [CircuitError(f"parts: {len(data)} parts; {MOST_PARTS} are the most that is read")]
    reader = _ValueReader(units or {}, frozenset(str(reference) for reference in data))
    parts: list[Part] = []
    errors: list[CircuitError] = []
    for reference, raw in data.items():
        try:
            parts.append(_read_part(str(reference), raw, reader))
        except CircuitError as error:
            errors.append(error)
    network = Network(tuple(parts))
    # What refers to a part that could not be read is no fault of its own.
    return network, errors or [*_wrong_links(network), *_symbols_given_twice(network, reader.units)]


def _read_part(reference: str, raw: Any, reader: _ValueReader) -> Part:
    if not _REFERENCE.fullmatch(reference):
        raise PartError(shortened(reference), "", "a reference is a letter, then letters, digits or _ (R1, VR2, C_k)")
    if reference in RESERVED:
        raise PartError(reference, "", f"{reference} has a meaning of its own in formulas; call the part otherwise")
    if not isinstance(raw, Mapping):
        raise PartError(reference, "", f"found {shown(raw)}; a mapping with kind and nodes is wanted")
    kind = raw.get("kind")
    cls = KINDS.get(str(kind))
    if cls is None:
        known = ", ".join(sorted(KINDS))
        raise PartError(reference, "kind", f"found {shown(kind)}{did_you_mean(str(kind), KINDS)}; known are {known}")
    part = cls.read(Description(reference, raw, reader))
    for parameter in part.parameters():
        _check_bounds(part, parameter)
    return _bound_to_its_name(part, reader.units)


@dataclass(frozen=True, slots=True)
class _ValueReader:
    """Reads a scalar of a part: a number with its unit, or an expression over a template's values."""

    units: Mapping[str, Unit]
    references: frozenset[str]

    def __call__(self, part: str, key: str, raw: Any, unit: Unit) -> Value:
        if isinstance(raw, Mapping | list | tuple):
            raise PartError(part, key, f"found {shown(raw)}; one value is wanted, such as {example_of(unit)}")
        text = str(raw).strip()
        # A name of the template comes before a code: R1 is then the value R1 and not 0.1 Ω.
        if self.units and (text in self.units or not _reads_as_quantity(text)):
            return self._expression(part, key, text, unit)
        if text in self.references:
            reason = f"found {text!r}, which is also a part of this circuit; write a number with its unit"
            raise PartError(part, key, reason)
        try:
            reading = read_quantity(text)
        except QuantityError as error:
            reason = getattr(error, "reason", "") or str(error)
            raise PartError(part, key, f"found {shown(text)}: {reason}; {_wanted(unit)}") from error
        if reading.aside.startswith("peak"):
            raise PartError(part, key, f"found {text!r}, a {reading.aside} value; ac values are rms here")
        _check_unit(part, key, text, (reading.quantity.unit, unit))
        return reading.quantity

    def _expression(self, part: str, key: str, text: str, unit: Unit) -> Value:
        try:
            expression = read_expression(text)
            for name in names_in(expression):
                if name not in self.units:
                    near = did_you_mean(name, self.units)
                    reason = f"found {shown(text)}: {shown(name)} is no value of this template{near}"
                    raise PartError(part, key, reason)
            dimension = dimension_of(expression, {n: u.dimension for n, u in self.units.items()})
        except ExpressionError as error:
            raise PartError(part, key, str(error)) from error
        if dimension != unit.dimension:
            raise PartError(part, key, f"found {shown(text)}, {with_article(dimension.name)}; {_wanted(unit)}")
        return expression


def _reads_as_quantity(text: str) -> bool:
    try:
        read_quantity(text)
    except QuantityError:
        return False
    return True


def _check_unit(part: str, key: str, text: str, units: tuple[Unit, Unit]) -> None:
    """Raise PartError where a value's unit does not fit the one wanted; a decibel or a degree is no plain number."""
    found, wanted = units
    if not found.fits(wanted):
        what = "without a unit" if found.symbol == "" else with_article(found.name)
        raise PartError(part, key, f"found {text!r}, {what}; {_wanted(wanted)}")


def _wanted(unit: Unit) -> str:
    name = "sensitivity" if unit.symbol == "Ω/V" else "plain number" if unit.symbol == "" else unit.name
    return f"{with_article(name)} is wanted, such as {example_of(unit)}"


def example_of(unit: Unit) -> str:
    """Return a plausible value of a unit, for error messages."""
    examples = {
        "Ω": 220e3,
        "F": 47e-9,
        "H": 10.0,
        "V": 250.0,
        "A": 2e-3,
        "A/V": 1.6e-3,
        "S": 1.6e-3,
        "": 0.5,
        "°": 30.0,
    }
    return "20 kΩ/V" if unit.symbol == "Ω/V" else show(examples.get(unit.symbol, 1.0), unit)


def _check_bounds(part: Part, parameter: Parameter) -> None:
    if not isinstance(parameter.value, Quantity):
        return
    magnitude, unit = parameter.value.magnitude, parameter.unit
    if parameter.positive and magnitude <= 0:
        found = show(magnitude, unit)
        raise PartError(part.reference, parameter.key, f"found {found}; it must be more than nothing")
    if parameter.least is not None and magnitude < parameter.least:
        reason = f"found {show(magnitude, unit)}; it must be {show(parameter.least, unit)} or more"
        raise PartError(part.reference, parameter.key, reason)
    if parameter.most is not None and magnitude > parameter.most:
        reason = f"found {show(magnitude, unit)}; it must be {show(parameter.most, unit)} or less"
        raise PartError(part.reference, parameter.key, reason)


def _bound_to_its_name(part: Part, units: Mapping[str, Unit]) -> Part:
    """Return the part with its main figure bound to the template's value of the same name.

    A template's value of the part's own name wins over what a shared circuit says.
    """
    if part.reference not in units or not part.valued or part.reference in _names_bound(part):
        return part
    parameter = part.parameters()[0]
    named = units[part.reference]
    if named.dimension != parameter.unit.dimension:
        found, wanted = with_article(named.dimension.name), with_article(parameter.unit.dimension.name)
        reason = f"the template's value {part.reference} is {found}; {with_article(part.kind)} wants {wanted}"
        raise PartError(part.reference, "value", reason)
    return part.bound_to(Name(part.reference))


def _names_bound(part: Part) -> set[str]:
    """Return the names of a template's values that a part is already bound to."""
    bound = (parameter.value for parameter in part.parameters())
    return {
        name for value in bound if value is not None and not isinstance(value, Quantity) for name in names_in(value)
    }


def _wrong_links(network: Network) -> Iterator[CircuitError]:
    for part in network.parts:
        for reference in part.linked():
            try:
                other = network.part(reference)
            except NodeError as error:
                yield error
                continue
            if isinstance(part, Coupling) and not isinstance(other, Inductor):
                reason = f"{reference} is {with_article(other.kind)}; a coupling joins two inductors"
                yield PartError(part.reference, "coils", reason)


def _symbols_given_twice(network: Network, units: Mapping[str, Unit]) -> Iterator[CircuitError]:
    """Yield an error for every symbol that would stand for two things in formulas."""
    owners: dict[str, str] = {}
    for part in network.parts:
        given = [(parameter.symbol, parameter.value) for parameter in part.parameters()]
        for symbol, value in (*given, *((definition.symbol, None) for definition in part.definitions())):
            if symbol in owners:
                reason = f"{symbol} would stand for a figure of {owners[symbol]} and for another of {part.reference}"
                yield PartError(part.reference, "", f"{reason}; rename one of them")
            elif symbol in units and value != Name(symbol):
                reason = f"{symbol} stands for a figure of this part; give the template's value {symbol} another name"
                yield PartError(part.reference, "", reason)
            owners[symbol] = part.reference
