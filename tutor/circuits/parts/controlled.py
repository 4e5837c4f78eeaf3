"""The four controlled sources, spelled out. `value` is the factor; `control` two nodes or the reference of a part."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError, shown
from tutor.circuits.parts.base import Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import ONE, symbol
from tutor.quantities import OHM, RATIO, SIEMENS, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class _VoltageControlled(Part):
    value: Value | None
    control: tuple[str, str]

    @classmethod
    def factor_unit(cls) -> Unit:
        """Return the unit of the factor."""
        return RATIO

    @classmethod
    def read(cls, description: Description) -> _VoltageControlled:
        description.refuse_other_keys("nodes", "value", "control")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", cls.factor_unit()),
            control=description.pair("control"),
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, self.factor_unit(), self.value),)

    def senses(self) -> tuple[str, ...]:
        return self.control


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentControlled(Part):
    """What both current-controlled sources share: they are stamped once the controlling part is known."""

    value: Value | None
    control: str

    @classmethod
    def factor_unit(cls) -> Unit:
        """Return the unit of the factor."""
        return RATIO

    @classmethod
    def read(cls, description: Description) -> CurrentControlled:
        description.refuse_other_keys("nodes", "value", "control")
        control = description.data.get("control")
        if not isinstance(control, str) or not control:
            reason = f"found {shown(control)}; the reference of the part whose current controls is wanted, such as R1"
            raise PartError(description.reference, "control", reason)
        if control == description.reference:
            raise PartError(description.reference, "control", "a source cannot be controlled by its own current")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            value=description.value("value", cls.factor_unit()),
            control=control,
        )

    def parameters(self) -> tuple[Parameter, ...]:
        return (Parameter(self.reference, self.factor_unit(), self.value),)

    def linked(self) -> tuple[str, ...]:
        return (self.control,)

    def stamp_controlled(self, equations: Equations, control: Part) -> None:
        """Stamp once the controlling part is known; the network calls this after all others."""
        raise NotImplementedError

    def stamp(self, equations: Equations) -> None:
        equations.branch(self.reference)

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference)),)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageControlledVoltageSource(_VoltageControlled):
    """u = value × control voltage; the model of an ideal amplifier."""

    kind = "voltage-controlled voltage source"

    def stamp(self, equations: Equations) -> None:
        current = equations.branch(self.reference)
        equations.carries(current, *self.terminals())
        for coefficient, node in equations.difference(*self.control, symbol(self.reference)):
            equations.add(current, node, -coefficient)
            equations.may_vanish.add((current, node))

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference)),)

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageControlledCurrentSource(_VoltageControlled):
    """i = value × control voltage, flowing from its first node to its second."""

    kind = "voltage-controlled current source"

    @classmethod
    def factor_unit(cls) -> Unit:
        return SIEMENS

    def stamp(self, equations: Equations) -> None:
        form = equations.difference(*self.control)
        equations.controlled_current(*self.terminals(), form, symbol(self.reference))

    def current(self, equations: Equations) -> Form:
        return equations.difference(*self.control, symbol(self.reference))

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ()


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentControlledVoltageSource(CurrentControlled):
    """u = value × controlling current."""

    kind = "current-controlled voltage source"

    @classmethod
    def factor_unit(cls) -> Unit:
        return OHM

    def stamp_controlled(self, equations: Equations, control: Part) -> None:
        current = Unknown("current", self.reference)
        equations.carries(current, *self.terminals())
        for coefficient, unknown in control.current(equations):
            equations.add(current, unknown, -(symbol(self.reference) * coefficient))
            equations.may_vanish.add((current, unknown))

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentControlledCurrentSource(CurrentControlled):
    """i = value × controlling current, flowing from its first node to its second."""

    kind = "current-controlled current source"

    def stamp_controlled(self, equations: Equations, control: Part) -> None:
        current = Unknown("current", self.reference)
        equations.drives(current, *self.terminals())
        for coefficient, unknown in control.current(equations):
            equations.add(current, unknown, -(symbol(self.reference) * coefficient))
            equations.may_vanish.add((current, unknown))

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ()
