"""Resistors, capacitors, inductors, and the coupling of two inductors."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis, S
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError
from tutor.circuits.expressions import Binary, Call, Name
from tutor.circuits.parts.base import Definition, Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import Polynomial, symbol
from tutor.quantities import FARAD, HENRY, OHM, RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class _TwoTerminal(Part):
    value: Value | None

    def admittance(self) -> Polynomial:
        """Return the admittance between the two nodes."""
        raise NotImplementedError

    def stamp(self, equations: Equations) -> None:
        equations.admittance(*self.terminals(), self.admittance())

    def current(self, equations: Equations) -> Form:
        return equations.difference(*self.terminals(), self.admittance())


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor(_TwoTerminal):
    """A resistor; its symbol is its reference."""

    kind = "resistor"

    @classmethod
    def read(cls, description: Description) -> Resistor:
        description.refuse_other_keys("nodes", "value")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", OHM),
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, OHM, self.value, positive=True),)

    def admittance(self) -> Polynomial:
        return symbol(self.reference, -1)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor(_TwoTerminal):
    """A capacitor: an open circuit at dc. `polarised: true` draws it as an electrolytic."""

    kind = "capacitor"
    polarised: bool = False

    @classmethod
    def read(cls, description: Description) -> Capacitor:
        description.refuse_other_keys("nodes", "value", "polarised", "initial")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", FARAD),
            polarised=str(description.data.get("polarised", "false")).lower() in ("true", "yes"),
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, FARAD, self.value, positive=True),)

    def admittance(self) -> Polynomial:
        return symbol(S) * symbol(self.reference)

    def stamp(self, equations: Equations) -> None:
        if equations.analysis.kind == "ac":
            equations.admittance(*self.terminals(), self.admittance())
        else:
            for node in self.terminals():
                equations.node(node)

    def current(self, equations: Equations) -> Form:
        if equations.analysis.kind == "dc":
            return ()
        return equations.difference(*self.terminals(), self.admittance())

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),) if analysis.kind == "ac" else ()


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Inductor(Part):
    """An inductor: a short circuit at dc. Its current is an unknown of its own, so that couplings can refer to it."""

    kind = "inductor"
    value: Value | None

    @classmethod
    def read(cls, description: Description) -> Inductor:
        description.refuse_other_keys("nodes", "value", "initial")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", HENRY),
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, HENRY, self.value, positive=True),)

    def stamp(self, equations: Equations) -> None:
        current = equations.branch(self.reference)
        equations.carries(current, *self.terminals())
        if equations.analysis.kind == "ac":
            equations.add(current, current, -(symbol(S) * symbol(self.reference)))

    def current(self, equations: Equations) -> Form:
        return ((Polynomial((((), 1),)), Unknown("current", self.reference)),)

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),) if analysis.kind == "dc" else ()


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling(Part):
    """The magnetic coupling of two inductors: M = k √(L₁ L₂). A dot stands at the first node of each."""

    kind = "coupling"
    coils: tuple[str, str]
    value: Value | None

    @classmethod
    def read(cls, description: Description) -> Coupling:
        description.refuse_other_keys("coils", "value")
        coils = description.data.get("coils")
        if not isinstance(coils, list | tuple) or len(coils) != 2 or coils[0] == coils[1]:
            raise PartError(
                description.reference, "coils", f"found {coils!r}; two inductors are wanted, such as [L1, L2]"
            )
        return cls(
            reference=description.reference,
            pins={},
            coils=(str(coils[0]), str(coils[1])),
            value=description.value("value", RATIO),
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, RATIO, self.value, least=-1.0, most=1.0),)

    @property
    def _mutual(self) -> str:
        return f"M_{self.reference}"

    def definitions(self) -> tuple[Definition, ...]:
        first, second = (Name(coil) for coil in self.coils)
        mutual = Binary("*", Name(self.reference), Call("sqrt", (Binary("*", first, second),)))
        return (Definition(self._mutual, mutual),)

    def stamp(self, equations: Equations) -> None:
        if equations.analysis.kind == "dc":
            return
        first, second = (Unknown("current", coil) for coil in self.coils)
        mutual = -(symbol(S) * symbol(self._mutual))
        equations.add(first, second, mutual)
        equations.add(second, first, mutual)

    def current(self, equations: Equations) -> Form:
        raise PartError(self.reference, "", "a coupling carries no current; ask for that of a coil")

    def absorbed(self, equations: Equations) -> tuple[tuple[Tie, Form], ...]:
        raise PartError(self.reference, "", "a coupling takes no power; ask for that of a coil")

    def terminals(self) -> tuple[str, str]:
        raise PartError(self.reference, "", "a coupling has no nodes of its own")

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ()

    def linked(self) -> tuple[str, ...]:
        return self.coils
