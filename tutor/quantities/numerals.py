"""Reading the number of a quantity: separators, groups of figures and powers of ten.

A `Numeral` keeps the figures as typed, so that "1.50e3" is known to have three of them and "4.7" with a
prefix of 10⁻⁶ becomes the number 4.7e-6 itself. Every pattern is linear in the length of the text.
"""

import re
from typing import NamedTuple


class NumeralError(Exception):
    """Figures that are no number; caught by `reading`, which knows the whole text.

    Attributes:
        reason: What is the matter, for the person who typed it.
        example: A text that would do, or "" to leave the choice to the reader.
    """

    def __init__(self, reason: str, example: str = "") -> None:
        self.reason, self.example = reason, example
        super().__init__(reason)


class Numeral(NamedTuple):
    """A number as typed.

    Attributes:
        figures: Plain digits with at most one point, as ``float`` reads them.
        exponent: Power of ten behind them.
    """

    figures: str
    exponent: int = 0

    def value(self, power: int = 0) -> float:
        """Return the number times 10 to the power: the float nearest to what was typed."""
        return float(f"{self.figures}e{self.exponent + power}")

    def last_figure(self, power: int = 0) -> float:
        """Return the worth of one unit in the last typed place, times 10 to the power."""
        _, _, decimals = self.figures.partition(".")
        return float(f"1e{self.exponent + power - len(decimals)}")

    @property
    def significant(self) -> int:
        """Significant figures typed; trailing noughts of a whole number do not count, nought is one."""
        whole, _, decimals = self.figures.partition(".")
        digits = (whole + decimals).lstrip("0")
        return len(digits if decimals else digits.rstrip("0")) or 1


_SPACED = re.compile(r"([1-9][0-9]{0,2}(?:[ '][0-9]{3})+|[0-9]*)(?:[.,]([0-9]+|[0-9]{3}(?: [0-9]{3})+))?")
_COMMAS = re.compile(r"([1-9][0-9]{0,2}(?:,[0-9]{3})+)(?:\.([0-9]+))?")
_POINTS = re.compile(r"([1-9][0-9]{0,2}(?:\.[0-9]{3})+)(?:,([0-9]+))?")
_COMMA_OF_TWO_MEANINGS = re.compile(r"([1-9][0-9]{0,2}),([0-9]{3})")

_POWER = re.compile(
    r" ?[eE](?P<e>[+-]?[0-9]+)"
    r"| ?[x×*·] ?10 ?(?:\^|\*\*) ?(?:\((?P<bracketed>[+-]?[0-9]+)\)|(?P<raised>[+-]?[0-9]+))"
    r"| ?[x×*·] ?10 ?(?P<signed>[+-][0-9]+)"
)
_POWER_ALONE = re.compile(r"10 ?(?:\^|\*\*) ?(?:\(([+-]?[0-9]+)\)|([+-]?[0-9]+))")
_UNMARKED_POWER = re.compile(r" ?[x×*·] ?10")
_BODY = re.compile(r"[0-9.,][0-9.,' ]*")


def plain_figures(body: str) -> str:
    """Return figures with whatever separators as plain digits with at most one point.

    Args:
        body: Digits, points, commas, apostrophes and spaces only.

    Raises:
        NumeralError: If the grouping means two things, or nothing.
    """
    if "," not in body and " " not in body and "'" not in body and body.count(".") < 2 and body != ".":
        return body
    two_meanings = _COMMA_OF_TWO_MEANINGS.fullmatch(body)
    if two_meanings is not None:
        whole, after = two_meanings.groups()
        reason = f"{whole},{after} may mean {whole}{after} or {whole}.{after}; type one or the other"
        raise NumeralError(reason, f"{whole}{after}")
    for pattern in (_SPACED, _COMMAS, _POINTS):
        match = pattern.fullmatch(body)
        if match is not None and (match[1] or match[2]):
            whole = "".join(sign for sign in match[1] if sign.isdigit())
            return f"{whole}.{match[2].replace(' ', '')}" if match[2] else whole
    if " " in body:
        raise NumeralError("there is more than one number in it")
    raise NumeralError(f"{body} groups its figures in no usual way")


def read_numeral(text: str) -> tuple[Numeral, str] | None:
    """Read a number from the start of a tidied text without its sign.

    Returns:
        The number and the text after it, or None where the text does not begin with a number.

    Raises:
        NumeralError: If there are figures that cannot be read.
    """
    alone = _POWER_ALONE.match(text)
    if alone is not None:
        return Numeral("1", int(alone[1] or alone[2])), text[alone.end() :]
    body = _BODY.match(text)
    figures = body[0].rstrip(" ") if body is not None else ""
    if figures.strip(".,' ") == "":
        return None
    rest = text[len(figures) :]
    power = _POWER.match(rest) if rest else None
    if power is None:
        if _UNMARKED_POWER.match(rest):
            raise NumeralError("a power of ten is written 10^3 or e3", f"{plain_figures(figures)} x 10^3")
        return Numeral(plain_figures(figures)), rest
    exponent = next(group for group in power.groups() if group is not None)
    return Numeral(plain_figures(figures), int(exponent)), rest[power.end() :]
