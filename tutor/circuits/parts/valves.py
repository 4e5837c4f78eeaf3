"""Triodes and pentodes in their small-signal form: mu, anode resistance and slope at the working point.

Source: the equivalent circuit of H. J. van der Bijl (1918) as every handbook of the trade gives it: a voltage mu·u_gk
in series with r_a, or a current g_m·u_gk with r_a across it; mu = g_m·r_a.
"""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form
from tutor.circuits.errors import PartError, with_article
from tutor.circuits.parts.base import Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import Polynomial, symbol
from tutor.quantities import AMPERE_PER_VOLT, OHM, RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class _Valve(Part):
    """What triodes and pentodes share: two of mu, ra and gm; the third follows from mu = gm · ra.

    With a type and none of the three it is a valve whose working point has to be found first (`valves.in_network`); the
    linear solvers refuse it.

    Attributes:
        emission: Share of its current that the cathode still gives; less than 1 in a tired valve. A circuit file has no
            key for it: it is a fault.
    """

    valued = False
    type: str
    mu: Value | None
    ra: Value | None
    gm: Value | None
    emission: float = 1.0

    @classmethod
    def read(cls, description: Description) -> _Valve:
        description.refuse_other_keys("nodes", "type", "mu", "ra", "gm")
        pentode = description.data["kind"] == "pentode"
        pins = (
            description.named_pins(("anode", "grid", "screen", "cathode"), ("suppressor",))
            if pentode
            else description.named_pins(("anode", "grid", "cathode"))
        )
        mu, ra, gm = (
            description.value(key, unit) for key, unit in (("mu", RATIO), ("ra", OHM), ("gm", AMPERE_PER_VOLT))
        )
        given = sum(value is not None for value in (mu, ra, gm))
        if given == 3:
            raise PartError(description.reference, "mu", "mu, ra and gm are all given; two of them fix the third")
        if given == 1 or (given == 0 and "type" not in description.data):
            raise _two_wanted(description.reference, str(description.data["kind"]))
        return cls(
            reference=description.reference,
            pins=pins,
            type=str(description.data.get("type", "")),
            mu=mu,
            ra=ra,
            gm=gm,
        )

    def parameters(self) -> tuple[Parameter, ...]:
        rows = (("mu", RATIO, self.mu), ("ra", OHM, self.ra), ("gm", AMPERE_PER_VOLT, self.gm))
        return tuple(
            Parameter(f"{key}_{self.reference}", unit, value, key=key, positive=True)
            for key, unit, value in rows
            if value is not None
        )

    @property
    def is_at_rest(self) -> bool:
        """Whether only its type is given, so that its currents follow from its curves."""
        return self.mu is None and self.ra is None and self.gm is None

    def slope(self) -> Polynomial:
        """Return g_m."""
        if self.gm is not None:
            return symbol(f"gm_{self.reference}")
        return symbol(f"mu_{self.reference}") * symbol(f"ra_{self.reference}", -1)

    def anode_conductance(self) -> Polynomial:
        """Return 1/r_a."""
        if self.ra is not None:
            return symbol(f"ra_{self.reference}", -1)
        return symbol(f"gm_{self.reference}") * symbol(f"mu_{self.reference}", -1)

    def terminals(self) -> tuple[str, str]:
        return self.pins["anode"], self.pins["cathode"]

    def stamp(self, equations: Equations) -> None:
        if self.is_at_rest:
            raise _two_wanted(self.reference, self.kind)
        for node in self.pins.values():
            equations.node(node)
        equations.admittance(*self.terminals(), self.anode_conductance())
        drive = equations.difference(self.pins["grid"], self.pins["cathode"])
        equations.controlled_current(*self.terminals(), drive, self.slope())

    def current(self, equations: Equations) -> Form:
        return (
            *equations.difference(self.pins["grid"], self.pins["cathode"], self.slope()),
            *equations.difference(*self.terminals(), self.anode_conductance()),
        )

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return (self.terminals(),)

    def senses(self) -> tuple[str, ...]:
        return tuple(node for pin, node in self.pins.items() if pin not in ("anode", "cathode"))


def _two_wanted(reference: str, kind: str) -> PartError:
    reason = (
        f"{with_article(kind)} in a linear circuit wants two of mu, ra and gm (for example `mu: 100` and `ra: 62.5 kΩ`)"
    )
    return PartError(reference, "mu", reason)


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Triode(_Valve):
    """A triode; its current is the anode's, towards the cathode."""

    kind = "triode"


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Pentode(_Valve):
    """A pentode whose screen is held still for signals, so that it takes no part."""

    kind = "pentode"
