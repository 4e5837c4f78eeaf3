"""Independent voltage and current sources."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError
from tutor.circuits.expressions import Binary, Call, Expression, Name, Number
from tutor.circuits.parts.base import Definition, Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import ONE, Polynomial, symbol
from tutor.quantities import AMPERE, DEGREE, VOLT, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source(Part):
    """What both kinds share.

    Attributes:
        value: One value for whichever analysis is asked; None while a template has to bind it.
        dc: The value at dc when the two are told apart.
        ac: The rms value at ac when the two are told apart.
        phase: Angle of the ac value [°].
    """

    unit: Unit
    value: Value | None
    dc: Value | None
    ac: Value | None
    phase: Value | None

    @classmethod
    def read(cls, description: Description) -> _Source:
        description.refuse_other_keys("nodes", "value", "phase")
        unit = VOLT if description.data["kind"] == "voltage source" else AMPERE
        dc, ac, value = _split(description, unit)
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            unit=unit,
            value=value,
            dc=dc,
            ac=ac,
            phase=description.value("phase", DEGREE),
        )

    @property
    def told_apart(self) -> bool:
        """Whether dc and ac values are given separately."""
        return self.dc is not None or self.ac is not None

    def bound_to(self, value: Value) -> Part:
        if not self.told_apart:
            return dataclasses.replace(self, value=value)
        if self.dc is not None and self.ac is not None:
            reason = (
                f"it has a dc and an ac value; say which is meant, such as `value: {{dc: {self.reference}, ac: 1 V}}`"
            )
            raise PartError(self.reference, "value", reason)
        return dataclasses.replace(self, dc=value) if self.ac is None else dataclasses.replace(self, ac=value)

    def parameters(self) -> tuple[Parameter, ...]:
        found = []
        if self.told_apart:
            for key, value in (("dc", self.dc), ("ac", self.ac)):
                if value is not None:
                    found.append(Parameter(self._amplitude_symbol(key), self.unit, value, key=f"value.{key}"))
        else:
            found.append(Parameter(self.reference, self.unit, self.value))
        if self.phase is not None:
            found.append(Parameter(f"phase_{self.reference}", DEGREE, self.phase, key="phase"))
        return tuple(found)

    def _amplitude_symbol(self, analysis: str) -> str:
        """Return the symbol of the amplitude: the reference itself, unless dc and ac stand side by side."""
        both = self.dc is not None and self.ac is not None
        return f"{self.reference}_{analysis}" if both else self.reference

    def definitions(self) -> tuple[Definition, ...]:
        if self.phase is None:
            return ()
        half_turn = Number(180.0, text="180")
        angle: Expression = Binary(
            "/", Binary("*", Name(f"phase_{self.reference}"), Number(math.pi, text="pi")), half_turn
        )
        return (Definition(f"turn_{self.reference}", Call("cos", (angle,)), Call("sin", (angle,))),)

    def amplitude(self, analysis: Analysis) -> Polynomial | None:
        """Return the source's phasor, or None where it is dead."""
        kind = "ac" if analysis.kind == "ac" else "dc"
        if self.told_apart and (self.ac if kind == "ac" else self.dc) is None:
            return None
        value = symbol(self._amplitude_symbol(kind))
        if analysis.kind == "ac" and self.phase is not None:
            return value * symbol(f"turn_{self.reference}")
        return value


def _split(description: Description, unit: Unit) -> tuple[Value | None, Value | None, Value | None]:
    """Return (dc, ac, value) of a source."""
    raw: Any = description.data.get("value")
    if not isinstance(raw, Mapping):
        return None, None, description.value("value", unit)
    for key in raw:
        if key not in ("dc", "ac"):
            raise PartError(description.reference, f"value.{key}", "a source's value has the keys dc and ac")
    if not raw:
        raise PartError(description.reference, "value", "it is empty; write {dc: 250 V, ac: 1 V} or one value")
    found = {
        key: description.read_value(description.reference, f"value.{key}", raw[key], unit) if key in raw else None
        for key in ("dc", "ac")
    }
    return found["dc"], found["ac"], None


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageSource(_Source):
    """Holds its first node above its second by its value."""

    kind = "voltage source"

    def stamp(self, equations: Equations) -> None:
        current = equations.branch(self.reference)
        equations.carries(current, *self.terminals())
        amplitude = self.amplitude(equations.analysis)
        if amplitude is not None:
            equations.excite(self.reference, current, amplitude)

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference)),)

    def fixes(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource(_Source):
    """Drives its value through itself, from its first node to its second."""

    kind = "current source"

    def stamp(self, equations: Equations) -> None:
        # The current is an unknown of its own, so that it can be asked for and can control other sources.
        current = equations.branch(self.reference)
        equations.drives(current, *self.terminals())
        amplitude = self.amplitude(equations.analysis)
        if amplitude is not None:
            equations.excite(self.reference, current, amplitude)

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference)),)

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ()
