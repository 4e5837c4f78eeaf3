"""Codes printed on parts: colour bands, letter codes and the three figures of capacitors.

Source: IEC 60062, Marking codes for resistors and capacitors (2016, amended 2019). From memory of it are the
letters of the tolerances 0.005, 0.01, 0.02, 3 and 30 %, the absolute ±1 pF and ±2 pF of small capacitors, and
the colours of temperature coefficients. The three-figure code of capacitors is common practice, no source. On
old valve equipment only gold, silver and no band occur as tolerances; body-end-dot marking is not covered.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Context
from typing import TypeVar

from tutor.quantities.errors import CodeError, one_of
from tutor.quantities.lookalikes import tidied
from tutor.quantities.tolerance import Tolerance
from tutor.quantities.units import FARAD, OHM, Unit

DIGITS: dict[str, int] = {
    "black": 0, "brown": 1, "red": 2, "orange": 3, "yellow": 4, "green": 5, "blue": 6, "violet": 7, "grey": 8,
    "white": 9,
}  # fmt: skip
"""Colour to figure."""

MULTIPLIERS: dict[str, int] = {**DIGITS, "gold": -1, "silver": -2, "pink": -3}
"""Colour to power of ten."""

TOLERANCE_COLOURS: dict[str, float] = {
    "brown": 0.01, "red": 0.02, "orange": 0.0005, "yellow": 0.0002, "green": 0.005, "blue": 0.0025,
    "violet": 0.001, "grey": 0.0001, "gold": 0.05, "silver": 0.1, "none": 0.2,
}  # fmt: skip
"""Colour to tolerance as a ratio; orange, yellow and grey have these meanings since 2016."""

TEMPERATURE_COLOURS: dict[str, float] = {
    "black": 250e-6, "brown": 100e-6, "red": 50e-6, "orange": 15e-6, "yellow": 25e-6, "green": 20e-6,
    "blue": 10e-6, "violet": 5e-6, "grey": 1e-6,
}  # fmt: skip
"""Colour of a sixth band to temperature coefficient in 1/K."""

TOLERANCE_LETTERS: dict[str, float] = {
    "A": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005, "F": 0.01, "G": 0.02, "J": 0.05, "K": 0.1, "M": 0.2,
    "E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005, "H": 0.03, "N": 0.3,
}  # fmt: skip
"""Letter to tolerance as a ratio. K and M are multipliers too: only the place tells."""

SMALL_CAPACITOR_LETTERS: dict[str, float] = {
    "B": 0.1e-12,
    "C": 0.25e-12,
    "D": 0.5e-12,
    "F": 1e-12,
    "G": 2e-12,
}
"""Letter to absolute tolerance in farads, below 10 pF."""

RESISTANCE_LETTERS: dict[str, int] = {"L": -3, "R": 0, "K": 3, "M": 6, "G": 9, "T": 12}
CAPACITANCE_LETTERS: dict[str, int] = {"p": -12, "n": -9, "µ": -6, "m": -3, "F": 0}

_FIGURES = Context(prec=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """What a code says of a part.

    Attributes:
        value: Nominal value in the coherent unit.
        unit: `OHM` or `FARAD`.
        tolerance: Spread of the nominal value; None where the code does not say.
        temperature_coefficient: In 1/K; None where the code does not say.
    """

    value: float
    unit: Unit
    tolerance: Tolerance | None = None
    temperature_coefficient: float | None = None


def read_bands(colours: Sequence[str]) -> Marking:
    """Read the colour bands of a resistor, beginning at the end with the first figure.

    Args:
        colours: Three bands (20 %), four, five, or six with a temperature coefficient; English colour names,
            with "none" for a missing tolerance band.

    Raises:
        CodeError: If there are too few or too many bands, or a colour that cannot stand in its place.
    """
    shown = " ".join(colours)
    bands = [_colour(colour, shown) for colour in colours]
    if not 3 <= len(bands) <= 6:
        raise CodeError(shown, f"a resistor has three to six bands, not {len(bands)}")
    if bands[0] == "black":
        raise CodeError(shown, "the first band is never black; begin at the other end")
    figure_count = 2 if len(bands) <= 4 else 3
    figures = [_meaning(DIGITS, band, "figure", shown) for band in bands[:figure_count]]
    multiplier = _meaning(MULTIPLIERS, bands[figure_count], "multiplier", shown)
    spread = bands[figure_count + 1] if len(bands) > 3 else "none"
    coefficient = _meaning(TEMPERATURE_COLOURS, bands[5], "temperature coefficient", shown) if bands[5:] else None
    return Marking(
        value=float(f"{''.join(map(str, figures))}e{multiplier}"),
        unit=OHM,
        tolerance=Tolerance(relative=_meaning(TOLERANCE_COLOURS, spread, "tolerance", shown)),
        temperature_coefficient=coefficient,
    )


def write_bands(
    resistance: float,
    tolerance: float = 0.05,
    *,
    count: int | None = None,
    temperature_coefficient: float | None = None,
) -> tuple[str, ...]:
    """Return the colour bands of a resistor.

    Args:
        resistance: Nominal value [Ω].
        tolerance: Ratio; one of `TOLERANCE_COLOURS`.
        count: Bands wanted; None for the fewest that say everything.
        temperature_coefficient: In 1/K for a sixth band; one of `TEMPERATURE_COLOURS`.

    Raises:
        CodeError: If the bands cannot say it.
    """
    shown = f"{resistance:.12g} Ω"
    digits, power = _significant(resistance, shown)
    if count is None:
        fewest = 3 if tolerance == TOLERANCE_COLOURS["none"] else 4
        count = 6 if temperature_coefficient is not None else 5 if len(digits) > 2 else fewest
    if not 3 <= count <= 6:
        raise CodeError(shown, f"a resistor has three to six bands, not {count}")
    wanted = 2 if count <= 4 else 3
    if len(digits) > wanted:
        raise CodeError(shown, f"{count} bands hold {wanted} figures, the value has {len(digits)}")
    multiplier = power - (wanted - len(digits))
    bands = [_saying(DIGITS, int(digit), "figure", shown) for digit in digits.ljust(wanted, "0")]
    bands.append(_saying(MULTIPLIERS, multiplier, "multiplier", shown))
    spread = _saying(TOLERANCE_COLOURS, tolerance, "tolerance", shown)
    if count == 3 and spread != "none":
        raise CodeError(shown, "three bands are always 20 %")
    bands += [spread] if count > 3 else []
    if count == 6:
        if temperature_coefficient is None:
            raise CodeError(shown, "a sixth band needs a temperature coefficient")
        bands.append(_saying(TEMPERATURE_COLOURS, temperature_coefficient, "temperature coefficient", shown))
    return tuple(bands)


_LETTER_CODE = re.compile(r"([0-9]{0,6})([LRKkMGTpnuµmF])([0-9]{0,6})([A-Z]?)")


def read_letter_code(code: str) -> Marking:
    """Read a letter and digit code: "4K7", "R47", "47KJ", "2n5", "p33".

    The letter stands for the decimal point and gives the multiplier; capitals are resistances, small letters
    and F capacitances (k is taken for K, u for µ). A letter at the end, after the value is complete, is the
    tolerance.

    Raises:
        CodeError: If it is no such code, or its last letter can mean two things.
    """
    found = _LETTER_CODE.fullmatch(tidied(code[:20]))
    if found is None or not found[1] + found[3] or len(code) > 20:
        raise CodeError(code, "expected figures with one letter at the decimal point, for example 4K7 or 2n2")
    whole, letter, after, spread = found.groups()
    letter = {"k": "K", "u": "µ"}.get(letter, letter)
    unit, power = (
        (OHM, RESISTANCE_LETTERS[letter]) if letter in RESISTANCE_LETTERS else (FARAD, CAPACITANCE_LETTERS[letter])
    )
    if unit == FARAD and spread == "F":
        raise CodeError(code, "F at the end may mean the farad or 1 %; leave it out")
    value = float(f"{whole or '0'}.{after or '0'}e{power}")
    return Marking(value=value, unit=unit, tolerance=_letter_tolerance(spread, value, unit, code))


def write_letter_code(value: float, unit: Unit, tolerance: float | None = None) -> str:
    """Return the letter and digit code of a value: 4700 Ω is "4K7", 0.47 Ω "R47", 2.2 nF "2n2".

    Args:
        value: Nominal value in the coherent unit.
        unit: `OHM` or `FARAD`.
        tolerance: Ratio, one of `TOLERANCE_LETTERS`; None leaves it out.

    Raises:
        CodeError: If the unit, the size or the number of figures is beyond the code.
    """
    shown = f"{value:.12g} {unit.symbol}".strip()
    letters = {"Ω": RESISTANCE_LETTERS, "F": CAPACITANCE_LETTERS}.get(unit.symbol)
    if letters is None:
        raise CodeError(shown, "the code is for ohms and farads")
    digits, power = _significant(value, shown)
    leading = power + len(digits) - 1
    letter, multiplier = _letter_for(letters, leading)
    point = leading - multiplier + 1
    if len(digits) > 5 or not -1 <= point <= 3:
        raise CodeError(shown, "the code holds five figures, from milliohms to teraohms or picofarads to farads")
    whole, after = digits[: max(point, 0)].ljust(point, "0"), "0" * -point + digits[max(point, 0) :]
    spread = "" if tolerance is None else _saying(TOLERANCE_LETTERS, tolerance, "tolerance", shown)
    if spread in SMALL_CAPACITOR_LETTERS and unit == FARAD and (value < 10e-12 or spread == "F"):
        raise CodeError(shown, "there the letter of that tolerance means something else")
    return f"{whole}{letter}{after}{spread}"


_FIGURE_CODE = re.compile(r"(?:([0-9]{2})([0-9])|([0-9]{0,2})R([0-9]{1,2}))([A-Z]?)")
_FIGURE_POWERS = {8: -2, 9: -1}


def read_capacitor_figures(code: str) -> Marking:
    """Read the three-figure code of a capacitor: "104" is 100 nF, "473K" 47 nF 10 %, "479" or "4R7" 4.7 pF.

    Two figures and the power of ten in picofarads; 8 and 9 as the third mean a hundredth and a tenth.

    Raises:
        CodeError: If it is no such code.
    """
    found = _FIGURE_CODE.fullmatch(tidied(code[:20]))
    if found is None or len(code) > 20:
        raise CodeError(code, "expected two figures and a power of ten, for example 104")
    figures, third, whole, after, spread = found.groups()
    if third is None:
        value = float(f"{whole or '0'}.{after}e-12")
    else:
        value = float(f"{figures}e{_FIGURE_POWERS.get(int(third), int(third)) - 12}")
    return Marking(value=value, unit=FARAD, tolerance=_letter_tolerance(spread, value, FARAD, code))


def write_capacitor_figures(capacitance: float) -> str:
    """Return the three-figure code of a capacitance [F]: 100 nF is "104", 4.7 pF "479".

    Raises:
        CodeError: If it has more than two figures or lies outside 0.1 pF … 990 µF.
    """
    shown = f"{capacitance:.12g} F"
    digits, power = _significant(capacitance, shown)
    third = power - (2 - len(digits)) + 12
    if len(digits) > 2 or not -2 <= third <= 7:
        raise CodeError(shown, "the code holds two figures, from 0.1 pF to 990 µF")
    return f"{digits.ljust(2, '0')}{third % 10}"


def _colour(name: str, shown: str) -> str:
    colour = {"gray": "grey", "purple": "violet"}.get(name.strip().lower(), name.strip().lower())
    if colour not in MULTIPLIERS and colour != "none":
        raise CodeError(shown, f"{name[:20]!r} is no colour of the code")
    return colour


_Meaning = TypeVar("_Meaning", int, float)


def _meaning(table: dict[str, _Meaning], band: str, role: str, shown: str) -> _Meaning:
    meaning = table.get(band)
    if meaning is None:
        raise CodeError(shown, f"{band} has no meaning as {role}; perhaps begin at the other end")
    return meaning


def _saying(table: dict[str, _Meaning], meaning: _Meaning, role: str, shown: str) -> str:
    """Return the first name in a table that has a meaning."""
    for name, each in table.items():
        if math.isclose(each, meaning, rel_tol=1e-9):
            return name
    known = one_of([f"{each:g}" for each in sorted(set(table.values()))])
    raise CodeError(shown, f"no code for a {role} of {meaning:g}; known are {known}")


def _significant(value: float, shown: str) -> tuple[str, int]:
    """Return the significant digits of a value and the power of ten behind them: 4700 is ("47", 2)."""
    if not 0 < value < math.inf:
        raise CodeError(shown, "a part has a positive value")
    _, digits, power = _FIGURES.create_decimal(repr(float(value))).normalize(_FIGURES).as_tuple()
    assert isinstance(power, int)  # a finite decimal
    return "".join(map(str, digits)), power


def _letter_for(letters: dict[str, int], leading: int) -> tuple[str, int]:
    """Choose the letter for a value whose first digit stands at a power of ten; R47 rather than 470L."""
    fitting = [(letter, power) for letter, power in letters.items() if power <= leading]
    letter, power = max(fitting, key=lambda each: each[1], default=min(letters.items(), key=lambda e: e[1]))
    return ("R", 0) if letter == "L" and leading == -1 else (letter, power)


def _letter_tolerance(letter: str, value: float, unit: Unit, code: str) -> Tolerance | None:
    if not letter:
        return None
    if unit == FARAD and value < 10e-12 and letter in SMALL_CAPACITOR_LETTERS:
        return Tolerance(absolute=SMALL_CAPACITOR_LETTERS[letter], kind=FARAD)
    if letter not in TOLERANCE_LETTERS:
        known = one_of(sorted(TOLERANCE_LETTERS))
        raise CodeError(code, f"{letter} is no tolerance; known are {known}")
    return Tolerance(relative=TOLERANCE_LETTERS[letter])
