"""What every kind of part has in common, and the table of kinds.

A kind is one class in one file: it says how it is described (pins and parameters), stamps itself into the equations,
and says which of its pins it ties together (for finding floating nodes and loops). A new kind touches its own file
only.
"""

from __future__ import annotations

import dataclasses
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, TypeAlias

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form
from tutor.circuits.errors import PartError, did_you_mean, shortened, shown, with_article
from tutor.circuits.expressions import Expression
from tutor.quantities import Quantity, Unit

Value: TypeAlias = Quantity | Expression
"""What a parameter is bound to: a number with its unit, or an expression over a template's values."""

Tie: TypeAlias = tuple[str, str]
LONGEST_NODE = 40  # characters


@dataclass(frozen=True, slots=True)
class Parameter:
    """A number that belongs to a part.

    Attributes:
        symbol: Its name in equations and formulas.
        unit: Its unit.
        value: What it is bound to; None while a template still has to bind it.
        key: The key under which a circuit file gives it.
        least: The smallest admissible value, or None for any.
        most: The largest admissible value, or None.
        positive: Whether zero is refused too.
    """

    symbol: str
    unit: Unit
    value: Value | None
    key: str = "value"
    least: float | None = None
    most: float | None = None
    positive: bool = False


@dataclass(frozen=True, slots=True)
class Definition:
    """A symbol worked out from parameters, such as a phasor from its angle.

    Attributes:
        symbol: The symbol that the equations use.
        real: Its real part.
        imaginary: Its imaginary part; None for a real symbol.
    """

    symbol: str
    real: Expression
    imaginary: Expression | None = None


@dataclass(frozen=True, slots=True)
class Description:
    """A part as a file describes it: the raw mapping with help for reading it.

    Attributes:
        reference: The part's reference.
        data: The mapping, `kind` included.
        read_value: Turns a scalar into a bound value of the given unit; raises PartError.
    """

    reference: str
    data: Mapping[str, Any]
    read_value: Callable[[str, str, Any, Unit], Value]

    def refuse_other_keys(self, *known: str) -> None:
        """Raise PartError for a key that this kind does not have."""
        admitted = {"kind", "at", "turned", "label", *known}
        for key in self.data:
            if key not in admitted:
                names = ", ".join(sorted(admitted))
                near = did_you_mean(str(key), admitted)
                raise PartError(
                    self.reference, shortened(str(key)), f"{self.a_kind} has no such key{near}; it has {names}"
                )

    @property
    def a_kind(self) -> str:
        """The kind with its article: a resistor, an inductor."""
        return with_article(str(self.data["kind"]))

    def pins(self, *names: str) -> dict[str, str]:
        """Return pin → node for a list of nodes in the given order."""
        nodes = self.data.get("nodes")
        wanted = f"a list of {len(names)} nodes [{', '.join(names)}]"
        if not isinstance(nodes, list | tuple) or len(nodes) != len(names):
            raise PartError(self.reference, "nodes", f"found {shown(nodes)}; {self.a_kind} wants {wanted}")
        return {name: self.node(node) for name, node in zip(names, nodes, strict=True)}

    def named_pins(self, required: Iterable[str], optional: Iterable[str] = ()) -> dict[str, str]:
        """Return pin → node for a mapping of named electrodes."""
        nodes = self.data.get("nodes")
        required, optional = tuple(required), tuple(optional)
        if not isinstance(nodes, Mapping):
            listed = ", ".join(f"{pin}: …" for pin in required)
            raise PartError(self.reference, "nodes", f"found {shown(nodes)}; {self.a_kind} wants {{{listed}}}")
        for pin in nodes:
            if pin not in (*required, *optional):
                near = did_you_mean(str(pin), (*required, *optional))
                known = ", ".join((*required, *optional))
                raise PartError(self.reference, "nodes", f"found the pin {shown(pin)}{near}; known are {known}")
        for pin in required:
            if pin not in nodes:
                raise PartError(self.reference, "nodes", f"the {pin} is not connected; write {pin}: and its node")
        return {pin: self.node(nodes[pin]) for pin in (*required, *optional) if pin in nodes}

    def pair(self, key: str) -> tuple[str, str]:
        """Return two nodes under a key."""
        nodes = self.data.get(key)
        if not isinstance(nodes, list | tuple) or len(nodes) != 2:
            reason = f"found {shown(nodes)}; two nodes in brackets are wanted, such as [a, b]"
            raise PartError(self.reference, key, reason)
        return self.node(nodes[0], key), self.node(nodes[1], key)

    def node(self, node: Any, key: str = "nodes") -> str:
        """Return the name of a node."""
        name = "" if node is None or isinstance(node, Mapping | list | tuple) else str(node).strip()
        if not name or len(name) > LONGEST_NODE or not name.isprintable():
            raise PartError(self.reference, key, f"found {shown(node)}; a node is a short name, and '0' is chassis")
        return name

    def value(self, key: str, unit: Unit) -> Value | None:
        """Return the value under a key, or None when the file leaves it open."""
        raw = self.data.get(key)
        return None if raw is None else self.read_value(self.reference, key, raw, unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(ABC):
    """One component of a circuit.

    Attributes:
        reference: Its name, such as R1.
        pins: Pin → node.
    """

    kind: ClassVar[str]
    valued: ClassVar[bool] = True  # whether `value` names the part's main figure
    reference: str
    pins: Mapping[str, str]

    @classmethod
    @abstractmethod
    def read(cls, description: Description) -> Part:
        """Build the part from a file's description.

        Raises:
            PartError: Naming the key, what was found and what would do.
        """

    def bound_to(self, value: Value) -> Part:
        """Return the part with its main figure bound to a value; only kinds that are `valued` have one.

        Raises:
            PartError: If the figure cannot be bound, because the part gives several.
        """
        return dataclasses.replace(self, value=value)  # type: ignore[call-arg]  # every valued kind has the field

    @abstractmethod
    def parameters(self) -> tuple[Parameter, ...]:
        """Return the numbers that belong to the part."""

    @abstractmethod
    def stamp(self, equations: Equations) -> None:
        """Write the part into the equations, for their analysis."""

    @abstractmethod
    def current(self, equations: Equations) -> Form:
        """Return the current from the part's first node to its second, after stamping."""

    def definitions(self) -> tuple[Definition, ...]:
        """Return symbols worked out from the parameters."""
        return ()

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        """Return the pairs of nodes between which the part lets current pass."""
        first, second = self.terminals()
        return ((first, second),)

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        """Return the pairs of nodes whose voltage the part fixes by itself."""
        return ()

    def terminals(self) -> tuple[str, str]:
        """Return the first and second node: the ends between which its current and voltage are counted."""
        nodes = tuple(self.pins.values())
        return nodes[0], nodes[1]

    def senses(self) -> tuple[str, ...]:
        """Return nodes that the part looks at without loading them."""
        return ()

    def linked(self) -> tuple[str, ...]:
        """Return references of other parts that this one needs."""
        return ()

    def absorbed(self, equations: Equations) -> tuple[tuple[Tie, Form], ...]:
        """Return the pairs (nodes, current) whose products add up to the power absorbed."""
        return ((self.terminals(), self.current(equations)),)


KINDS: dict[str, type[Part]] = {}


def kind_of_part(cls: type[Part]) -> type[Part]:
    """Enter a class into the table of kinds."""
    KINDS[cls.kind] = cls
    return cls
