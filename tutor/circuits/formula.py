"""The symbolic answer: a quotient of polynomials, exact and in lowest terms.

Cramer's rule with minors expanded along sparse columns and remembered, over polynomials in conductances; then turned
into resistances by raising every exponent to zero or more. Much faster than a general symbolic solver on circuits,
and the result is already one fraction. Formulas of more than `LONGEST` terms are refused: nobody reads them, and the
straight-line program gives their values.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import OMEGA, S
from tutor.circuits.elimination import solve_on_tape
from tutor.circuits.equations import Unknown
from tutor.circuits.errors import CircuitError, FormulaTooLongError, SingularCircuitError
from tutor.circuits.lowest_terms import Exponents, in_lowest_terms
from tutor.circuits.minors import Budget, Determinant
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem
from tutor.circuits.tape import Tape

__all__ = ["LONGEST", "READABLE", "Formula", "FormulaTooLongError", "formula_of", "in_order", "symbols_in"]

LONGEST = 20_000
READABLE = 40
"""Terms up to which a formula is shown to people."""
SHORT = 1000
"""A limit for `formula_of` where only a readable formula is of use: terms that cancel in the end are allowed for."""
MOST_SYMBOLS = 60
"""Symbols, and unknowns, beyond which no formula is worked out: none so long can be read."""
PI = "pi"
"""Stands for π among the symbols of a corner frequency."""
WORK = 60
"""Products of terms, for each term allowed, after which the expansion is given up."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A quotient of polynomials in the parts' symbols (and `s` at ac), in lowest terms.

    Attributes:
        symbols: Names of the symbols, in the order of the exponents.
        numerator: Exponents → whole coefficient.
        denominator: Exponents → whole coefficient; its leading coefficient is positive.
    """

    symbols: tuple[str, ...]
    numerator: tuple[tuple[Exponents, int], ...]
    denominator: tuple[tuple[Exponents, int], ...]

    @property
    def terms(self) -> int:
        """Count the terms above and below the line."""
        return len(self.numerator) + len(self.denominator)

    @property
    def is_readable(self) -> bool:
        """Whether it is short enough to be shown."""
        return self.terms <= READABLE

    def value(self, values: Mapping[str, Any]) -> Any:
        """Return the value for numbers or arrays by symbol."""
        above, below = (self._sum(part, values) for part in (self.numerator, self.denominator))
        return above / below

    def _sum(self, part: tuple[tuple[Exponents, int], ...], values: Mapping[str, Any]) -> Any:
        total: Any = 0.0
        for exponents, coefficient in part:
            product: Any = float(coefficient)
            for name, exponent in zip(self.symbols, exponents, strict=True):
                if exponent:
                    product = product * (math.pi if name == PI else values[name]) ** exponent
            total = total + product
        return total

    def text(self) -> str:
        """Return the formula as text; at ac with `j*omega` for s.

        >>> formula = Formula(("V1", "R1", "R2"), (((1, 0, 1), 1),), (((0, 1, 0), 1), ((0, 0, 1), 1)))
        >>> formula.text()
        'V1*R2/(R1 + R2)'
        """
        above, below = self.side_text(self.numerator), self.side_text(self.denominator)
        if below == "1":
            return above
        if len(self.numerator) > 1:
            above = f"({above})"
        if len(self.denominator) > 1 or "*" in below.replace("**", ""):
            below = f"({below})"
        return f"{above}/{below}"

    def side_text(self, part: tuple[tuple[Exponents, int], ...]) -> str:
        """Return the sum of some terms as text."""
        pieces = [self._term(exponents, coefficient) for exponents, coefficient in part]
        if not pieces:
            return "0"
        text = pieces[0]
        for piece in pieces[1:]:
            text += f" - {piece[1:]}" if piece.startswith("-") else f" + {piece}"
        return text

    def _term(self, exponents: Exponents, coefficient: int) -> str:
        powers = dict(zip(self.symbols, exponents, strict=True))
        turns = powers.pop(S, 0)  # s = jω: an even power is real, and two of them turn the sign
        factors = [*(["j"] if turns % 2 else []), *([_raised(OMEGA, turns)] if turns else [])]
        factors += [_raised(name, exponent) for name, exponent in powers.items() if exponent]
        if turns % 4 in (2, 3):
            coefficient = -coefficient
        size = abs(coefficient)
        if size != 1 or not factors:
            factors.insert(0, str(size))
        return ("-" if coefficient < 0 else "") + "*".join(factors)


def _raised(name: str, exponent: int) -> str:
    return name if exponent == 1 else f"{name}**{exponent}"


def formula_of(problem: Problem, longest: int = LONGEST) -> Formula:
    """Return the symbolic answer of a problem.

    Args:
        problem: A posed problem whose result is one linear form, or at dc a power.
        longest: Give up beyond this many terms.

    Returns:
        The formula in lowest terms.

    Raises:
        SingularCircuitError: If the determinant is zero whatever the values.
        FormulaTooLongError: If the expansion grows beyond `longest` terms, or the circuit beyond 60 symbols.
        CircuitError: If the result is a mean power at ac, which is no quotient of polynomials in s.
    """
    if problem.is_power and problem.is_complex:
        raise CircuitError("a mean power at ac is no quotient of polynomials; ask for the voltage and the current")
    if max(len(symbols_in(problem)), len(problem.equations.unknowns)) > MOST_SYMBOLS:
        raise FormulaTooLongError(MOST_SYMBOLS, "symbols")
    expansion = _Expansion(problem, longest)
    above, below = expansion.result()
    return expansion.formula(above, below)


def symbols_in(problem: Problem) -> tuple[str, ...]:
    """Return the symbols of a problem: sources first, then parts in the file's order, `s` last."""
    used = {symbol for polynomial in _polynomials(problem) for symbol in polynomial.symbols()}
    if problem.reactive is not None:
        used.add(problem.reactive.reference)
    order = [*problem.network.parameters(), *(d.symbol for d in problem.network.definitions())]
    sources = [p.symbol for part in problem.network.parts if "source" in part.kind for p in part.parameters()]
    if problem.is_corner:
        used.add(PI)
    ranked = dict.fromkeys((PI, *sources, *order, *sorted(used - {S}), S))
    return tuple(name for name in ranked if name in used)


def _polynomials(problem: Problem) -> Iterator[Polynomial]:
    """Yield every coefficient of the equations, of their right-hand side and of what is wanted."""
    yield from problem.equations.matrix.values()
    yield from problem.side.values()
    for pair in problem.products:
        for form in pair:
            yield from (coefficient for coefficient, _ in form)


class _Expansion:
    """Minors of one problem over a ring of polynomials in symbols and reciprocals."""

    def __init__(self, problem: Problem, longest: int) -> None:
        from sympy import ZZ
        from sympy.polys.rings import ring

        self._problem = problem
        self._budget = Budget(longest, WORK * longest)
        self._symbols = symbols_in(problem)
        # A symbol has a generator for itself, one for its reciprocal, or both: only those that occur, since every
        # product of terms walks over all of them.
        occurring = {(s, e > 0) for p in _polynomials(problem) for monomial, _ in p.terms for s, e in monomial}
        if problem.reactive is not None:
            occurring.add((problem.reactive.reference, True))
        if problem.is_corner:
            occurring.add((PI, True))
        names = [s for s in self._symbols if (s, True) in occurring]
        reciprocals = [s for s in self._symbols if (s, False) in occurring]
        self._exponents = [(self._symbols.index(s), 1) for s in names]
        self._exponents += [(self._symbols.index(s), -1) for s in reciprocals]
        made = ring([*names, *(f"1/{s}" for s in reciprocals)] or ["one"], ZZ)
        self._ring = made[0]
        self._generators = dict(zip([*names, *(f"1/{s}" for s in reciprocals)], made[1:], strict=False))

    def result(self) -> tuple[Any, Any]:
        """Return numerator and denominator in the ring."""
        equations, problem = self._problem.equations, self._problem
        matrix = {key: self._element(value) for key, value in equations.matrix.items()}
        side = {row: self._element(value) for row, value in problem.side.items()}
        order = list(equations.unknowns)
        whole = Determinant(order, matrix, self._ring, self._budget).value()
        if not whole:
            # The elimination comes to the same and knows which unknown stays open.
            solve_on_tape(Tape(str), equations, problem.side, [])
            raise SingularCircuitError(str(order[-1]), str(problem.analysis))
        solved: dict[Unknown, Any] = {}

        def numerator(unknown: Unknown) -> Any:
            if unknown not in solved:
                replaced = {key: value for key, value in matrix.items() if key[1] != unknown}
                replaced |= {(row, unknown): value for row, value in side.items()}
                solved[unknown] = Determinant(order, replaced, self._ring, self._budget).value()
            return solved[unknown]

        def form(pairs: Any) -> Any:
            total = self._ring.zero
            for coefficient, unknown in pairs:
                total = total + self._budget.product(self._element(coefficient), numerator(unknown))
            return total

        if not problem.is_power:
            above, below = form(problem.products[0][0]), whole
        else:
            above = self._ring.zero
            for voltage, current in problem.products:
                above = above + self._budget.product(form(voltage), form(current))
            below = self._budget.product(whole, whole)
        return self._stored(above, below)

    def _stored(self, above: Any, below: Any) -> tuple[Any, Any]:
        """Turn a resistance into R·C or L/R for a time constant, into one over 2π times that for a corner."""
        part, is_corner = self._problem.reactive, self._problem.is_corner
        if part is None:
            return above, below
        capacitor = part.kind == "capacitor"
        if not above and (is_corner or not capacitor):
            what = "corner frequency" if is_corner else "time constant"
            raise SingularCircuitError(f"the {what} of {part.reference}", "dc", "it sees no resistance")
        size = self._generators[part.reference]
        if is_corner:
            size = size * 2 * self._generators[PI]
        if capacitor:
            return (below, above * size) if is_corner else (above * size, below)
        return (above, below * size) if is_corner else (below * size, above)

    def _element(self, polynomial: Polynomial) -> Any:
        total = self._ring.zero
        for monomial, coefficient in polynomial.terms:
            product = self._ring.one * coefficient
            for name, exponent in monomial:
                generator = self._generators[name if exponent > 0 else f"1/{name}"]
                product = product * generator ** abs(exponent)
            total = total + product
        return total

    def _collected(self, side: Any) -> dict[Exponents, int]:
        """Return the terms by exponents of the symbols, those of reciprocals counted off."""
        collected: dict[Exponents, int] = {}
        for exponents, coefficient in side.terms():
            net = [0] * len(self._symbols)
            for exponent, (place, sign) in zip(exponents, self._exponents, strict=False):
                net[place] += sign * int(exponent)
            collected[tuple(net)] = collected.get(tuple(net), 0) + int(coefficient)
        return {net: coefficient for net, coefficient in collected.items() if coefficient}

    def formula(self, above: Any, below: Any) -> Formula:
        """Return the quotient in lowest terms, reciprocals turned into the symbols themselves."""
        numerator, denominator = in_lowest_terms(self._collected(above), self._collected(below))
        return Formula(self._symbols, in_order(numerator), in_order(denominator))


def in_order(terms: Mapping[Exponents, int]) -> tuple[tuple[Exponents, int], ...]:
    """Return the terms, the shortest first and then in the order of the symbols."""
    return tuple(sorted(terms.items(), key=lambda term: (sum(term[0]), tuple(-e for e in term[0]))))
