"""A tape of assignments: arithmetic recorded once, to be played back on numbers, complex numbers or arrays.

Every step is `t7 = t3*t5`; equal steps are recorded once; steps that nothing needs are dropped at the end. Beside the
text each cell carries its value at one generic point, so that an exact cancellation is recognised as zero while
recording.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

from tutor.circuits.analysis import S
from tutor.circuits.polynomial import Monomial, Polynomial

CANCELLED = 1e-11
"""A difference this much smaller than its terms at a generic point is an exact cancellation."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A recorded value.

    Attributes:
        text: A temporary, a variable or a literal, never a compound.
        value: Its value at the generic point.
        literal: Its value when it is the same at every point.
        negated: Whether the value is that of the text with its sign turned: signs are carried along and cost no step.
        vanishes: Factors in it that are zero for some admissible value (the lower section of a potentiometer with its
            wiper at the foot); nothing should be divided by such a cell.
    """

    text: str
    value: complex
    literal: float | None = None
    negated: bool = False
    vanishes: frozenset[str] = frozenset()

    @property
    def spelt(self) -> str:
        """The value as source text, sign and all."""
        return f"-{self.text}" if self.negated else self.text

    @property
    def is_zero(self) -> bool:
        """Whether the value is zero at every point."""
        return self.literal == 0.0


ZERO = Cell("0.0", 0j, 0.0)
ONE = Cell("1.0", 1 + 0j, 1.0)


@lru_cache(maxsize=4096)
def generic_value(symbol: str) -> complex:
    """Return a value for a symbol that no other symbol shares: between 0.4 and 2.7, and complex for the frequency s."""
    digest = hashlib.sha256(symbol.encode()).digest()
    share = int.from_bytes(digest[:6], "big") / 2**48
    size = math.exp(2 * share - 1)
    return complex(0.37 * size, size) if symbol == S else complex(size)


@dataclass(slots=True)
class Tape:
    """Records steps.

    Attributes:
        spell: Gives the variable that holds a symbol's value.
        lines: The steps, as (temporary, right-hand side).
    """

    spell: Callable[[str], str]
    lines: list[tuple[str, str]] = field(default_factory=list)
    _known: dict[str, Cell] = field(default_factory=dict)
    _monomials: dict[Monomial, Cell] = field(default_factory=dict)

    def _record(self, text: str, value: complex, vanishes: frozenset[str], negated: bool = False) -> Cell:
        """Record a step, and return its cell; with `negated` the cell is the step's value with its sign turned.

        Args:
            text: The right-hand side.
            value: Its value at the generic point.
            vanishes: Its factors that may be zero.
            negated: Whether the cell stands for −text.
        """
        known = self._known.get(text)
        if known is None:
            known = Cell(f"t{len(self.lines) + 1}", value, None, False, vanishes)
            self.lines.append((known.text, text))
            self._known[text] = known
        return self.negative(known) if negated else known

    def symbol(self, name: str) -> Cell:
        """Return the cell of a symbol."""
        text = self.spell(name)
        cell = self._known.get(text)
        if cell is None:
            cell = self._known[text] = Cell(text, generic_value(name))
        return cell

    def literal(self, number: float) -> Cell:
        """Return the cell of a number."""
        if number == 1.0:
            return ONE
        return Cell(repr(float(number)), complex(number), float(number))

    def negative(self, a: Cell) -> Cell:
        """Return −a."""
        if a.literal is not None:
            return self.literal(-a.literal)
        return Cell(a.text, -a.value, None, not a.negated, a.vanishes)

    def add(self, a: Cell, b: Cell, sign: int = 1) -> Cell:
        """Record a + b, or a − b with sign −1."""
        if b.is_zero:
            return a
        if a.is_zero:
            return b if sign > 0 else self.negative(b)
        if a.literal is not None and b.literal is not None:
            return self.literal(a.literal + sign * b.literal)
        if sign < 0:
            b = self.negative(b)
        if abs(a.value + b.value) < CANCELLED * (abs(a.value) + abs(b.value)):
            return ZERO
        if a.text > b.text:
            a, b = b, a  # one spelling for a + b and b + a, so that it is recorded once
        # A sum vanishes where both terms do; its sign is that of the first term.
        vanishes = a.vanishes & b.vanishes
        operator = "+" if a.negated == b.negated else "-"
        value = a.value + b.value
        return self._record(f"{a.text} {operator} {b.text}", -value if a.negated else value, vanishes, a.negated)

    def multiply(self, a: Cell, b: Cell) -> Cell:
        """Record a·b."""
        if a.is_zero or b.is_zero:
            return ZERO
        for one, other in ((a, b), (b, a)):
            if one.literal == 1.0:
                return other
            if one.literal == -1.0:
                return self.negative(other)
        if a.literal is not None and b.literal is not None:
            return self.literal(a.literal * b.literal)
        if a.text > b.text:
            a, b = b, a
        negated, value = a.negated != b.negated, a.value * b.value
        return self._record(f"{a.text}*{b.text}", -value if negated else value, a.vanishes | b.vanishes, negated)

    def divide(self, a: Cell, b: Cell) -> Cell:
        """Record a/b."""
        if a.is_zero:
            return ZERO
        if b.literal == 1.0:
            return a
        if b.literal == -1.0:
            return self.negative(a)
        if a.literal is not None and b.literal is not None:
            return self.literal(a.literal / b.literal)
        negated, value = a.negated != b.negated, a.value / b.value
        return self._record(f"{a.text}/{b.text}", -value if negated else value, a.vanishes, negated)

    def polynomial(self, polynomial: Polynomial) -> Cell:
        """Record a polynomial's value."""
        total = ZERO
        for monomial, coefficient in polynomial.terms:
            product = self._monomial(monomial) if coefficient in (1, -1) else None
            if product is None:
                product = self.literal(abs(coefficient))
                for name, exponent in monomial:
                    product = self.multiply(product, self._power(name, exponent))
            total = self.add(total, product, 1 if coefficient > 0 else -1)
        return total

    def _monomial(self, monomial: Monomial) -> Cell:
        """Return a product of powers; each is looked up after the first time but that of s, whose spelling changes."""
        product = self._monomials.get(monomial)
        if product is None:
            product = ONE
            for name, exponent in monomial:
                product = self.multiply(product, self._power(name, exponent))
            if all(name != S for name, _ in monomial):
                self._monomials[monomial] = product
        return product

    def _power(self, name: str, exponent: int) -> Cell:
        cell = self.symbol(name)
        result = ONE
        for _ in range(abs(exponent)):
            result = self.multiply(result, cell) if exponent > 0 else self.divide(result, cell)
        return result
