"""Test sources: what an asked form adds to a circuit. They are not in the table of kinds; no file can hold one."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.parts.base import Description, Parameter, Part, Tie
from tutor.circuits.polynomial import ONE


@dataclass(frozen=True, slots=True, kw_only=True)
class _Probe(Part):
    """A source whose size the asked form puts on the right-hand side, in the row of its current.

    Attributes:
        instead_of: The part in whose place it stands, if any. It keeps that part's reference and figures, so that what
            is linked to the part still finds it.
    """

    instead_of: Part | None = None

    @classmethod
    def read(cls, description: Description) -> _Probe:
        raise NotImplementedError("a probe is added by what is asked, never by a file")

    def parameters(self) -> tuple[Parameter, ...]:
        return () if self.instead_of is None else self.instead_of.parameters()

    @property
    def row(self) -> Unknown:
        """The unknown of its current, in whose row its size belongs."""
        return Unknown("current", self.reference)

    def current(self, equations: Equations) -> Form:
        return ((ONE, self.row),)


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageProbe(_Probe):
    """Holds its first node above its second."""

    kind = "test voltage"

    def stamp(self, equations: Equations) -> None:
        equations.carries(equations.branch(self.reference), *self.terminals())

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentProbe(_Probe):
    """Drives a current through itself, from its first node to its second."""

    kind = "test current"

    def stamp(self, equations: Equations) -> None:
        equations.drives(equations.branch(self.reference), *self.terminals())

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NullProbe(_Probe):
    """A source of whatever size makes the voltage between two other nodes nought.

    Attributes:
        nulled: The two nodes.
    """

    kind = "nulling source"
    nulled: tuple[str, str]

    def stamp(self, equations: Equations) -> None:
        current = equations.branch(self.reference)
        for node, sign in zip(self.terminals(), (ONE, -ONE), strict=True):
            equations.add(equations.node(node), current, sign)
        for node, sign in zip(self.nulled, (ONE, -ONE), strict=True):
            equations.add(current, equations.node(node), sign)

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)

    def senses(self) -> tuple[str, ...]:
        return self.nulled
