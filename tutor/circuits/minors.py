"""Determinants of sparse matrices of polynomials, by minors that are each worked out once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.equations import Unknown
from tutor.circuits.errors import FormulaTooLongError


@dataclass(slots=True)
class Budget:
    """What may still be spent on an expansion.

    Attributes:
        longest: Terms that any intermediate result may have.
        work: Products of terms left.
    """

    longest: int
    work: int

    def product(self, a: Any, b: Any) -> Any:
        """Return a product of two polynomials.

        Raises:
            FormulaTooLongError: If there is no work left, or a factor or the product is too long.
        """
        self.spend(len(a) * len(b), max(len(a), len(b)))
        product = a * b
        self.spend(0, len(product))
        return product

    def spend(self, work: int, terms: int) -> None:
        """Take work off; raise FormulaTooLongError when there is none left, or the terms are too many."""
        self.work -= work
        if self.work < 0 or terms > self.longest:
            raise FormulaTooLongError(self.longest)


class Determinant:
    """A determinant by expansion along columns, the sparsest first, each minor worked out once."""

    def __init__(
        self, order: list[Unknown], matrix: Mapping[tuple[Unknown, Unknown], Any], ring: Any, budget: Budget
    ) -> None:
        self._ring, self._budget = ring, budget
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
            product = self._budget.product(element, minor)
            total = total - product if (rows & ((1 << row) - 1)).bit_count() % 2 else total + product
        self._budget.spend(1, len(total))
        self._minors[rows] = total
        return total
