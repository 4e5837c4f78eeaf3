"""Matrices of answers to draw properties from."""

from __future__ import annotations

import math
import random

from hypothesis import strategies as st

from tutor.learning.item_analysis.responses import Matrix


def matrices(
    entries: st.SearchStrategy[float | None], *, members: tuple[int, int] = (0, 12), questions: tuple[int, int] = (0, 6)
) -> st.SearchStrategy[Matrix]:
    """Matrices with so many rows and columns."""
    return st.integers(*questions).flatmap(
        lambda k: st.lists(st.lists(entries, min_size=k, max_size=k), min_size=members[0], max_size=members[1])
    )


RIGHT_OR_WRONG = st.sampled_from([0.0, 1.0])
WITH_GAPS = st.sampled_from([0.0, 1.0, None])
PART_MARKS = st.one_of(st.none(), st.floats(0, 1), st.sampled_from([0.0, 1 / 3, 0.1, 0.5, 1.0]))


def simulated(
    seed: int, members: int, difficulties: list[float], *, spread: float = 1.0, answered: float = 1.0
) -> list[list[int | None]]:
    """Answers by the Rasch model of members with N(0, spread²) abilities, each question met with the given chance."""
    lots = random.Random(seed)
    rows: list[list[int | None]] = []
    for _ in range(members):
        theta = lots.gauss(0, spread)
        row: list[int | None] = []
        for b in difficulties:
            right = int(lots.uniform(0, 1) < 1 / (1 + math.exp(b - theta)))
            row.append(right if lots.uniform(0, 1) < answered else None)
        rows.append(row)
    return rows
