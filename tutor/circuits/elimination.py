"""Sparse Gaussian elimination on a tape: the solution of a circuit as a straight-line program.

The pattern of the equations decides the order of the pivots once (fewest new entries first), for all draws; the program
that results has a few steps for each part and is exact algebra, so the same one serves single numbers and arrays. It
cannot choose pivots by size: the numeric solution of `numeric` stands beside it, and `check` compares the two.

Source of the order: H. M. Markowitz, "The elimination form of the inverse and its application to linear programming",
Management Science 3 (1957) 255-269 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.tape import ZERO, Cell, Tape


@dataclass(slots=True)
class _Matrix:
    """The remaining equations while pivots are taken out."""

    cells: dict[Unknown, dict[Unknown, Cell]]  # row → column → cell
    side: dict[Unknown, Cell]

    def columns(self) -> dict[Unknown, int]:
        counts: dict[Unknown, int] = {}
        for cells in self.cells.values():
            for column in cells:
                counts[column] = counts.get(column, 0) + 1
        return counts


def solve_on_tape(
    tape: Tape, equations: Equations, side: Mapping[Unknown, Polynomial], wanted: Sequence[Form]
) -> list[Cell]:
    """Record the solution of the equations.

    Args:
        tape: Where to record.
        equations: The equations.
        side: Right-hand side by row.
        wanted: Linear forms of the unknowns.

    Returns:
        One cell for each wanted form.

    Raises:
        SingularCircuitError: If the equations have no unique solution whatever the values; names what stays open.
    """
    matrix = _Matrix(
        {row: {} for row in equations.unknowns},
        {row: tape.polynomial(value) for row, value in side.items() if value},
    )
    for (place, column), coefficient in equations.matrix.items():
        matrix.cells[place][column] = tape.polynomial(coefficient)
    late = {unknown for form in wanted for _, unknown in form}
    pivots = _eliminate(tape, matrix, late, str(equations.analysis), list(equations.unknowns))
    needed = _needed(pivots, late)
    solution: dict[Unknown, Cell] = {}
    for column, pivot, rest, value in reversed(pivots):
        if column not in needed:
            continue
        total = value
        for other, cell in rest.items():
            total = tape.add(total, tape.multiply(cell, solution[other]), -1)
        solution[column] = tape.divide(total, pivot)
    return [_form(tape, form, solution) for form in wanted]


def _form(tape: Tape, form: Form, solution: Mapping[Unknown, Cell]) -> Cell:
    total = ZERO
    for coefficient, unknown in form:
        total = tape.add(total, tape.multiply(tape.polynomial(coefficient), solution[unknown]))
    return total


_Pivot = tuple[Unknown, Cell, dict[Unknown, Cell], Cell]
"""Column, pivot, the rest of its row, right-hand side."""


def _needed(pivots: Sequence[_Pivot], late: set[Unknown]) -> set[Unknown]:
    """Return the unknowns that back-substitution has to visit."""
    needed = set(late)
    for column, _, row, _ in pivots:
        if column in needed:
            needed.update(row)
    return needed


def _eliminate(tape: Tape, matrix: _Matrix, late: set[Unknown], analysis: str, order: list[Unknown]) -> list[_Pivot]:
    place = {unknown: index for index, unknown in enumerate(order)}
    pivots: list[_Pivot] = []
    while matrix.cells:
        chosen = _choose(matrix, late, place)
        if chosen is None:
            solved = {pivot[0] for pivot in pivots}
            open_ones = [u for u in order if u not in solved]
            raise SingularCircuitError(str(open_ones[0]), analysis)
        pivot_row, pivot_column = chosen
        row = matrix.cells.pop(pivot_row)
        pivot = row.pop(pivot_column)
        value = matrix.side.pop(pivot_row, ZERO)
        for other, cells in matrix.cells.items():
            head = cells.pop(pivot_column, None)
            if head is None:
                continue
            factor = tape.divide(head, pivot)
            for column, cell in row.items():
                total = tape.add(cells.get(column, ZERO), tape.multiply(factor, cell), -1)
                if total.is_zero:
                    cells.pop(column, None)
                else:
                    cells[column] = total
            if not value.is_zero:
                matrix.side[other] = tape.add(matrix.side.get(other, ZERO), tape.multiply(factor, value), -1)
        pivots.append((pivot_column, pivot, row, value))
    return pivots


def _choose(matrix: _Matrix, late: set[Unknown], place: Mapping[Unknown, int]) -> tuple[Unknown, Unknown] | None:
    """Return the next pivot: wanted unknowns last, few new entries, a bare ±1, the diagonal, then the file's order."""
    counts = matrix.columns()
    best: tuple[tuple[int, ...], tuple[Unknown, Unknown]] | None = None
    for row, cells in matrix.cells.items():
        for column, cell in cells.items():
            rank = (
                int(column in late),
                (len(cells) - 1) * (counts[column] - 1),
                int(cell.literal is None),
                int(row != column),
                place[row],
                place[column],
            )
            if best is None or rank < best[0]:
                best = (rank, (row, column))
    return None if best is None else best[1]
