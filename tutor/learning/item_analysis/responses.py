"""The matrix of answers: checked once, then read by members, by questions, or whole rows only."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from tutor.learning.item_analysis.errors import ResponsesError

Matrix: TypeAlias = Sequence[Sequence[float | None]]
"""Members × questions: shares of the marks, 0 to 1, None where not answered."""

Row: TypeAlias = tuple[float | None, ...]
Rows: TypeAlias = tuple[Row, ...]
Complete: TypeAlias = tuple[tuple[float, ...], ...]
"""Rows without gaps."""

MOST_MARKS = 1e6


def checked(answers: Matrix, *, highest: float = 1.0) -> Rows:
    """Return the answers as tuples of floats.

    Args:
        answers: Members × questions.
        highest: The most that an entry may be: 1 for shares, more where marks are meant.
    Raises:
        ResponsesError: If the rows differ in length, or an entry is not a number from 0 to the highest.
    """
    rows = tuple(tuple(_entry(entry, highest, m, q) for q, entry in enumerate(row)) for m, row in enumerate(answers))
    for member, row in enumerate(rows):
        if len(row) != len(rows[0]):
            raise ResponsesError(f"{len(row)} entries", f"{len(rows[0])} as for the first member", member=member)
    return rows


def _entry(entry: object, highest: float, member: int, question: int) -> float | None:
    if entry is None:
        return None
    # NaN fails both comparisons, so it is refused here too.
    if not isinstance(entry, int | float) or not 0 <= entry <= highest:
        raise ResponsesError(
            entry, f"a number from 0 to {highest:g}, or None for not answered", member=member, question=question
        )
    return float(entry)


def right_or_wrong(answers: Matrix) -> tuple[tuple[int | None, ...], ...]:
    """Return the answers as 0 and 1.

    Raises:
        ResponsesError: As by `checked`, or if an entry lies between 0 and 1.
    """
    rows = checked(answers)
    for member, row in enumerate(rows):
        for question, entry in enumerate(row):
            if entry not in (None, 0.0, 1.0):
                raise ResponsesError(
                    entry, "0 for wrong or 1 for right, or None for not answered", member=member, question=question
                )
    return tuple(tuple(None if entry is None else int(entry) for entry in row) for row in rows)


def in_full_or_wrong(answers: Matrix) -> tuple[tuple[int | None, ...], ...]:
    """Return 1 where every mark was earned and 0 where some were lost: the Rasch model knows no part marks."""
    return tuple(tuple(None if x is None else int(x >= 1.0 - 1e-9) for x in row) for row in checked(answers))


def complete_rows(rows: Rows) -> tuple[tuple[int, ...], Complete]:
    """Return the columns that somebody answered, and the rows that answer all of these.

    A question that nobody answered (withdrawn before anybody met it) would otherwise leave no row at all.
    """
    columns = tuple(q for q in range(len(rows[0]) if rows else 0) if any(row[q] is not None for row in rows))
    if not columns:
        return (), ()
    kept = ([entry for q in columns if (entry := row[q]) is not None] for row in rows)
    return columns, tuple(tuple(row) for row in kept if len(row) == len(columns))
