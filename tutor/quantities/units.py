"""Reading units: the one door to `Dimension`, `Unit`, their constants, and units as people write them.

Magnitudes are coherent everywhere else; a prefix exists only in a `WrittenUnit`, on its way in or out. m and
M are never guessed: "MA" is a megaampere, and marking names the slip.
"""

import difflib
import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from tutor.quantities import spellings
from tutor.quantities.dimensions import DIMENSIONLESS, Dimension, Exponent, product_of
from tutor.quantities.errors import UnitError
from tutor.quantities.lookalikes import tidied
from tutor.quantities.trade_units import (
    AMPERE,
    AMPERE_PER_VOLT,
    CELSIUS,
    COULOMB,
    DECIBEL,
    DEGREE,
    FARAD,
    HENRY,
    HERTZ,
    JOULE,
    KELVIN,
    KILOGRAM,
    METRE,
    NEWTON,
    OHM,
    RADIAN,
    RADIAN_PER_SECOND,
    RATIO,
    SECOND,
    SIEMENS,
    TESLA,
    VOLT,
    VOLT_AMPERE,
    WATT,
    WEBER,
    Unit,
    coherent_unit,
)

__all__ = [
    "AMPERE",
    "AMPERE_PER_VOLT",
    "CELSIUS",
    "COULOMB",
    "DECIBEL",
    "DEGREE",
    "DIMENSIONLESS",
    "FARAD",
    "HENRY",
    "HERTZ",
    "JOULE",
    "KELVIN",
    "KILOGRAM",
    "METRE",
    "NEWTON",
    "OHM",
    "RADIAN",
    "RADIAN_PER_SECOND",
    "RATIO",
    "SECOND",
    "SIEMENS",
    "TESLA",
    "VOLT",
    "VOLT_AMPERE",
    "WATT",
    "WEBER",
    "Dimension",
    "Unit",
    "WrittenUnit",
    "coherent_unit",
    "power_of_ten",
    "read_unit",
]

LONGEST_UNIT = 40
"""Characters; nothing longer is looked at as a unit."""


@dataclass(frozen=True, slots=True)
class WrittenUnit:
    """A unit as it stands on a page, with its prefix.

    Attributes:
        text: As written ("kΩ", "mA/V", "%").
        factor: Size of the written unit in coherent units (1e3 for kΩ, 0.01 for %).
        unit: The coherent unit behind it.
        prefixed: Whether the text carries a prefix ("kΩ", "mfd"; not "Ω", "%" or "minutes").
    """

    text: str
    factor: float
    unit: Unit
    prefixed: bool = field(default=False, compare=False)


_POWERS = {float(f"1e{power}"): power for power in range(-90, 91)}


def power_of_ten(factor: float) -> int | None:
    """Return n where the factor is exactly the number 10ⁿ, else None (a minute is 60 s)."""
    return _POWERS.get(factor)


def read_unit(text: str) -> WrittenUnit:
    """Read a unit as people write it.

    Understood are all SI prefixes, µ, μ and u alike, products, quotients and powers ("mA/V", "V/µs", "Ω·F",
    "V²"), names in words ("millivolts", "kilohms", "degrees") and the spellings of old service sheets ("mfd",
    "mmfd", "kc/s", "mho"). "" is a plain ratio.

    Args:
        text: The unit alone, without a number.

    Returns:
        The unit with its factor to the coherent one; `text` is kept as written.

    Raises:
        UnitError: If it is not known; names those that look like it.
    """
    if len(text) > LONGEST_UNIT:
        raise UnitError(text)
    return _read_unit(text)


@lru_cache(maxsize=1024)
def _read_unit(text: str) -> WrittenUnit:
    tidy = tidied(text)
    found = _look_up(tidy) or _compound(tidy)
    if found is None:
        raise UnitError(text, _near(tidy))
    factor, unit, prefixed = found
    return WrittenUnit(text.strip(), factor, unit, prefixed)


_Found = tuple[float, Unit, bool]


def _sized(power: int, unit: Unit, prefixed: bool) -> _Found:
    # The number nearest to 10ⁿ is the one its text stands for; 10.0**n need not be.
    return float(f"1e{power}"), unit, prefixed


def _look_up(text: str) -> _Found | None:
    """Find a single unit, with its prefix, in the tables."""
    for table in (spellings.UNPREFIXED, spellings.SYMBOLS):
        if text in table:
            return _sized(*table[text], False)
    if text in spellings.OLD_SPELLINGS:
        return _sized(*spellings.OLD_SPELLINGS[text], True)
    for way in (_prefixed_symbol, _old_frequency, _in_words, _forgiven, _spaced):
        found = way(text)
        if found is not None:
            return found
    return None


def _prefix_power(prefix: str) -> int | None:
    power = spellings.PREFIXES.get(prefix)
    return spellings.PREFIX_STAND_INS.get(prefix) if power is None else power


def _prefixed_symbol(text: str) -> _Found | None:
    for length in (1, 2):
        power, rest = _prefix_power(text[:length]), spellings.SYMBOLS.get(text[length:])
        if power is not None and rest is not None:
            return _sized(power + rest[0], rest[1], True)
    return None


def _old_frequency(text: str) -> _Found | None:
    """Find cycles per second, which as a quotient would be something per second squared."""
    for ending in spellings.PER_SECOND:
        if text.endswith(ending):
            cycles = text.removesuffix(ending)
            power = spellings.CYCLES.get(cycles if len(cycles) <= 2 else cycles.lower())
            return None if power is None else _sized(power, HERTZ, power != 0)
    return None


def _in_words(text: str) -> _Found | None:
    word = text.lower()
    if word in spellings.WORDS:
        return _sized(0, spellings.WORDS[word], False)
    if word in spellings.ELIDED:
        return _sized(*spellings.ELIDED[word], True)
    if word in spellings.LONG_TIMES:
        return spellings.LONG_TIMES[word], SECOND, False
    if len(word) > 2 and word in spellings.UNPREFIXED:
        return _sized(*spellings.UNPREFIXED[word], False)
    for prefix, power in spellings.PREFIX_WORDS.items():
        if word.startswith(prefix):
            rest = spellings.WORDS.get(word.removeprefix(prefix).lstrip(" -"))
            if rest is not None:
                return _sized(power, rest, True)
    symbol, rest = _prefix_power(text[:1]), spellings.WORDS.get(word[1:])
    return None if symbol is None or rest is None else _sized(symbol, rest, True)


def _forgiven(text: str) -> _Found | None:
    """Find a symbol typed in the wrong case, where no other unit can be meant."""
    whole = spellings.FORGIVEN.get(text.lower())
    if whole is not None:
        return _sized(*(spellings.SYMBOLS.get(whole) or spellings.UNPREFIXED[whole]), False)
    if text[:1] not in spellings.WORKSHOP_PREFIXES:
        return None
    return _prefixed_symbol(text[:1] + spellings.FORGIVEN.get(text[1:].lower(), "?"))


def _spaced(text: str) -> _Found | None:
    """Find a prefix written apart from its unit: "k Ω", "M ohm", "milli V"."""
    prefix, _, rest = text.partition(" ")
    power = spellings.BARE_PREFIXES.get(prefix) or spellings.PREFIX_WORDS.get(prefix.lower())
    if power is None or " " in rest or rest.lower() in spellings.UNPREFIXED:
        return None
    found = _look_up(rest)
    if found is None or found[2]:
        return None
    own = power_of_ten(found[0])
    return None if own is None else _sized(power + own, found[1], True)


# The stroke of a power such as ^(3/2) divides no units.
_QUOTIENT = re.compile(r" ?/(?![0-9]+\)) ?| per ")
_PRODUCT = re.compile(r" ?[·*] ?")
_POWERED = re.compile(r"([^^ ]+) ?\^ ?(?:\((-?[0-9])/([1-9])\)|(-?[0-9](?:\.[0-9]{1,3})?))")

_Term = tuple[_Found, Fraction]


def _compound(text: str) -> _Found | None:
    """Read a product or quotient of units, or a unit with a power; None where it is neither."""
    sides = _QUOTIENT.split(text)
    if len(sides) > 2:
        return None
    above = [] if len(sides) == 2 and sides[0] in ("", "1") else _terms(sides[0], 1)
    below = _terms(sides[1], -1) if len(sides) == 2 else []
    return None if above is None or below is None else _multiplied(above + below)


def _terms(side: str, sign: int) -> list[_Term] | None:
    """Read the units on one side of a stroke; None where one is unknown or the grouping is unclear."""
    bracketed = side.startswith("(") and side.endswith(")")
    names = _PRODUCT.split(side[1:-1] if bracketed else side)
    if sign < 0 and len(names) > 1 and not bracketed:
        return None  # A/V·s may be (A/V)·s or A/(V·s).
    terms = [_term(name, sign) for name in names]
    known = [term for term in terms if term is not None]
    return known if len(known) == len(terms) else None


def _term(name: str, sign: int) -> _Term | None:
    power = Fraction(sign)
    powered = _POWERED.fullmatch(name)
    if powered is not None:
        name, top, foot, plain = powered.groups()
        power *= Fraction(int(top), int(foot)) if plain is None else Fraction(plain)
    found = _look_up(name) if name else None
    return None if found is None else (found, power)


def _multiplied(terms: list[_Term]) -> _Found | None:
    """Multiply units with their powers; None where a decibel or an angle would lose its meaning."""
    dimension, kind, powers, tens, other = DIMENSIONLESS, "", dict[str, Exponent](), Fraction(0), 1.0
    for (factor, unit, _), power in terms:
        if unit.kind == RADIAN.kind and power == 1:
            kind = unit.kind
        elif unit.kind not in ("", CELSIUS.kind):  # °C in a quotient is a difference, so a kelvin.
            return None
        dimension *= unit.dimension**power
        powers[unit.symbol] = powers.get(unit.symbol, 0) + power
        own = power_of_ten(factor)
        if own is None:
            other *= factor ** float(power)
        else:
            tens += own * power
    if tens.denominator != 1 or abs(tens) > 90:
        return None  # Nobody writes the root of a kilovolt, or a yottametre to the ninth.
    powers.pop(RATIO.symbol, None)
    plain = dimension == DIMENSIONLESS and not kind
    unit = RATIO if plain else Unit(product_of(powers), dimension, kind)
    factor = float(f"1e{tens}") * other
    return (factor, unit, any(found[2] for found, _ in terms)) if 0 < factor < math.inf else None


_NEAR_SYMBOLS = (
    "V", "mV", "kV", "A", "mA", "µA", "Ω", "kΩ", "MΩ", "F", "µF", "nF", "pF", "H", "mH", "W", "mW", "Hz",
    "kHz", "MHz", "s", "ms", "µs", "S", "mS", "mA/V", "VA", "dB", "%", "°",
)  # fmt: skip


@lru_cache(maxsize=1)
def _near_words() -> tuple[str, ...]:
    prefixes = ("", "milli", "micro", "kilo", "mega", "nano", "pico")
    plurals = [word for word in spellings.WORDS if word.endswith("s")]
    others = [word for word in (*spellings.ELIDED, *spellings.UNPREFIXED, *spellings.LONG_TIMES) if len(word) > 2]
    return (*(prefix + word for prefix in prefixes for word in plurals), *others)


def _near(text: str) -> tuple[str, ...]:
    """Return a known word and a known symbol that look like the text; nothing for what is no slip."""
    if not 0 < len(text) <= 20:
        return ()
    symbols = difflib.get_close_matches(text, _NEAR_SYMBOLS, n=1, cutoff=0.6)
    words = difflib.get_close_matches(text.lower(), _near_words(), n=1, cutoff=0.75)
    return tuple(dict.fromkeys(words + symbols))
