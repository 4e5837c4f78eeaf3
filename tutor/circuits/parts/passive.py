"""Resistors, capacitors, inductors, and the coupling of two inductors."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis, S
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError, shown
from tutor.circuits.expressions import Binary, Call, Name
from tutor.circuits.parts.base import Definition, Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import ONE, Polynomial, symbol
from tutor.quantities import AMPERE, FARAD, HENRY, OHM, RATIO, VOLT


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
    """A capacitor: an open circuit at dc. `polarised: true` draws it as an electrolytic.

    `initial` is its voltage before a step, first node against second; nought when left out.
    """

    kind = "capacitor"
    polarised: bool = False
    initial: Value | None = None

    @classmethod
    def read(cls, description: Description) -> Capacitor:
        description.refuse_other_keys("nodes", "value", "polarised", "initial")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", FARAD),
            polarised=str(description.data.get("polarised", "false")).lower() in ("true", "yes"),
            initial=description.value("initial", VOLT),
        )

    @property
    def initial_symbol(self) -> str:
        """The symbol of its voltage before a step."""
        return f"initial_{self.reference}"

    def parameters(self) -> tuple[Parameter, ...]:
        main = Parameter(self.reference, FARAD, self.value, positive=True)
        if self.initial is None:
            return (main,)
        return main, Parameter(self.initial_symbol, VOLT, self.initial, key="initial")

    def admittance(self) -> Polynomial:
        return symbol(S) * symbol(self.reference)

    def stamp(self, equations: Equations) -> None:
        if equations.analysis.kind == "ac":
            equations.admittance(*self.terminals(), self.admittance())
        else:
            for node in self.terminals():
                equations.node(node)

    def current(self, equations: Equations) -> Form:
        if equations.analysis.kind != "ac":
            return ()
        return equations.difference(*self.terminals(), self.admittance())

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),) if analysis.kind == "ac" else ()


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Inductor(Part):
    """An inductor: a short circuit at dc. Its current is an unknown of its own, so that couplings can refer to it.

    `initial` is its current before a step, from its first node to its second; nought when left out.
    """

    kind = "inductor"
    value: Value | None
    initial: Value | None = None

    @classmethod
    def read(cls, description: Description) -> Inductor:
        description.refuse_other_keys("nodes", "value", "initial")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", HENRY),
            initial=description.value("initial", AMPERE),
        )

    @property
    def initial_symbol(self) -> str:
        """The symbol of its current before a step."""
        return f"initial_{self.reference}"

    def parameters(self) -> tuple[Parameter, ...]:
        main = Parameter(self.reference, HENRY, self.value, positive=True)
        if self.initial is None:
            return (main,)
        return main, Parameter(self.initial_symbol, AMPERE, self.initial, key="initial")

    def stamp(self, equations: Equations) -> None:
        current = equations.branch(self.reference)
        equations.carries(current, *self.terminals())
        if equations.analysis.kind == "ac":
            equations.add(current, current, -(symbol(S) * symbol(self.reference)))

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference)),)

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return () if analysis.kind == "ac" else (self.terminals(),)


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
            reason = f"found {shown(coils)}; two inductors are wanted, such as [L1, L2]"
            raise PartError(description.reference, "coils", reason)
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
        if equations.analysis.kind != "ac":
            return
        first, second = (Unknown("current", coil) for coil in self.coils)
        mutual = -(symbol(S) * symbol(self._mutual))
        for row, column in ((first, second), (second, first)):
            equations.add(row, column, mutual)
            equations.may_vanish.add((row, column))

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
