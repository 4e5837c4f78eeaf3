from __future__ import annotations

import random
from typing import Any

import pytest
from sympy import ZZ
from sympy.polys.rings import ring

from tutor.circuits.equations import Unknown
from tutor.circuits.errors import FormulaTooLongError
from tutor.circuits.minors import Budget, Determinant

RING, *SYMBOLS = ring("a,b,c,d,e", ZZ)


def unknowns(size: int) -> list[Unknown]:
    return [Unknown("voltage", f"n{place}") for place in range(size)]


def by_leibniz(rows: list[list[Any]]) -> Any:
    """The determinant by its definition, along the first row."""
    if not rows:
        return RING.one
    total = RING.zero
    for place, element in enumerate(rows[0]):
        rest = [row[:place] + row[place + 1 :] for row in rows[1:]]
        total = total + (-1) ** place * element * by_leibniz(rest)
    return total


@pytest.mark.parametrize("seed", range(12))
def test_a_determinant_is_what_its_definition_says(seed: int) -> None:
    lots = random.Random(seed)
    size = 2 + seed % 4
    order = unknowns(size)
    rows = [
        [lots.sample([RING.zero, *SYMBOLS, SYMBOLS[0] - SYMBOLS[1]], 1)[0] for _ in range(size)] for _ in range(size)
    ]  # fmt: skip
    matrix = {(order[i], order[j]): rows[i][j] for i in range(size) for j in range(size) if rows[i][j]}
    assert Determinant(order, matrix, RING, Budget(10**6, 10**6)).value() == by_leibniz(rows)


@pytest.mark.parametrize("budget", [Budget(3, 10**6), Budget(10**6, 20)])
def test_an_expansion_ends_when_its_budget_is_spent(budget: Budget) -> None:
    order = unknowns(5)
    matrix = {
        (row, column): SYMBOLS[i] + SYMBOLS[j] for i, row in enumerate(order) for j, column in enumerate(order)
    }  # fmt: skip
    with pytest.raises(FormulaTooLongError):
        Determinant(order, matrix, RING, budget).value()
