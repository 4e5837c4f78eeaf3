"""A network: parts read from a file's description, checked, and turned into equations."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations
from tutor.circuits.errors import CircuitError, ExpressionError, NodeError, PartError, did_you_mean
from tutor.circuits.expressions import Name, dimension_of, names_in, read_expression
from tutor.circuits.parts import KINDS, Definition, Description, Parameter, Part, Value
from tutor.circuits.parts.controlled import CurrentControlled
from tutor.circuits.parts.passive import Coupling, Inductor
from tutor.circuits.topology import refuse_floating_nodes, refuse_source_loops
from tutor.quantities import Quantity, QuantityError, Unit, read_quantity, show

MOST_PARTS = 400
_REFERENCE = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,30}")
_IDENTIFIER = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


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
    if not isinstance(data, Mapping) or not data:
        raise CircuitError(
            f"parts: found {data!r}; a mapping of references to parts is wanted, such as R1: {{kind: …}}"
        )
    if len(data) > MOST_PARTS:
        raise CircuitError(f"parts: {len(data)} parts; {MOST_PARTS} are the most that is read")
    network = Network(tuple(_read_part(str(reference), raw, units or {}) for reference, raw in data.items()))
    _check_links(network)
    return network


def _read_part(reference: str, raw: Any, units: Mapping[str, Unit]) -> Part:
    if not _REFERENCE.fullmatch(reference):
        raise PartError(reference, "", "a reference is a letter, then letters, digits or _ (R1, VR2, C_k)")
    if not isinstance(raw, Mapping):
        raise PartError(reference, "", f"found {raw!r}; a mapping with kind and nodes is wanted")
    kind = raw.get("kind")
    cls = KINDS.get(str(kind))
    if cls is None:
        known = ", ".join(sorted(KINDS))
        raise PartError(reference, "kind", f"found {kind!r}{did_you_mean(str(kind), KINDS)}; known are {known}")
    part = cls.read(Description(reference, raw, _ValueReader(units)))
    for parameter in part.parameters():
        _check_bounds(part, parameter)
    return _bound_to_its_name(part, units)


@dataclass(frozen=True, slots=True)
class _ValueReader:
    """Reads a scalar of a part: a number with its unit, or an expression over a template's values."""

    units: Mapping[str, Unit]

    def __call__(self, part: str, key: str, raw: Any, unit: Unit) -> Value:
        text = str(raw).strip()
        if isinstance(raw, Mapping | list):
            raise PartError(part, key, f"found {raw!r}; one value is wanted, such as {example_of(unit)}")
        # A name of the template comes before a code: R1 is then the value R1 and not 0.1 Ω.
        if self.units and (text in self.units or not _reads_as_quantity(text)):
            return self._expression(part, key, text, unit)
        try:
            quantity = read_quantity(text).quantity
        except QuantityError as error:
            raise PartError(part, key, f"found {text!r}; {error}") from error
        if quantity.unit.dimension != unit.dimension:
            what = "without a unit" if quantity.unit.symbol == "" else f"a {quantity.unit.dimension.name}"
            wanted = f"a {unit.dimension.name} is wanted, such as {example_of(unit)}"
            raise PartError(part, key, f"found {text!r}, {what}; {wanted}")
        return quantity

    def _expression(self, part: str, key: str, text: str, unit: Unit) -> Value:
        try:
            expression = read_expression(text)
            for name in names_in(expression):
                if name not in self.units:
                    near = did_you_mean(name, self.units)
                    raise PartError(part, key, f"found {text!r}: {name!r} is no value of this template{near}")
            dimension = dimension_of(expression, {n: u.dimension for n, u in self.units.items()})
        except ExpressionError as error:
            raise PartError(part, key, str(error)) from error
        if dimension != unit.dimension:
            wanted = f"a {unit.dimension.name} is wanted"
            raise PartError(part, key, f"found {text!r}, a {dimension.name}; {wanted}")
        return expression


def _reads_as_quantity(text: str) -> bool:
    try:
        read_quantity(text)
    except QuantityError:
        return False
    return True


def example_of(unit: Unit) -> str:
    """Return a plausible value of a unit, for error messages."""
    examples = {"Ω": 220e3, "F": 47e-9, "H": 10.0, "V": 250.0, "A": 2e-3, "A/V": 1.6e-3, "Hz": 50.0, "": 0.5}
    return show(examples.get(unit.symbol, 1.0), unit)


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
    """Return the part with its open parameters bound to template values of the same name."""
    if part.reference in units and hasattr(part, "value"):
        parameter = part.parameters()[0]
        named = units[part.reference]
        if named.dimension != parameter.unit.dimension:
            reason = (
                f"the template's value {part.reference} is a {named.dimension.name}; "
                f"a {part.kind} wants a {parameter.unit.dimension.name}"
            )
            raise PartError(part.reference, "value", reason)
        # A template's value of the part's own name wins over what a shared circuit says.
        return dataclasses.replace(part, value=Name(part.reference))  # type: ignore[call-arg]  # it has one, see above
    return part


def _check_links(network: Network) -> None:
    for part in network.parts:
        for reference in part.linked():
            other = network.part(reference)
            if isinstance(part, Coupling) and not isinstance(other, Inductor):
                raise PartError(
                    part.reference, "coils", f"{reference} is a {other.kind}; a coupling joins two inductors"
                )


def references(parts: Sequence[Part]) -> tuple[str, ...]:
    """Return the references of parts, in order."""
    return tuple(part.reference for part in parts)
