"""Quotients of polynomials in lowest terms, without paying for a greatest common divisor where there is none.

Most quotients of circuits share no factor but single symbols and whole numbers. That is proved quickly: numbers are put
in for all symbols but one, and if what is left has no common factor for any of the symbols, there is none at all.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import reduce
from math import gcd
from typing import TypeAlias

from tutor.circuits.errors import FormulaTooLongError

Exponents: TypeAlias = tuple[int, ...]
Terms: TypeAlias = Mapping[Exponents, int]

LONGEST_DIVISION = 3000
"""Terms beyond which a common factor is not looked for, once it is known that there is one."""

PRIME = 2**61 - 1
"""The numbers that are put in are counted modulo this prime: exact, and never large."""


def in_lowest_terms(above: Terms, below: Terms) -> tuple[dict[Exponents, int], dict[Exponents, int]]:
    """Return numerator and denominator without any common factor.

    Args:
        above: Exponents, of any sign → whole coefficient.
        below: The same for the denominator, which is not nought.

    Returns:
        Both with exponents of nought or more; at least half the terms of the denominator are positive.

    Raises:
        FormulaTooLongError: If they share a factor and are too long for finding it.
    """
    count = len(next(iter(below)))
    if not above:
        return {}, {(0,) * count: 1}
    lowest = [min(e[place] for side in (above, below) for e in side) for place in range(count)]
    sides = [{_less(e, lowest): c for e, c in side.items()} for side in (above, below)]
    if not _without_common_factor(sides[0], sides[1], count):
        sides = _divided(sides[0], sides[1], count)
    whole = reduce(gcd, (c for side in sides for c in side.values()))
    negative = sum(c < 0 for c in sides[1].values())
    if negative * 2 > len(sides[1]):
        whole = -whole
    numerator, denominator = ({e: c // whole for e, c in side.items()} for side in sides)
    return numerator, denominator


def _less(exponents: Exponents, lowest: list[int]) -> Exponents:
    return tuple(e - low for e, low in zip(exponents, lowest, strict=True))


def _divided(above: Terms, below: Terms, count: int) -> list[dict[Exponents, int]]:
    """Return both sides divided by their greatest common divisor."""
    if len(above) + len(below) > LONGEST_DIVISION:
        raise FormulaTooLongError(LONGEST_DIVISION)
    from sympy import ZZ
    from sympy.polys.orderings import lex
    from sympy.polys.rings import ring

    made, *_ = ring([f"x{place}" for place in range(count)], ZZ, lex)
    found = made.from_dict(dict(above)).cancel(made.from_dict(dict(below)))
    return [{tuple(int(e) for e in exponents): int(c) for exponents, c in side.terms()} for side in found]


def _without_common_factor(above: Terms, below: Terms, count: int) -> bool:
    """Tell whether no symbol occurs in any common factor."""
    images = [_Image(side, count) for side in (above, below)]
    for place in range(count):
        if all(any(e[place] for e in side) for side in (above, below)):
            first, second = (image.left_in(place) for image in images)
            # A leading coefficient that the numbers put in turn to nought could hide a factor.
            if not first[-1] or not second[-1] or len(_common(first, second)) > 1:
                return False
    return True


class _Image:
    """A polynomial with numbers put in for all its symbols, still to be undone for one of them at a time."""

    def __init__(self, terms: Terms, count: int) -> None:
        self._exponents = list(terms)
        highest = [max(e[place] for e in self._exponents) for place in range(count)]
        numbers = [_number(place) for place in range(count)]
        self._inverse = [
            [pow(pow(number, -1, PRIME), e, PRIME) for e in range(high + 1)]
            for number, high in zip(numbers, highest, strict=True)
        ]
        powers = [[pow(n, e, PRIME) for e in range(high + 1)] for n, high in zip(numbers, highest, strict=True)]
        self._values = []
        for exponents, coefficient in terms.items():
            value = coefficient % PRIME
            for place, exponent in enumerate(exponents):
                if exponent:
                    value = value * powers[place][exponent] % PRIME
            self._values.append(value)

    def left_in(self, place: int) -> list[int]:
        """Return the coefficients of the powers of one symbol, the lowest first."""
        inverse = self._inverse[place]
        coefficients = [0] * len(inverse)
        for exponents, value in zip(self._exponents, self._values, strict=True):
            exponent = exponents[place]
            coefficients[exponent] = (coefficients[exponent] + value * inverse[exponent]) % PRIME
        return coefficients


def _number(place: int) -> int:
    """Return a number that has nothing to do with any other, the same on every machine."""
    digest = hashlib.sha256(f"symbol {place}".encode()).digest()
    return int.from_bytes(digest[:7], "big") + 2


def _common(first: list[int], second: list[int]) -> list[int]:
    """Return the greatest common divisor of two polynomials in one symbol, modulo the prime."""
    while second:
        factor = pow(second[-1], -1, PRIME)
        rest = list(first)
        for shift in range(len(first) - len(second), -1, -1):
            head = rest[shift + len(second) - 1] * factor % PRIME
            for place, coefficient in enumerate(second):
                rest[shift + place] = (rest[shift + place] - head * coefficient) % PRIME
        while rest and not rest[-1]:
            rest.pop()
        first, second = second, rest
    return first
