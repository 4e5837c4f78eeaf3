"""Arithmetic with formulas: sums, products, quotients and derivatives, each in lowest terms again.

A formula is a quotient of polynomials with whole coefficients, so all of this is exact. What two formulas of one
circuit are made into keeps the order of symbols of the circuit's file.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from tutor.circuits.analysis import S
from tutor.circuits.errors import FormulaTooLongError, SingularCircuitError
from tutor.circuits.formula import PI, Formula, in_order
from tutor.circuits.lowest_terms import Exponents, in_lowest_terms

MOST_PRODUCTS = 400_000
"""Products of terms of one multiplication beyond which it is not worked out."""

Side = dict[Exponents, int]


def whole_number(number: int) -> Formula:
    """Return a whole number as a formula."""
    return Formula((), (((), number),) if number else (), (((), 1),))


def named(symbol: str) -> Formula:
    """Return a single symbol as a formula."""
    return Formula((symbol,), (((1,), 1),), (((0,), 1),))


def plus(a: Formula, b: Formula) -> Formula:
    """Return a + b."""
    symbols, (n1, d1), (n2, d2) = _together(a, b)
    if d1 == d2:
        return _made(symbols, _sum(n1, n2), d1)
    e1, e2 = in_lowest_terms(d1, d2)
    return _made(symbols, _sum(_product(n1, e2), _product(n2, e1)), _product(d1, e2))


def negative(a: Formula) -> Formula:
    """Return −a."""
    return Formula(a.symbols, tuple((e, -c) for e, c in a.numerator), a.denominator)


def minus(a: Formula, b: Formula) -> Formula:
    """Return a − b."""
    return plus(a, negative(b))


def times(a: Formula, b: Formula) -> Formula:
    """Return a·b."""
    symbols, (n1, d1), (n2, d2) = _together(a, b)
    return _crosswise(symbols, (n1, d2), (n2, d1))


def over(a: Formula, b: Formula) -> Formula:
    """Return a/b.

    Raises:
        SingularCircuitError: If b is nought whatever the values.
    """
    if not b.numerator:
        raise SingularCircuitError("a quotient", "any analysis", "it divides by nought whatever the values")
    symbols, (n1, d1), (n2, d2) = _together(a, b)
    return _crosswise(symbols, (n1, n2), (d2, d1))


def derivative(formula: Formula, symbol: str) -> Formula:
    """Return the derivative with respect to a symbol, all others held still."""
    if symbol not in formula.symbols:
        return whole_number(0)
    place = formula.symbols.index(symbol)
    above, below = dict(formula.numerator), dict(formula.denominator)
    steeper, lower = _derived(above, place), _derived(below, place)
    if not lower:
        return _made(formula.symbols, steeper, below)
    numerator = _sum(_product(steeper, below), {e: -c for e, c in _product(above, lower).items()})
    return _made(formula.symbols, numerator, _product(below, below))


def by_powers(side: tuple[tuple[Exponents, int], ...], symbols: tuple[str, ...], symbol: str) -> tuple[Formula, ...]:
    """Return one side of a formula as a polynomial in a symbol: its coefficients, that of the power 0 first."""
    if symbol not in symbols:
        return (Formula(symbols, side, ((_none(symbols), 1),)),)
    place = symbols.index(symbol)
    rest = symbols[:place] + symbols[place + 1 :]
    powers: dict[int, list[tuple[Exponents, int]]] = {}
    for exponents, coefficient in side:
        powers.setdefault(exponents[place], []).append((exponents[:place] + exponents[place + 1 :], coefficient))
    highest = max(powers, default=0)
    one = ((_none(rest), 1),)
    return tuple(Formula(rest, tuple(powers.get(power, ())), one) for power in range(highest + 1))


def factored_text(formula: Formula) -> tuple[str, str]:
    """Return numerator and denominator as text, with the symbols that all terms share in front: `C1*(R1 + R2)`."""
    return _side_text(formula, formula.numerator), _side_text(formula, formula.denominator)


def quotient_text(formula: Formula) -> str:
    """Return a formula as text, what all terms of a side share in front of a bracket."""
    above, below = factored_text(formula)
    if below == "1":
        return above
    if _is_sum(formula.numerator) and not above.endswith(")"):
        above = f"({above})"
    return f"{above}/{in_brackets(below)}"


def in_brackets(text: str) -> str:
    """Return a text in brackets unless it is one symbol or number, or a power of one."""
    return text if text.replace("**", "").replace("_", "").isalnum() else f"({text})"


def _side_text(formula: Formula, side: tuple[tuple[Exponents, int], ...]) -> str:
    side = tuple(sorted(side, key=lambda term: term[1] < 0))  # what is added stands before what is taken off
    shared, whole = _shared(side), math.gcd(*(coefficient for _, coefficient in side))
    if not _is_sum(side) or not (shared or whole > 1):
        return formula.side_text(side)
    front = tuple(shared.get(place, 0) for place in range(len(formula.symbols)))
    inside = tuple((tuple(e - f for e, f in zip(exponents, front, strict=True)), c // whole) for exponents, c in side)
    return f"{formula.side_text(((front, whole),))}*({formula.side_text(inside)})"


def _is_sum(side: tuple[tuple[Exponents, int], ...]) -> bool:
    return len(side) > 1


def _shared(side: tuple[tuple[Exponents, int], ...]) -> dict[int, int]:
    """Return the places of the symbols that all terms have, with the lowest exponent of each."""
    if not side:
        return {}
    count = len(side[0][0])
    lowest = {place: min(exponents[place] for exponents, _ in side) for place in range(count)}
    return {place: exponent for place, exponent in lowest.items() if exponent}


# -- polynomials as exponents → coefficient ---------------------------------------------------------------------------
def _together(a: Formula, b: Formula) -> tuple[tuple[str, ...], tuple[Side, Side], tuple[Side, Side]]:
    """Return both formulas over the same symbols, those of the second put where they stand in its own order."""
    symbols = list(a.symbols)
    at = 0
    for name in b.symbols:
        if name in symbols:
            at = symbols.index(name) + 1
        else:
            symbols.insert(at, name)
            at += 1
    if S in symbols:  # the frequency stands last, as in every formula
        symbols.remove(S)
        symbols.append(S)
    if PI in symbols:  # and π first
        symbols.remove(PI)
        symbols.insert(0, PI)
    order = tuple(symbols)
    first, second = ((_over(f.numerator, f, order), _over(f.denominator, f, order)) for f in (a, b))
    return order, first, second


def _over(side: tuple[tuple[Exponents, int], ...], formula: Formula, order: tuple[str, ...]) -> Side:
    places = [order.index(name) for name in formula.symbols]
    found: Side = {}
    for exponents, coefficient in side:
        moved = [0] * len(order)
        for place, exponent in zip(places, exponents, strict=True):
            moved[place] = exponent
        found[tuple(moved)] = coefficient
    return found


def _made(symbols: tuple[str, ...], above: Mapping[Exponents, int], below: Mapping[Exponents, int]) -> Formula:
    numerator, denominator = in_lowest_terms(above, below)
    return Formula(symbols, in_order(numerator), in_order(denominator))


def _crosswise(symbols: tuple[str, ...], first: tuple[Side, Side], second: tuple[Side, Side]) -> Formula:
    """Return the product of two quotients that have nothing in common but across: far smaller than all at once."""
    if not first[0] or not second[0]:
        return _made(symbols, {}, {_none(symbols): 1})
    (n1, d1), (n2, d2) = in_lowest_terms(*first), in_lowest_terms(*second)
    return _made(symbols, _product(n1, n2), _product(d1, d2))


def _sum(a: Side, b: Side) -> Side:
    total = dict(a)
    for exponents, coefficient in b.items():
        total[exponents] = total.get(exponents, 0) + coefficient
    return {exponents: coefficient for exponents, coefficient in total.items() if coefficient}


def _product(a: Side, b: Side) -> Side:
    if len(a) * len(b) > MOST_PRODUCTS:
        raise FormulaTooLongError(MOST_PRODUCTS, "products")
    total: Side = {}
    for first, x in a.items():
        for second, y in b.items():
            exponents = tuple(map(int.__add__, first, second))
            total[exponents] = total.get(exponents, 0) + x * y
    return {exponents: coefficient for exponents, coefficient in total.items() if coefficient}


def _derived(side: Side, place: int) -> Side:
    found: Side = {}
    for exponents, coefficient in side.items():
        if exponents[place]:
            lower = (*exponents[:place], exponents[place] - 1, *exponents[place + 1 :])
            found[lower] = coefficient * exponents[place]
    return found


def _none(symbols: tuple[str, ...]) -> Exponents:
    return (0,) * len(symbols)
