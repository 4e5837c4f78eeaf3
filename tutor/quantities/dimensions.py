"""Dimensions: what kind of quantity a unit measures, whatever its size.

A dimension is held as the powers of the five SI base units that circuits use (kg, m, s, A, K). Powers may be
fractions: the root of a ratio of powers, or the perveance of a valve in A/V^1.5, need them.
"""

from dataclasses import dataclass
from fractions import Fraction

Exponent = int | Fraction


def _plain(exponent: Exponent) -> Exponent:
    """Return a whole power as an int, which compares and hashes faster than a Fraction."""
    if isinstance(exponent, Fraction) and exponent.denominator == 1:
        return exponent.numerator
    return exponent


@dataclass(frozen=True, slots=True)
class Dimension:
    """The powers of the SI base units in a quantity.

    Attributes:
        kilogram: Power of the kilogram; likewise ``metre``, ``second``, ``ampere``, ``kelvin``.
    """

    kilogram: Exponent = 0
    metre: Exponent = 0
    second: Exponent = 0
    ampere: Exponent = 0
    kelvin: Exponent = 0

    def __post_init__(self) -> None:
        for name in ("kilogram", "metre", "second", "ampere", "kelvin"):
            object.__setattr__(self, name, _plain(getattr(self, name)))

    @property
    def exponents(self) -> tuple[Exponent, Exponent, Exponent, Exponent, Exponent]:
        """The powers of (kg, m, s, A, K)."""
        return (self.kilogram, self.metre, self.second, self.ampere, self.kelvin)

    @property
    def name(self) -> str:
        """The trade's word ("voltage", "capacitance"), else a product of units ("V²", "A/V^1.5")."""
        return _NAMES.get(self) or self.formula

    @property
    def formula(self) -> str:
        """The dimension as a product of V, A, s, m and K; "" for a plain ratio."""
        return product_of(
            {
                # kg = V·A·s³/m², which is how a circuit person would spell it.
                "V": self.kilogram,
                "A": self.ampere + self.kilogram,
                "s": self.second + 3 * self.kilogram,
                "m": self.metre - 2 * self.kilogram,
                "K": self.kelvin,
            }
        )

    def __mul__(self, other: "Dimension") -> "Dimension":
        return Dimension(*(a + b for a, b in zip(self.exponents, other.exponents, strict=True)))

    def __truediv__(self, other: "Dimension") -> "Dimension":
        return Dimension(*(a - b for a, b in zip(self.exponents, other.exponents, strict=True)))

    def __pow__(self, power: Exponent) -> "Dimension":
        return Dimension(*(a * power for a in self.exponents))

    def __str__(self) -> str:
        return self.name


_SUPERSCRIPTS = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def superscript(number: int) -> str:
    """Return a whole number in raised figures: ``-3`` becomes ``⁻³``."""
    return str(number).translate(_SUPERSCRIPTS)


def _raised(symbol: str, power: Exponent) -> str:
    """Return a symbol with its power: ``V``, ``V²``, ``V^1.5``, ``V^(1/3)``."""
    if isinstance(power, int):
        return symbol if power == 1 else symbol + superscript(power)
    as_decimal = f"{float(power):g}"
    return f"{symbol}^{as_decimal}" if Fraction(as_decimal) == power else f"{symbol}^({power})"


def product_of(powers: dict[str, Exponent]) -> str:
    """Return symbols with powers as one unit text: ``V²/Ω``, ``1/s``, ``V/(A·s)``.

    Args:
        powers: Symbol to power; a power of zero leaves its symbol out.

    Returns:
        A text that ``read_unit`` reads back; "" where every power is zero.
    """
    above = [_raised(symbol, _plain(power)) for symbol, power in powers.items() if power > 0]
    below = [_raised(symbol, _plain(-power)) for symbol, power in powers.items() if power < 0]
    if not below:
        return "·".join(above)
    under = below[0] if len(below) == 1 else f"({'·'.join(below)})"
    return f"{'·'.join(above) or '1'}/{under}"


DIMENSIONLESS = Dimension()
TIME = Dimension(second=1)
LENGTH = Dimension(metre=1)
MASS = Dimension(kilogram=1)
CURRENT = Dimension(ampere=1)
TEMPERATURE = Dimension(kelvin=1)
FREQUENCY = DIMENSIONLESS / TIME
CHARGE = CURRENT * TIME
FORCE = Dimension(kilogram=1, metre=1, second=-2)
ENERGY = FORCE * LENGTH
POWER = ENERGY / TIME
VOLTAGE = POWER / CURRENT
RESISTANCE = VOLTAGE / CURRENT
CONDUCTANCE = CURRENT / VOLTAGE
CAPACITANCE = CHARGE / VOLTAGE
MAGNETIC_FLUX = VOLTAGE * TIME
FLUX_DENSITY = MAGNETIC_FLUX / LENGTH**2
INDUCTANCE = MAGNETIC_FLUX / CURRENT

_NAMES: dict[Dimension, str] = {
    DIMENSIONLESS: "plain ratio",
    TIME: "time",
    LENGTH: "length",
    MASS: "mass",
    CURRENT: "current",
    TEMPERATURE: "temperature",
    FREQUENCY: "frequency",
    CHARGE: "charge",
    FORCE: "force",
    ENERGY: "energy",
    POWER: "power",
    VOLTAGE: "voltage",
    RESISTANCE: "resistance",
    CONDUCTANCE: "conductance",
    CAPACITANCE: "capacitance",
    MAGNETIC_FLUX: "magnetic flux",
    FLUX_DENSITY: "flux density",
    INDUCTANCE: "inductance",
    LENGTH**2: "area",
    LENGTH**3: "volume",
    LENGTH / TIME: "speed",
    VOLTAGE / TIME: "slew rate",
    VOLTAGE / LENGTH: "field strength",
    RESISTANCE / LENGTH: "resistance per length",
    RESISTANCE * LENGTH: "resistivity",
    TEMPERATURE / POWER: "thermal resistance",
}
