"""The full solution of one circuit in plain Python: what every step is held against.

Gaussian elimination with row pivoting on the same equations as everywhere, for single numbers; small circuits only, and
without NumPy, because questions are served from here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.problem import Problem

SMALLEST_PIVOT = 1e-25  # rows are brought to one size, columns are not: microamperes stand beside volts


@dataclass(frozen=True, slots=True)
class Truth:
    """Every unknown of a circuit, solved at once.

    Attributes:
        equations: What was solved.
        solution: Unknown → its value in SI units.
        symbols: Value of every symbol of the equations.
    """

    equations: Equations
    solution: Mapping[Unknown, complex]
    symbols: Mapping[str, complex]

    def form(self, form: Form) -> complex:
        """Return the value of a linear form."""
        return sum((complex(c.value(self.symbols)) * self.solution[unknown] for c, unknown in form), 0j)

    def voltage(self, a: str, b: str) -> complex:
        """Return the voltage of node a against node b [V]."""
        return self.form(self.equations.difference(a, b))


def solve_all(problem: Problem, symbols: Mapping[str, complex]) -> Truth:
    """Solve a posed problem for all of its unknowns.

    Args:
        problem: The problem.
        symbols: Every symbol's value in SI units, `s` included at ac.

    Raises:
        SingularCircuitError: If the equations have no unique solution.
    """
    unknowns = problem.equations.unknowns
    place = {unknown: index for index, unknown in enumerate(unknowns)}
    rows = [[0j] * (len(unknowns) + 1) for _ in unknowns]
    for (row, column), coefficient in problem.equations.matrix.items():
        rows[place[row]][place[column]] = complex(coefficient.value(symbols))
    for row, value in problem.side.items():
        rows[place[row]][-1] = complex(value.value(symbols))
    solution = _eliminated(rows, str(problem.analysis))
    return Truth(problem.equations, dict(zip(unknowns, solution, strict=True)), symbols)


def _eliminated(rows: list[list[complex]], analysis: str) -> list[complex]:
    size = len(rows)
    for row in rows:
        largest = max((abs(entry) for entry in row[:-1]), default=0.0)
        if largest == 0:
            raise SingularCircuitError("at least one unknown", analysis, "for these values")
        row[:] = [entry / largest for entry in row]
    for column in range(size):
        pivot = max(range(column, size), key=lambda index: abs(rows[index][column]))
        if abs(rows[pivot][column]) < SMALLEST_PIVOT:
            raise SingularCircuitError("at least one unknown", analysis, "for these values")
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for index in range(column + 1, size):
            factor = rows[index][column] / rows[column][column]
            if factor:
                rows[index] = [a - factor * b for a, b in zip(rows[index], rows[column], strict=True)]
    solution = [0j] * size
    for index in reversed(range(size)):
        known = sum(rows[index][other] * solution[other] for other in range(index + 1, size))
        solution[index] = (rows[index][-1] - known) / rows[index][index]
    return solution


def true_answer(problem: Problem, symbols: Mapping[str, complex], take: str) -> complex:
    """Return the answer to a posed problem, or one figure of it.

    Args:
        problem: The problem.
        symbols: Every symbol's value in SI units.
        take: `magnitude`, `decibels`, `phase`, or "" for all of it.
    """
    truth = solve_all(problem, symbols)
    total = 0j
    for first, second in problem.products:
        value = truth.form(first)
        total += (value * truth.form(second).conjugate()).real if problem.is_power else value
    if problem.reactive is not None:
        stored = symbols[problem.reactive.reference]
        total = total * stored if problem.reactive.kind == "capacitor" else stored / total
    match take:
        case "magnitude":
            return complex(abs(total))
        case "decibels":
            return complex(20 * math.log10(abs(total)))
        case "phase":
            return complex(math.degrees(math.atan2(total.imag, total.real)))
        case _:
            return total
