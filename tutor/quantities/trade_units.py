"""The units of the trade, each coherent: without a prefix, one volt, one ohm, one henry.

A `Unit` keeps the symbol it was written with, so that "VA" stays apart from "W" and "A/V" from "S" on the
page although each pair shares a dimension. `kind` tells the dimensionless ones apart: a plain ratio is no
decibel.
"""

from dataclasses import dataclass
from fractions import Fraction

from tutor.quantities import dimensions as dim
from tutor.quantities.dimensions import Dimension, product_of


@dataclass(frozen=True, slots=True)
class Unit:
    """A coherent unit.

    Attributes:
        symbol: As it is printed ("V", "A/V", "Ω"); "" for a plain ratio.
        dimension: What it measures.
        kind: "" normally; "dB", "°", "rad" or "°C" where equal dimensions must not be mixed up.
    """

    symbol: str
    dimension: Dimension
    kind: str = ""

    def fits(self, other: "Unit") -> bool:
        """Say whether magnitudes in both units can be compared: same dimension, same kind."""
        return self.kind == other.kind and self.dimension == other.dimension

    @property
    def name(self) -> str:
        """What it measures, in trade words, for sentences: "voltage", "level in decibels", "angle"."""
        return _KIND_NAMES.get((self.kind, self.dimension)) or self.dimension.name


_KIND_NAMES = {
    ("dB", dim.DIMENSIONLESS): "level in decibels",
    ("°", dim.DIMENSIONLESS): "angle in degrees",
    ("rad", dim.DIMENSIONLESS): "angle in radians",
    ("rad", dim.FREQUENCY): "angular frequency",
    ("°C", dim.TEMPERATURE): "temperature in degrees Celsius",
}

RATIO = Unit("", dim.DIMENSIONLESS)
VOLT = Unit("V", dim.VOLTAGE)
AMPERE = Unit("A", dim.CURRENT)
OHM = Unit("Ω", dim.RESISTANCE)
SIEMENS = Unit("S", dim.CONDUCTANCE)
AMPERE_PER_VOLT = Unit("A/V", dim.CONDUCTANCE)
FARAD = Unit("F", dim.CAPACITANCE)
HENRY = Unit("H", dim.INDUCTANCE)
WATT = Unit("W", dim.POWER)
VOLT_AMPERE = Unit("VA", dim.POWER)
HERTZ = Unit("Hz", dim.FREQUENCY)
SECOND = Unit("s", dim.TIME)
JOULE = Unit("J", dim.ENERGY)
COULOMB = Unit("C", dim.CHARGE)
METRE = Unit("m", dim.LENGTH)
KILOGRAM = Unit("kg", dim.MASS)
NEWTON = Unit("N", dim.FORCE)
WEBER = Unit("Wb", dim.MAGNETIC_FLUX)
TESLA = Unit("T", dim.FLUX_DENSITY)
KELVIN = Unit("K", dim.TEMPERATURE)
CELSIUS = Unit("°C", dim.TEMPERATURE, "°C")
DECIBEL = Unit("dB", dim.DIMENSIONLESS, "dB")
DEGREE = Unit("°", dim.DIMENSIONLESS, "°")
RADIAN = Unit("rad", dim.DIMENSIONLESS, "rad")
RADIAN_PER_SECOND = Unit("rad/s", dim.FREQUENCY, "rad")

_COHERENT: dict[Dimension, Unit] = {
    unit.dimension: unit
    for unit in (
        RATIO, VOLT, AMPERE, OHM, SIEMENS, FARAD, HENRY, WATT, HERTZ, SECOND, JOULE, COULOMB, METRE, KILOGRAM,
        NEWTON, WEBER, TESLA, KELVIN,
    )
}  # fmt: skip

_TIDY_POWERS = (2, 3, -1, -2, Fraction(1, 2), Fraction(-1, 2))
# The henry is left out here: V²·s² reads better than a power of a unit nobody squares.
_TIDY_UNITS = (VOLT, AMPERE, OHM, WATT, SECOND, HERTZ, METRE, FARAD)


def coherent_unit(dimension: Dimension) -> Unit:
    """Return the trade's unit for a dimension.

    Args:
        dimension: Any dimension, also one without a name.

    Returns:
        The named unit (V, Ω, S for A/V, Hz for 1/s), else a power of one ("Ω²"), else a product of V, A, s, m
        and K ("A/V^1.5").
    """
    named = _COHERENT.get(dimension)
    if named is not None:
        return named
    for power in _TIDY_POWERS:
        for unit in _TIDY_UNITS:
            if unit.dimension**power == dimension:
                return Unit(product_of({unit.symbol: power}), dimension)
    return Unit(dimension.formula, dimension)
