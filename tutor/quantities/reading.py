"""Reading what people type for a value: numbers in every usual notation, with or without a unit.

Accepted and refused forms stand in tables in the tests. What can mean two things is refused with both
meanings named; nothing is guessed. No locale is consulted, and hostile text costs no more than honest text:
whatever is longer than `LONGEST` characters is refused at once, and every pattern is linear.
"""

import math
import re
from dataclasses import dataclass
from typing import NamedTuple

from tutor.quantities.errors import QuantityFormatError, UnitError, one_of
from tutor.quantities.lookalikes import tidied
from tutor.quantities.numerals import Numeral, NumeralError, read_numeral
from tutor.quantities.quantity import Quantity
from tutor.quantities.spellings import BARE_PREFIXES, SAID_ASIDE
from tutor.quantities.units import (
    AMPERE,
    AMPERE_PER_VOLT,
    FARAD,
    HENRY,
    HERTZ,
    KELVIN,
    METRE,
    OHM,
    RATIO,
    SECOND,
    SIEMENS,
    VOLT,
    WATT,
    Unit,
    WrittenUnit,
    power_of_ten,
    read_unit,
)

LONGEST = 100
"""Characters that are looked at; a longer text is refused unread."""

SMALLEST, LARGEST = 1e-290, 1e290
"""Magnitudes outside are refused: nothing in a circuit is like that, and arithmetic on them overflows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a typed text was understood to mean.

    Attributes:
        quantity: Magnitude and coherent unit.
        text: As typed.
        last_figure: Worth of one unit in the last typed place, in the coherent unit: 0.1 for "68.2 V", 100
            for "4k7", 1 for "1500". The typed figure stands for anything within half of it either way.
        figures: Significant figures typed; trailing noughts of a whole number do not count.
        unit_written: Whether the text carried a unit or a prefix.
        prefix_written: Whether the text carried a prefix ("68k", "4k7", "68 kΩ", "50 mfd").
        aside: What was said beside the unit: "rms", "peak", "peak to peak", "dc", "ac" or "".
    """

    quantity: Quantity
    text: str
    last_figure: float
    figures: int
    unit_written: bool
    prefix_written: bool
    aside: str = ""


def read_quantity(text: str, printed: WrittenUnit | None = None) -> Reading:
    """Read a value as people type it.

    With a printed unit a bare number is in that unit with its prefix ("4.7" beside kΩ is 4700 Ω), and a bare
    prefix goes with the coherent unit behind it, not on top of its prefix ("4.7k" beside kΩ is 4700 Ω too). A
    unit that is written stands as written, whatever is printed: marking decides what that is worth.

    Without a printed unit a bare number is a plain ratio; letter codes and bare prefixes follow the trade's
    habit: R, k, M and G mean ohms ("4k7", "R47", "47k", "2.2 meg"), p, n and µ farads ("2n2", "10p"). A lone
    m is then the metre, K as in "47 K" a thousand ohms; a temperature is written "300 kelvin".

    Args:
        text: As typed.
        printed: The unit that stands beside the field, if any.

    Returns:
        The reading, in coherent units.

    Raises:
        QuantityFormatError: If the text is no single number with a known unit, can mean two things, is longer
            than `LONGEST` characters, or lies outside 1e-290 … 1e290.
    """
    if len(text) > LONGEST:
        raise _refusal(text, f"it is longer than {LONGEST} characters", printed)
    try:
        return _read(text, printed)
    except NumeralError as fault:
        raise _refusal(text, fault.reason, printed, fault.example) from None


def read_number_with_unit(text: str, *, unit_required: bool = False) -> Quantity:
    """Read a value as it stands in a file ("220 kΩ", "2 %", "47").

    Args:
        text: The scalar as written.
        unit_required: Whether a plain number is refused.

    Raises:
        QuantityFormatError: As `read_quantity`, and if a required unit is missing.
    """
    reading = read_quantity(text)
    if unit_required and not reading.unit_written:
        raise QuantityFormatError(text, "the unit is missing", f"{text.strip()} V")
    return reading.quantity


def _refusal(text: str, reason: str, printed: WrittenUnit | None, number: str = "") -> QuantityFormatError:
    """Return the error with an example that would be read in the same place."""
    if printed is None:
        return QuantityFormatError(text, reason, number or "3.3 kΩ")
    close = "" if printed.text.startswith("°") else " "
    return QuantityFormatError(text, reason, f"{number or '3.3'}{close}{printed.text}".rstrip())


_BEGINNING = re.compile(
    r"(?:(?:=|~|≈|about\b|approx\b\.?|approximately\b|around\b|roughly\b|circa\b|ca\b\.?) ?){0,2}"
    r"(?P<sign>[+-]|minus\b|plus\b)? ?",
    re.IGNORECASE,
)
# The letter stands for the decimal point (IEC 60062). V is the habit of Zener diodes: 5V6.
_CODE = re.compile(r"(?P<whole>[0-9]{0,9})(?P<letter>[RrkKMGVFmµuUnp])(?P<after>[0-9]{1,9})(?![0-9.,])")
_NEVER_FIRST = "VFm"
"""Letters that begin no code: V1 is a valve, F1 a fuse."""
_CODED_UNITS = (OHM, FARAD, HENRY, VOLT, AMPERE, AMPERE_PER_VOLT, WATT, HERTZ, SECOND, SIEMENS)
"""What may follow a code; a J or K there is rather the tolerance letter of a part."""
_RATIO = re.compile(r" ?(?::|\bto\b) ?")
_ASIDES = tuple((re.compile(rf"(.*?) ?(?:{pattern})", re.IGNORECASE), name) for pattern, name in SAID_ASIDE)


class _Found(NamedTuple):
    """A reading without its sign and text."""

    magnitude: float
    last_figure: float
    figures: int
    unit: Unit
    unit_written: bool = True
    prefix_written: bool = False
    aside: str = ""


def _read(text: str, printed: WrittenUnit | None) -> Reading:
    tidy = tidied(text)
    if len(tidy) > 1:
        tidy = tidy.removesuffix(".")  # the full stop of a sentence
    beginning = _BEGINNING.match(tidy)
    sign = beginning["sign"] if beginning is not None else None
    core = tidy[beginning.end() :] if beginning is not None else tidy
    code = _CODE.match(core)
    if code is not None and (code["whole"] or code["letter"] not in _NEVER_FIRST):
        found = _coded(code, core[code.end() :].lstrip(" "), printed)
    else:
        numeral_and_rest = read_numeral(core)
        if numeral_and_rest is None:
            raise NumeralError(_why_no_number(tidy))
        numeral, rest = numeral_and_rest
        ratio = _RATIO.match(rest) if rest else None
        if ratio is not None:
            found = _ratio(numeral, rest[ratio.end() :], printed)
        else:
            found = _with_unit(numeral, rest.lstrip(" "), printed)
    negative = found.magnitude != 0 and sign is not None and sign.lower() in ("-", "minus")
    return Reading(
        quantity=Quantity(-found.magnitude if negative else found.magnitude, found.unit),
        text=text,
        last_figure=found.last_figure,
        figures=found.figures,
        unit_written=found.unit_written,
        prefix_written=found.prefix_written,
        aside=found.aside,
    )


def _why_no_number(tidy: str) -> str:
    if not tidy:
        return "nothing was typed"
    if tidy.startswith(("±", "+/-", "+-")):
        return "a spread is no value; type one number"
    return "expected a number, then a unit"


def _sized(numeral: Numeral, power: int, unit: Unit, *, prefixed: bool, aside: str = "") -> _Found:
    """Give a numeral its size, or refuse what no arithmetic can hold."""
    magnitude, last_figure = numeral.value(power), numeral.last_figure(power)
    nought = magnitude == 0 and not numeral.figures.strip("0.")
    if not (nought or SMALLEST <= magnitude <= LARGEST) or not 0 < last_figure < math.inf:
        raise NumeralError("no value in a circuit is that large or that small")
    return _Found(magnitude, last_figure, numeral.significant, unit, True, prefixed, aside)


def _in_written(numeral: Numeral, written: WrittenUnit, *, aside: str = "") -> _Found:
    power = power_of_ten(written.factor)
    if power is not None:
        return _sized(numeral, power, written.unit, prefixed=written.prefixed, aside=aside)
    found = _sized(numeral, 0, written.unit, prefixed=written.prefixed, aside=aside)
    return found._replace(magnitude=found.magnitude * written.factor, last_figure=found.last_figure * written.factor)


def _bare(numeral: Numeral, printed: WrittenUnit | None, aside: str = "") -> _Found:
    """Read a number without a unit: in the printed one, else a plain ratio."""
    found = _in_written(numeral, printed or _PLAIN, aside=aside)
    return found._replace(unit_written=False, prefix_written=False)


_PLAIN = WrittenUnit("", 1.0, RATIO)


def _with_unit(numeral: Numeral, rest: str, printed: WrittenUnit | None) -> _Found:
    if not rest:
        return _bare(numeral, printed)
    prefix = _bare_prefix(rest, printed)
    if prefix is not None:
        return _sized(numeral, *prefix, prefixed=True)
    try:
        return _in_written(numeral, read_unit(rest))
    except UnitError as fault:
        return _with_aside(numeral, rest, printed, fault)


def _bare_prefix(rest: str, printed: WrittenUnit | None) -> tuple[int, Unit] | None:
    """Return the power and the unit meant by a prefix that stands alone, None where it is no prefix."""
    power = BARE_PREFIXES.get(rest if len(rest) == 1 else rest.lower())
    if power is None:
        return None
    if printed is not None:
        of_the_unit = (rest == "m" and printed.unit == METRE) or (rest == "K" and printed.unit == KELVIN)
        return None if of_the_unit else (power, printed.unit)
    if rest == "m":
        return None
    if power == -3:
        raise NumeralError(f"the unit after {rest!r} is missing")
    return power, OHM if power > 0 else FARAD


def _with_aside(numeral: Numeral, rest: str, printed: WrittenUnit | None, fault: UnitError) -> _Found:
    """Read a unit with a remark behind it ("V rms", "Vpp"), or say why the rest is no unit."""
    for pattern, aside in _ASIDES:
        remark = pattern.fullmatch(rest)
        if remark is None:
            continue
        if not remark[1]:
            return _bare(numeral, printed, aside)
        try:
            return _in_written(numeral, read_unit(remark[1]), aside=aside)
        except UnitError:
            break
    raise NumeralError(_why_no_unit(rest, fault)) from fault


def _why_no_unit(rest: str, fault: UnitError) -> str:
    if rest.startswith("/"):
        return "a fraction is not worked out here; type a decimal number"
    if "±" in rest or "+/-" in rest:
        return "a spread is no value; type one number"
    if any(sign.isdigit() for sign in rest):
        return "there is more than one number in it"
    perhaps = f" (perhaps {one_of(fault.suggestions)} is meant)" if fault.suggestions else ""
    return f"{rest!r} is not a unit known here{perhaps}"


def _coded(code: re.Match[str], rest: str, printed: WrittenUnit | None) -> _Found:
    """Read a code whose letter stands for the decimal point: "4k7", "R47", "2n2 F"."""
    letter = code["letter"].upper() if code["letter"] in "ru" else code["letter"]
    numeral = Numeral(f"{code['whole']}.{code['after']}")
    own = {"R": OHM, "V": VOLT, "F": FARAD}.get(letter)
    power = 0 if own is not None else BARE_PREFIXES[letter]
    unit = own or (printed.unit if printed is not None else OHM if power > 0 else FARAD)
    if rest:
        try:
            written = read_unit(rest)
        except UnitError as fault:
            raise NumeralError(_why_no_unit(rest, fault)) from fault
        if written.factor != 1 or written.unit not in _CODED_UNITS or own not in (None, written.unit):
            raise NumeralError(f"{code[0]} is complete without {rest!r}")
        unit = written.unit
    return _sized(numeral, power, unit, prefixed=own is None)


def _ratio(first: Numeral, rest: str, printed: WrittenUnit | None) -> _Found:
    """Read "46.2:1" or "46 to 1" as a plain ratio; the 1 of it is exact."""
    if printed is not None and not printed.unit.fits(RATIO):
        raise NumeralError(f"a ratio is no {printed.unit.name}")
    numeral_and_rest = read_numeral(rest)
    if numeral_and_rest is None or numeral_and_rest[1]:
        raise NumeralError("there is more than one number in it")
    second = numeral_and_rest[0]
    above, below = _sized(first, 0, RATIO, prefixed=False), _sized(second, 0, RATIO, prefixed=False)
    if below.magnitude == 0:
        raise NumeralError("nothing can be divided by nought")
    typed = [term for term in (above, below) if term.magnitude != 1] or [above]
    magnitude = above.magnitude / below.magnitude
    spread = sum(term.last_figure / term.magnitude for term in typed if term.magnitude)
    if not (magnitude == 0 or SMALLEST <= magnitude <= LARGEST):
        raise NumeralError("no value in a circuit is that large or that small")
    last_figure = magnitude * spread if magnitude else above.last_figure / below.magnitude
    return _Found(magnitude, last_figure, min(term.figures for term in typed), RATIO)
