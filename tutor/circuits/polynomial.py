"""Sums of products of symbols with whole exponents, such as `1/R1 + s*C1`: the entries of a circuit's equations.

Exact and small: coefficients are whole numbers, exponents may be negative. Big results are the business of `formula`,
which uses a computer algebra's polynomials; this class only has to hold what parts stamp.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

Monomial: TypeAlias = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Polynomial:
    """A sum of products.

    Attributes:
        terms: Pairs of monomial and whole coefficient, sorted, no coefficient zero.
    """

    terms: tuple[tuple[Monomial, int], ...] = ()

    @staticmethod
    def of(terms: Mapping[Monomial, int] | Iterable[tuple[Monomial, int]]) -> Polynomial:
        """Collect terms, adding those alike."""
        collected: dict[Monomial, int] = {}
        for monomial, coefficient in terms.items() if isinstance(terms, Mapping) else terms:
            collected[monomial] = collected.get(monomial, 0) + coefficient
        return Polynomial(tuple(sorted((m, c) for m, c in collected.items() if c)))

    def __bool__(self) -> bool:
        return bool(self.terms)

    def __add__(self, other: Polynomial) -> Polynomial:
        return Polynomial.of((*self.terms, *other.terms))

    def __neg__(self) -> Polynomial:
        return Polynomial(tuple((monomial, -coefficient) for monomial, coefficient in self.terms))

    def __sub__(self, other: Polynomial) -> Polynomial:
        return self + (-other)

    def __mul__(self, other: Polynomial) -> Polynomial:
        return Polynomial.of((_product(a, b), x * y) for a, x in self.terms for b, y in other.terms)

    def symbols(self) -> frozenset[str]:
        """Return every symbol that occurs."""
        return frozenset(symbol for monomial, _ in self.terms for symbol, _ in monomial)

    def value(self, values: Mapping[str, Any]) -> Any:
        """Return the value for numbers or arrays, in the order of the terms."""
        total: Any = 0.0
        for monomial, coefficient in self.terms:
            product: Any = float(coefficient)
            for symbol, exponent in monomial:
                product = product * values[symbol] ** exponent
            total = total + product
        return total

    def derivative(self, symbol: str) -> Polynomial:
        """Return the derivative with respect to a symbol, all others held still."""
        found = []
        for monomial, coefficient in self.terms:
            exponent = dict(monomial).get(symbol, 0)
            found.append((_product(monomial, ((symbol, -1),)), coefficient * exponent))
        return Polynomial.of(found)

    def without(self, symbol: str) -> Polynomial:
        """Return the terms free of a symbol: what is left when it tends to zero."""
        return Polynomial(tuple(t for t in self.terms if all(s != symbol for s, _ in t[0])))


def _product(a: Monomial, b: Monomial) -> Monomial:
    exponents = dict(a)
    for symbol, exponent in b:
        exponents[symbol] = exponents.get(symbol, 0) + exponent
    return tuple(sorted((s, e) for s, e in exponents.items() if e))


ZERO = Polynomial()
ONE = Polynomial((((), 1),))


def symbol(name: str, exponent: int = 1) -> Polynomial:
    """Return a single symbol, or its reciprocal with exponent −1."""
    return Polynomial(((((name, exponent),), 1),))


def whole(number: int) -> Polynomial:
    """Return a whole number as a polynomial."""
    return Polynomial.of([((), number)])
