"""Potentiometers, and meters with their loading."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError, shown
from tutor.circuits.expressions import Binary, Expression, Name, Number
from tutor.circuits.parts.base import Definition, Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import ONE, symbol
from tutor.quantities import OHM, RATIO, VOLT, Quantity, Unit

LAWS = ("linear", "log")
HALF_TRAVEL = Quantity(0.1, RATIO)
"""Share of a log track between wiper and foot at half travel; common practice, no source (makers quote 10 to 20 %)."""

OHMS_PER_VOLT = Unit("Ω/V", OHM.dimension / VOLT.dimension)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Potentiometer(Part):
    """A track with a wiper; `turn` is 0 with the wiper at the foot and 1 at the top.

    The two sections are branches with currents of their own, so that a wiper at either end is no division by zero.
    With `law: log` the share x of the track below the wiper is (b^(2·turn) − 1)/(b² − 1) with b = (1 − half)/half,
    which is 0 and 1 at the ends and `half` at half travel (`half: 10 %`).
    """

    kind = "potentiometer"
    value: Value | None
    turn: Value | None
    law: str
    half: Value

    @classmethod
    def read(cls, description: Description) -> Potentiometer:
        description.refuse_other_keys("nodes", "value", "turn", "law", "half")
        law = str(description.data.get("law", "linear"))
        if law not in LAWS:
            raise PartError(description.reference, "law", f"found {shown(law)}; known are {' and '.join(LAWS)}")
        return cls(
            reference=description.reference,
            pins=description.pins("top", "wiper", "foot"),
            value=description.value("value", OHM),
            turn=description.value("turn", RATIO),
            law=law,
            half=description.value("half", RATIO) or HALF_TRAVEL,
        )

    def parameters(self) -> tuple[Parameter, ...]:
        found = [
            Parameter(self.reference, OHM, self.value, positive=True),
            Parameter(f"turn_{self.reference}", RATIO, self.turn, key="turn", least=0.0, most=1.0),
        ]
        if self.law == "log":
            found.append(Parameter(f"half_{self.reference}", RATIO, self.half, key="half", positive=True, most=0.49))
        return tuple(found)

    @property
    def _share(self) -> str:
        """The symbol of the share of the track below the wiper: with a linear law the turn itself."""
        return f"turn_{self.reference}" if self.law == "linear" else f"share_{self.reference}"

    def definitions(self) -> tuple[Definition, ...]:
        if self.law == "linear":
            return ()
        turn = Name(f"turn_{self.reference}")
        one, two = Number(1.0, text="1"), Number(2.0, text="2")
        half = Name(f"half_{self.reference}")
        base: Expression = Binary("/", Binary("-", one, half), half)
        grown = Binary("-", Binary("**", base, Binary("*", two, turn)), one)
        whole = Binary("-", Binary("**", base, two), one)
        return (Definition(self._share, Binary("/", grown, whole)),)

    def stamp(self, equations: Equations) -> None:
        track, share = symbol(self.reference), symbol(self._share)
        top, wiper, foot = (self.pins[pin] for pin in ("top", "wiper", "foot"))
        for section, a, b, part in (("upper", top, wiper, ONE - share), ("lower", wiper, foot, share)):
            current = equations.branch(self.reference, section)
            if a == b:  # a rheostat: its wiper shorts this section, and nothing flows in it even at no resistance
                equations.add(current, current, ONE)
                continue
            equations.carries(current, a, b)
            equations.add(current, current, -(track * part))
            equations.may_vanish.add((current, current))

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference, "upper")),)

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return ((self.pins["top"], self.pins["wiper"]), (self.pins["wiper"], self.pins["foot"]))

    def absorbed(self, equations: Equations) -> tuple[tuple[Tie, Form], ...]:
        upper, lower = self.conducts(equations.analysis)
        return (
            (upper, ((ONE, Unknown("current", self.reference, "upper")),)),
            (lower, ((ONE, Unknown("current", self.reference, "lower")),)),
        )


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Meter(Part):
    """A voltmeter between two nodes, with its loading: a resistance, or a range and ohms per volt."""

    kind = "meter"
    valued = False
    resistance: Value | None
    range: Value | None
    ohms_per_volt: Value | None

    @classmethod
    def read(cls, description: Description) -> Meter:
        description.refuse_other_keys("nodes", "resistance", "range", "ohms per volt")
        resistance = description.value("resistance", OHM)
        full_scale = description.value("range", VOLT)
        sensitivity = description.value("ohms per volt", OHMS_PER_VOLT)
        both = "`resistance: 10 MΩ`, or `range: 250 V` and `ohms per volt: 20 kΩ/V`"
        if resistance is None and (full_scale is None or sensitivity is None):
            raise PartError(description.reference, "resistance", f"its loading is missing; give {both}")
        if resistance is not None and sensitivity is not None:
            raise PartError(description.reference, "resistance", f"its loading is given twice; give {both}")
        return cls(
            reference=description.reference,
            pins=description.pins("a", "b"),
            resistance=resistance,
            range=full_scale,
            ohms_per_volt=sensitivity,
        )

    def parameters(self) -> tuple[Parameter, ...]:
        if self.resistance is not None:
            return (Parameter(self.reference, OHM, self.resistance, key="resistance", positive=True),)
        return (
            Parameter(f"range_{self.reference}", VOLT, self.range, key="range", positive=True),
            Parameter(
                f"per_volt_{self.reference}", OHMS_PER_VOLT, self.ohms_per_volt, key="ohms per volt", positive=True
            ),
        )

    def definitions(self) -> tuple[Definition, ...]:
        if self.resistance is not None:
            return ()
        product = Binary("*", Name(f"range_{self.reference}"), Name(f"per_volt_{self.reference}"))
        return (Definition(self.reference, product),)

    def stamp(self, equations: Equations) -> None:
        equations.admittance(*self.terminals(), symbol(self.reference, -1))

    def current(self, equations: Equations) -> Form:
        return equations.difference(*self.terminals(), symbol(self.reference, -1))
