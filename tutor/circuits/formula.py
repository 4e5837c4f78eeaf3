"""The symbolic answer: a quotient of polynomials, exact and in lowest terms.

Cramer's rule with minors expanded along sparse columns and remembered, over polynomials in conductances; then turned
into resistances by raising every exponent to zero or more. Much faster than a general symbolic solver on circuits,
and the result is already one fraction. Formulas of more than `LONGEST` terms are refused: nobody reads them, and the
straight-line program gives their values.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from tutor.circuits.analysis import S
from tutor.circuits.equations import Unknown
from tutor.circuits.errors import CircuitError, SingularCircuitError
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem

LONGEST = 20_000
READABLE = 40
"""Terms up to which a formula is shown to people."""

Exponents: TypeAlias = tuple[int, ...]


class FormulaTooLongError(CircuitError):
    """A formula that would have more terms than anybody could read.

    Attributes:
        limit: The number of terms at which the expansion was given up.
    """

    def __init__(self, limit: int) -> None:
        self.limit = limit
        super().__init__(f"the formula has more than {limit} terms; ask for its value instead")


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
                    product = product * values[name] ** exponent
            total = total + product
        return total

    def text(self) -> str:
        """Return the formula as text; at ac with `j*omega` for s.

        >>> formula = Formula(("V1", "R1", "R2"), (((1, 0, 1), 1),), (((0, 1, 0), 1), ((0, 0, 1), 1)))
        >>> formula.text()
        'V1*R2/(R1 + R2)'
        """
        above, below = self._side(self.numerator), self._side(self.denominator)
        if below == "1":
            return above
        if len(self.numerator) > 1:
            above = f"({above})"
        if len(self.denominator) > 1 or "*" in below:
            below = f"({below})"
        return f"{above}/{below}"

    def _side(self, part: tuple[tuple[Exponents, int], ...]) -> str:
        pieces = [self._term(exponents, coefficient) for exponents, coefficient in part]
        if not pieces:
            return "0"
        text = pieces[0]
        for piece in pieces[1:]:
            text += f" - {piece[1:]}" if piece.startswith("-") else f" + {piece}"
        return text

    def _term(self, exponents: Exponents, coefficient: int) -> str:
        factors = []
        for name, exponent in zip(self.symbols, exponents, strict=True):
            if exponent == 0:
                continue
            if name == S:
                # s = jω: an even power is real, and two of them turn the sign.
                if exponent % 4 in (2, 3):
                    coefficient = -coefficient
                factors += ["j"] if exponent % 2 else []
                name = "omega"
            factors.append(name if exponent == 1 else f"{name}**{exponent}")
        size = abs(coefficient)
        if size != 1 or not factors:
            factors.insert(0, str(size))
        return ("-" if coefficient < 0 else "") + "*".join(factors)


def formula_of(problem: Problem, longest: int = LONGEST) -> Formula:
    """Return the symbolic answer of a problem.

    Args:
        problem: A posed problem whose result is one linear form, or at dc a power.
        longest: Give up beyond this many terms.

    Returns:
        The formula in lowest terms.

    Raises:
        SingularCircuitError: If the determinant is zero whatever the values.
        FormulaTooLongError: If the expansion grows beyond `longest` terms.
        CircuitError: If the result is a mean power at ac, which is no quotient of polynomials in s.
    """
    if problem.is_power and problem.is_complex:
        raise CircuitError("a mean power at ac is no quotient of polynomials; ask for the voltage and the current")
    expansion = _Expansion(problem, longest)
    above, below = expansion.result()
    return expansion.formula(above, below)


def symbols_in(problem: Problem) -> tuple[str, ...]:
    """Return the symbols of a problem: sources first, then parts in the file's order, `s` last."""
    used = {s for value in problem.equations.matrix.values() for s in value.symbols()}
    used |= {s for value in problem.side.values() for s in value.symbols()}
    used |= {s for pair in problem.products for form in pair for value, _ in form for s in value.symbols()}
    if problem.reactive is not None:
        used.add(problem.reactive.reference)
    order = [*problem.network.parameters(), *(d.symbol for d in problem.network.definitions())]
    sources = [p.symbol for part in problem.network.parts if "source" in part.kind for p in part.parameters()]
    ranked = dict.fromkeys((*sources, *order, *sorted(used - {S}), S))
    return tuple(name for name in ranked if name in used)


class _Expansion:
    """Minors of one problem over a ring of polynomials in symbols and reciprocals."""

    def __init__(self, problem: Problem, longest: int) -> None:
        from sympy import ZZ
        from sympy.polys.rings import ring

        self._problem = problem
        self._longest = longest
        self._symbols = symbols_in(problem)
        # Each symbol has a generator for itself and one for its reciprocal; most use only one of the two.
        names = [*self._symbols, *(f"1/{name}" for name in self._symbols)]
        made = ring(names, ZZ)
        self._ring, self._generators = made[0], dict(zip(names, made[1:], strict=True))

    def result(self) -> tuple[Any, Any]:
        """Return numerator and denominator in the ring."""
        equations, problem = self._problem.equations, self._problem
        matrix = {key: self._element(value) for key, value in equations.matrix.items()}
        side = {row: self._element(value) for row, value in problem.side.items()}
        order = list(equations.unknowns)
        whole = _Determinant(order, matrix, self._ring, self._longest).value()
        if not whole:
            raise SingularCircuitError(self._place(), str(problem.analysis))
        solved: dict[Unknown, Any] = {}

        def numerator(unknown: Unknown) -> Any:
            if unknown not in solved:
                replaced = {key: value for key, value in matrix.items() if key[1] != unknown}
                replaced |= {(row, unknown): value for row, value in side.items()}
                solved[unknown] = _Determinant(order, replaced, self._ring, self._longest).value()
            return solved[unknown]

        def form(pairs: Any) -> Any:
            total = self._ring.zero
            for coefficient, unknown in pairs:
                total = total + self._element(coefficient) * numerator(unknown)
            return total

        if not problem.is_power:
            above, below = form(problem.products[0][0]), whole
        else:
            above = self._ring.zero
            for voltage, current in problem.products:
                above = above + form(voltage) * form(current)
            below = whole * whole
        return self._stored(above, below)

    def _stored(self, above: Any, below: Any) -> tuple[Any, Any]:
        """Turn a resistance into R·C or L/R for a time constant."""
        part = self._problem.reactive
        if part is None:
            return above, below
        generator = self._generators[part.reference]
        return (above * generator, below) if part.kind == "capacitor" else (below * generator, above)

    def _place(self) -> str:
        return str(self._problem.equations.unknowns[-1])

    def _element(self, polynomial: Polynomial) -> Any:
        total = self._ring.zero
        for monomial, coefficient in polynomial.terms:
            product = self._ring.one * coefficient
            for name, exponent in monomial:
                generator = self._generators[name if exponent > 0 else f"1/{name}"]
                product = product * generator ** abs(exponent)
            total = total + product
        return total

    def formula(self, above: Any, below: Any) -> Formula:
        """Return the quotient in lowest terms, reciprocals turned into the symbols themselves."""
        from sympy import ZZ
        from sympy.polys.orderings import lex
        from sympy.polys.rings import ring

        count = len(self._symbols)
        sides = [{_net(exponents, count): int(c) for exponents, c in side.terms()} for side in (above, below)]
        lowest = [min((e[i] for side in sides for e in side), default=0) for i in range(count)]
        clean, *_ = ring(list(self._symbols) or ["one"], ZZ, lex)
        polynomials = []
        for side in sides:
            terms = {tuple(e - low for e, low in zip(x, lowest, strict=True)) or (0,): c for x, c in side.items()}
            polynomials.append(clean.from_dict(terms))
        numerator, denominator = polynomials[0].cancel(polynomials[1])
        if _mostly_negative(denominator):
            numerator, denominator = -numerator, -denominator
        if not self._symbols:
            return Formula((), _sorted(numerator, 0), _sorted(denominator, 0))
        return Formula(self._symbols, _sorted(numerator, count), _sorted(denominator, count))


def _net(exponents: Sequence[int], count: int) -> Exponents:
    return tuple(int(exponents[i]) - int(exponents[count + i]) for i in range(count))


def _mostly_negative(polynomial: Any) -> bool:
    coefficients = [c for _, c in polynomial.terms()]
    negative = sum(1 for c in coefficients if c < 0)
    return negative * 2 > len(coefficients)


def _sorted(polynomial: Any, count: int) -> tuple[tuple[Exponents, int], ...]:
    terms = [(tuple(int(e) for e in exponents)[:count], int(c)) for exponents, c in polynomial.terms()]
    return tuple(sorted(terms, key=lambda term: (sum(term[0]), tuple(-e for e in term[0]))))


class _Determinant:
    """A determinant by expansion along columns, the sparsest first, each minor worked out once."""

    def __init__(
        self, order: list[Unknown], matrix: Mapping[tuple[Unknown, Unknown], Any], ring: Any, longest: int
    ) -> None:
        self._ring, self._longest = ring, longest
        self._rows = {unknown: index for index, unknown in enumerate(order)}
        self._order = self._column_order(order, matrix)
        self._columns = [
            [(self._rows[row], matrix[row, column]) for row in order if (row, column) in matrix]
            for column in self._order
        ]
        self._minors: dict[int, Any] = {}

    @staticmethod
    def _column_order(order: list[Unknown], matrix: Mapping[tuple[Unknown, Unknown], Any]) -> list[Unknown]:
        rows_of = {column: {row for row, c in matrix if c == column} for column in order}
        place = {unknown: index for index, unknown in enumerate(order)}
        seen: set[Unknown] = set()
        remaining, chosen = list(order), []
        while remaining:
            column = min(remaining, key=lambda c: (len(rows_of[c] - seen), len(rows_of[c]), place[c]))
            remaining.remove(column)
            seen |= rows_of[column]
            chosen.append(column)
        return chosen

    def value(self) -> Any:
        """Return the determinant."""
        size = len(self._order)
        minor = self._minor(0, (1 << size) - 1)
        return -minor if self._odd_order() else minor

    def _odd_order(self) -> bool:
        """Tell whether the column order is an odd permutation."""
        places = [self._rows[column] for column in self._order]
        swaps = sum(a > b for i, a in enumerate(places) for b in places[i + 1 :])
        return bool(swaps % 2)

    def _minor(self, column: int, rows: int) -> Any:
        if column == len(self._order):
            return self._ring.one
        known = self._minors.get(rows)
        if known is not None:
            return known
        total = self._ring.zero
        for row, element in self._columns[column]:
            if not rows >> row & 1:
                continue
            minor = self._minor(column + 1, rows & ~(1 << row))
            if not minor:
                continue
            product = element * minor
            total = total - product if (rows & ((1 << row) - 1)).bit_count() % 2 else total + product
        if len(total) > self._longest:
            raise FormulaTooLongError(self._longest)
        if len(self._minors) > self._longest:
            raise FormulaTooLongError(self._longest)
        self._minors[rows] = total
        return total
