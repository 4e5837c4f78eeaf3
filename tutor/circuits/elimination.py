"""Sparse Gaussian elimination on a tape: the solution of a circuit as a straight-line program.

The pattern of the equations decides the order of the pivots once (fewest new entries first), for all draws; the program
that results has a few steps for each part and is exact algebra, so the same one serves single numbers and arrays. It
cannot choose pivots by size: the numeric solution of `numeric` stands beside it, and `check` compares the two.

Source of the order: H. M. Markowitz, "The elimination form of the inverse and its application to linear programming",
Management Science 3 (1957) 255-269 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.tape import ZERO, Cell, Tape


@dataclass(slots=True)
class _Matrix:
    """The remaining equations while pivots are taken out; unknowns by their place, which is quicker to look up.

    Attributes:
        cells: Row → column → cell.
        side: Right-hand side by row.
        late: Columns that are wanted, and so eliminated last.
    """

    cells: dict[int, dict[int, Cell]]
    side: dict[int, Cell]
    late: frozenset[int]


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
    place = {unknown: index for index, unknown in enumerate(equations.unknowns)}
    late = frozenset(place[unknown] for form in wanted for _, unknown in form)
    matrix = _Matrix(
        {row: {} for row in place.values()},
        {place[row]: tape.polynomial(value) for row, value in side.items() if value},
        late,
    )
    for (row, column), coefficient in equations.matrix.items():
        cell = tape.polynomial(coefficient)
        if (row, column) in equations.may_vanish:
            cell = replace(cell, vanishes=frozenset({str(row)}))
        matrix.cells[place[row]][place[column]] = cell
    pivots = _eliminate(tape, matrix)
    if len(pivots) < len(place):
        solved = {column for column, *_ in pivots}
        open_one = next(unknown for unknown, index in place.items() if index not in solved)
        raise SingularCircuitError(str(open_one), str(equations.analysis))
    solution = _substituted(tape, pivots, late)
    return [
        _form(tape, form, {unknown: solution.get(index, ZERO) for unknown, index in place.items()}) for form in wanted
    ]


def _form(tape: Tape, form: Form, solution: Mapping[Unknown, Cell]) -> Cell:
    total = ZERO
    for coefficient, unknown in form:
        total = tape.add(total, tape.multiply(tape.polynomial(coefficient), solution[unknown]))
    return total


_Pivot = tuple[int, Cell, dict[int, Cell], Cell]
"""Column, pivot, the rest of its row, right-hand side."""


def _substituted(tape: Tape, pivots: Sequence[_Pivot], late: frozenset[int]) -> dict[int, Cell]:
    """Return the wanted unknowns, and those that they hang on, from the last pivot back to the first."""
    needed = set(late)
    for column, _, row, _ in pivots:
        if column in needed:
            needed.update(row)
    solution: dict[int, Cell] = {}
    for column, pivot, rest, value in reversed(pivots):
        if column in needed:
            total = value
            for other, cell in rest.items():
                total = tape.add(total, tape.multiply(cell, solution[other]), -1)
            solution[column] = tape.divide(total, pivot)
    return solution


def _eliminate(tape: Tape, matrix: _Matrix) -> list[_Pivot]:
    """Take out one pivot after the other, as many as there are: fewer than rows where something stays open."""
    pivots: list[_Pivot] = []
    counts = [0] * len(matrix.cells)
    for cells in matrix.cells.values():
        for column in cells:
            counts[column] += 1
    while (chosen := _choose(matrix, counts)) is not None:
        pivot_row, pivot_column = chosen
        row = matrix.cells.pop(pivot_row)
        for column in row:
            counts[column] -= 1
        pivot = row.pop(pivot_column)
        value = matrix.side.pop(pivot_row, ZERO)
        for other, cells in matrix.cells.items():
            head = cells.pop(pivot_column, None)
            if head is None:
                continue
            factor = tape.divide(head, pivot)
            for column, cell in row.items():
                before = cells.pop(column, None)
                total = tape.add(before or ZERO, tape.multiply(factor, cell), -1)
                if not total.is_zero:
                    cells[column] = total
                counts[column] += (column in cells) - (before is not None)
            if not value.is_zero:
                matrix.side[other] = tape.add(matrix.side.get(other, ZERO), tape.multiply(factor, value), -1)
        pivots.append((pivot_column, pivot, row, value))
    return pivots


def _choose(matrix: _Matrix, counts: Sequence[int]) -> tuple[int, int] | None:
    """Return the next pivot, as row and column; None where there is none.

    Preferred is what is zero for no admissible value, an unknown that is not wanted, few new entries, a bare ±1, the
    diagonal, and last the file's order.
    """
    # All of it in one whole number a cell, since this is asked of every cell at every step.
    size, late = len(counts), matrix.late
    best, chosen = None, None
    for row, cells in matrix.cells.items():
        width = len(cells) - 1
        for column, cell in cells.items():
            rank = (2 if cell.vanishes else 0) + (column in late)
            rank = rank * size * size + width * (counts[column] - 1)
            rank = rank * 4 + (2 if cell.literal is None else 0) + (row != column)
            rank = (rank * size + row) * size + column
            if best is None or rank < best:
                best, chosen = rank, (row, column)
    return chosen
