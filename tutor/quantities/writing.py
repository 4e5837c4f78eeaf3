"""Writing values for people, with the prefixes the trade uses.

250 V stays 250 V (not 0.25 kV), 1000 µF stays 1000 µF (no mF), 22 nF, 1.85 mA, 0.5 W, 1.6 mA/V. Numbers
carry a true minus and a no-break space before their unit. Everything written here is read back by `reading`.
"""

import math
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache

from tutor.quantities.dimensions import superscript
from tutor.quantities.units import RATIO, Unit, WrittenUnit, power_of_ten, read_unit

GAP = "\u00a0"
"""The no-break space between a number and its unit."""

MINUS = "\u2212"
EXACT_FIGURES = 12
"""Figures of an exact value; beyond them a float holds arithmetic noise, not data."""

NOT_A_NUMBER = "not a number"
INFINITE = "infinite"

# Given to every operation, so that no decimal context set elsewhere changes what is written.
_EXACT = Context(prec=EXACT_FIGURES, rounding=ROUND_HALF_UP)

# From which magnitude on which unit is written, largest first; the last serves everything smaller. Where the
# trade's habit differs from steps of a thousand it is common practice, no source.
_LADDERS: dict[str, tuple[tuple[str, str], ...]] = {
    "V": (("1e4", "kV"), ("1", "V"), ("1e-3", "mV"), ("1e-6", "µV"), ("0", "nV")),
    "A": (("1e4", "kA"), ("1", "A"), ("1e-3", "mA"), ("1e-6", "µA"), ("1e-9", "nA"), ("0", "pA")),
    "Ω": (("1e9", "GΩ"), ("1e6", "MΩ"), ("1e3", "kΩ"), ("0.1", "Ω"), ("1e-4", "mΩ"), ("0", "µΩ")),
    # 10 000 µF is still written so: capacitors are not sold in millifarads.
    "F": (("1", "F"), ("1.1e-2", "mF"), ("1e-6", "µF"), ("1e-9", "nF"), ("0", "pF")),
    "H": (("1", "H"), ("1e-3", "mH"), ("1e-6", "µH"), ("0", "nH")),
    "W": (("1e6", "MW"), ("1e3", "kW"), ("0.1", "W"), ("1e-4", "mW"), ("1e-7", "µW"), ("0", "nW")),
    "VA": (("1e3", "kVA"), ("0.1", "VA"), ("0", "mVA")),
    "Hz": (("1e9", "GHz"), ("1e6", "MHz"), ("1e3", "kHz"), ("0.1", "Hz"), ("0", "mHz")),
    "s": (("1", "s"), ("1e-3", "ms"), ("1e-6", "µs"), ("1e-9", "ns"), ("0", "ps")),
    "S": (("1", "S"), ("1e-3", "mS"), ("1e-6", "µS"), ("0", "nS")),
    "A/V": (("1", "A/V"), ("1e-4", "mA/V"), ("0", "µA/V")),
    "V/A": (("1e6", "MV/A"), ("1e3", "kV/A"), ("0.1", "V/A"), ("0", "mV/A")),
    "Ω/V": (("1e6", "MΩ/V"), ("1e3", "kΩ/V"), ("0", "Ω/V")),
    "V/s": (("1e5", "V/µs"), ("1e2", "V/ms"), ("0", "V/s")),
    "J": (("1e6", "MJ"), ("1e3", "kJ"), ("0.1", "J"), ("1e-4", "mJ"), ("0", "µJ")),
    "C": (("1", "C"), ("1e-3", "mC"), ("1e-6", "µC"), ("1e-9", "nC"), ("0", "pC")),
    "m": (("1e3", "km"), ("0.1", "m"), ("1e-3", "mm"), ("0", "µm")),
    "Wb": (("1", "Wb"), ("1e-3", "mWb"), ("0", "µWb")),
    "T": (("0.1", "T"), ("0", "mT")),
    # "300 K" would be read as a resistance: K after a number is a thousand ohms in the trade.
    "K": (("0", "kelvin"),),
}


def show(value: float, unit: Unit, figures: int = 3, *, trim: bool = True) -> str:
    """Write a value for people, rounded.

    Args:
        value: Magnitude in the coherent unit.
        unit: The coherent unit.
        figures: Significant figures kept.
        trim: Whether noughts at the end of a decimal are dropped ("61.50" → "61.5", "4.00" → "4").

    Returns:
        Number, no-break space and unit: "68.2 V", "220 kΩ", "1.85 mA", "−3°". "not a number" for nan.
    """
    if not math.isfinite(value):
        return _no_number(value)
    rounded = _rounded(value, figures)
    written = _best(rounded, unit)
    return _joined(_digits(rounded, written, figures=None if trim else figures), written)


def show_exact(value: float, unit: Unit) -> str:
    """Write a value with every figure it has, up to twelve: "62.5 kΩ", "1.85 mA", "253 V".

    `read_quantity` gives the value back.
    """
    return show(value, unit, EXACT_FIGURES)


def show_in(value: float, written: WrittenUnit, figures: int = 3, *, trim: bool = True) -> str:
    """Write a value in a given printed unit: 68 200 in kΩ is "68.2 kΩ", 0.02 in % is "2 %".

    Args:
        value: Magnitude in the coherent unit.
        written: The printed unit, with its prefix.
        figures: Significant figures kept.
        trim: Whether noughts at the end of a decimal are dropped.
    """
    if not math.isfinite(value):
        return _no_number(value)
    return _joined(number_in(value, written, figures, trim=trim), written)


def number_in(value: float, written: WrittenUnit, figures: int = 3, *, trim: bool = True) -> str:
    """Write the number alone, for a field or column beside which the unit is printed: "68.2"."""
    if not math.isfinite(value):
        return _no_number(value)
    if power_of_ten(written.factor) is None:
        value, written = value / written.factor, _UNSCALED
    return _digits(_rounded(value, figures), written, figures=None if trim else figures)


def best_prefix(value: float, unit: Unit) -> WrittenUnit:
    """Return the unit with the prefix in which `show` writes the value; without one for nought and nan."""
    return _best(_rounded(value, EXACT_FIGURES), unit) if math.isfinite(value) else _coherent(unit)


def _no_number(value: float) -> str:
    if math.isnan(value):
        return NOT_A_NUMBER
    return INFINITE if value > 0 else f"{MINUS}{INFINITE}"


def _rounded(value: float, figures: int) -> Decimal:
    """Round to significant figures, halves away from nought as people do.

    By way of twelve figures, so that the last bit of a float, which may differ between machines, cannot
    decide whether 68.25 becomes 68.2 or 68.3.
    """
    exact = _EXACT.create_decimal(repr(float(value)))
    return Context(prec=max(figures, 1), rounding=ROUND_HALF_UP).plus(exact)


def _coherent(unit: Unit) -> WrittenUnit:
    return WrittenUnit(unit.symbol, 1.0, unit)


_UNSCALED = _coherent(RATIO)


@lru_cache(maxsize=256)
def _ladder(unit: Unit) -> tuple[tuple[Decimal, WrittenUnit], ...]:
    """Return the rungs of a unit; one rung, the coherent unit itself, for a unit without a ladder."""
    rungs = _LADDERS.get(unit.symbol)
    if rungs is None or unit.kind:
        return ((Decimal(0), _coherent(unit)),)
    return tuple((Decimal(bound), read_unit(text)) for bound, text in rungs)


def _best(value: Decimal, unit: Unit) -> WrittenUnit:
    """Choose the rung for a value that is already rounded, so that 0.9996 V is 1 V and never 1000 mV."""
    size = abs(value)
    ladder = _ladder(unit)
    chosen = next(written for bound, written in ladder if size >= bound)
    power = power_of_ten(chosen.factor)
    leading = size.adjusted() - (power or 0)
    # Off either end of the ladder a power of ten behind the coherent unit reads better than 0.000 01 pA.
    off_the_ladder = len(ladder) > 1 and (leading > 4 or leading < -3)
    return next(w for _, w in ladder if w.factor == 1) if not size or off_the_ladder else chosen


def _digits(value: Decimal, written: WrittenUnit, figures: int | None) -> str:
    """Write a rounded number in a unit; as "1.2 × 10⁶" where plain digits would be long.

    Args:
        value: Rounded, in the coherent unit.
        written: Its factor is a power of ten.
        figures: How many to show even if they are noughts; None drops noughts after the point.
    """
    if not value:
        return "0"
    scaled = value.scaleb(-(power_of_ten(written.factor) or 0), _EXACT)
    digits = scaled.normalize(_EXACT) if figures is None else scaled
    leading = digits.adjusted()
    if -4 <= leading <= 4:
        return _plain(digits, figures)
    mantissa = _plain(digits.scaleb(-leading, _EXACT), figures)
    power = f"10{superscript(leading)}"
    if mantissa in ("1", f"{MINUS}1"):
        return mantissa.replace("1", power)
    return f"{mantissa}{GAP}×{GAP}{power}"


def _plain(value: Decimal, figures: int | None) -> str:
    if figures is not None:
        last_place = min(value.adjusted() - figures + 1, 0)
        value = value.quantize(Decimal(1).scaleb(last_place, _EXACT), context=_EXACT)
    return f"{value:f}".replace("-", MINUS)


def _joined(number: str, written: WrittenUnit) -> str:
    if not written.text:
        return number
    return f"{number}{'' if written.text == '°' else GAP}{written.text}"
