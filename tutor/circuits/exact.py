"""One solution in exact fractions, for circuits that rounding could spoil: balanced, nearly singular, badly scaled.

A value counts as the decimal number that its file gives, so that what cancels on paper cancels here. Slow beside the
straight-line program and used only where that and the pivoted solution leave a doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tutor.circuits.equations import Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.numeric import form_size
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem

MOST_UNKNOWNS = 80
"""Beyond this the fractions grow too long to wait for."""

NUDGE = 2.0**-40
"""Relative change of every value by which a solution is tried; it is far below what any value is known to."""

STEADY = 1e-4
"""Change of the answer, against the largest voltages and currents of the circuit, that such a nudge may bring."""


@dataclass(frozen=True, slots=True)
class _Number:
    """A complex number of two fractions."""

    real: Fraction
    imaginary: Fraction

    def __bool__(self) -> bool:
        return bool(self.real or self.imaginary)

    def __add__(self, other: _Number) -> _Number:
        return _Number(self.real + other.real, self.imaginary + other.imaginary)

    def __sub__(self, other: _Number) -> _Number:
        return _Number(self.real - other.real, self.imaginary - other.imaginary)

    def __mul__(self, other: _Number) -> _Number:
        if not self.imaginary and not other.imaginary:
            return _Number(self.real * other.real, Fraction(0))
        return _Number(
            self.real * other.real - self.imaginary * other.imaginary,
            self.real * other.imaginary + self.imaginary * other.real,
        )

    def __truediv__(self, other: _Number) -> _Number:
        if not other.imaginary:
            return _Number(self.real / other.real, self.imaginary / other.real)
        size = other.real**2 + other.imaginary**2
        above = self * other.conjugate()
        return _Number(above.real / size, above.imaginary / size)

    def conjugate(self) -> _Number:
        return _Number(self.real, -self.imaginary)

    def __complex__(self) -> complex:
        return complex(float(self.real), float(self.imaginary))


_ZERO, _ONE = _Number(Fraction(0), Fraction(0)), _Number(Fraction(1), Fraction(0))


def _number(value: Any) -> _Number:
    """Return a value as the decimal fraction that it is written as."""
    value = complex(value)
    return _Number(Fraction(repr(value.real)), Fraction(repr(value.imag)))


def solve_exactly(problem: Problem, values: Callable[[float], Mapping[str, Any]]) -> complex:
    """Return the value of a problem, and make sure that there is one.

    Args:
        problem: The posed problem, of at most `MOST_UNKNOWNS` unknowns.
        values: Gives every symbol's value in SI units, `s` included at ac, for a relative change of the parts' values.

    Returns:
        The value in SI units.

    Raises:
        SingularCircuitError: If the equations have no unique solution for these values, or one that the slightest
            change of a value would throw about.
    """
    try:
        value, scale = _result(problem, values(0.0))
        nudged, nudged_scale = _result(problem, values(NUDGE))
    except OverflowError as error:
        detail = "it grows beyond every bound"
        raise SingularCircuitError("what is asked", str(problem.analysis), detail) from error
    if abs(value - nudged) > STEADY * max(scale, nudged_scale):
        raise SingularCircuitError("what is asked", str(problem.analysis), "for these values")
    return value


def _result(problem: Problem, values: Mapping[str, Any]) -> tuple[complex, float]:
    """Return the value, and how large it could be with the voltages and currents that there are."""
    exact = {symbol: _number(value) for symbol, value in values.items()}
    solution = _solve(problem, exact)
    largest = {"voltage": 0.0, "current": 0.0}
    for unknown, number in solution.items():
        largest[unknown.kind] = max(largest[unknown.kind], abs(complex(number)))
    total, scale = _ZERO, 0.0
    for first, second in problem.products:
        value, size = _form(first, exact, solution), form_size(first, values, largest)
        if problem.is_power:
            current, current_size = _form(second, exact, solution), form_size(second, values, largest)
            power = value * current.conjugate()
            value, size = _Number(power.real, Fraction(0)), size * current_size
        total, scale = total + value, scale + size
    if problem.reactive is None:
        return complex(total), scale
    stored = complex(exact[problem.reactive.reference])
    if problem.reactive.kind == "capacitor" and not problem.is_corner:
        return problem.of_store(complex(total), stored), scale * abs(stored)
    if not total:
        what = "corner frequency" if problem.is_corner else "time constant"
        raise SingularCircuitError(f"the {what} of {problem.reactive.reference}", "dc", "it sees no resistance")
    found = complex(problem.of_store(complex(total), stored))
    return found, abs(found)


def _form(form: Form, values: Mapping[str, _Number], solution: Mapping[Unknown, _Number]) -> _Number:
    total = _ZERO
    for coefficient, unknown in form:
        total = total + _evaluated(coefficient, values) * solution[unknown]
    return total


def _evaluated(polynomial: Polynomial, values: Mapping[str, _Number]) -> _Number:
    total = _ZERO
    for monomial, coefficient in polynomial.terms:
        product = _Number(Fraction(coefficient), Fraction(0))
        for symbol, exponent in monomial:
            for _ in range(abs(exponent)):
                product = product * values[symbol] if exponent > 0 else product / values[symbol]
        total = total + product
    return total


def _solve(problem: Problem, values: Mapping[str, _Number]) -> dict[Unknown, _Number]:
    """Return every unknown, by elimination of the sparsest row first."""
    rows: dict[Unknown, dict[Unknown, _Number]] = {unknown: {} for unknown in problem.equations.unknowns}
    for (row, column), coefficient in problem.equations.matrix.items():
        cell = _evaluated(coefficient, values)
        if cell:
            rows[row][column] = cell
    side = {row: _evaluated(problem.side.get(row, Polynomial()), values) for row in rows}
    pivots: list[tuple[Unknown, dict[Unknown, _Number], _Number]] = []
    while rows:
        pivot_row = min(rows, key=lambda row: len(rows[row]) or len(rows) + 1)
        cells, value = rows.pop(pivot_row), side.pop(pivot_row)
        if not cells:
            raise SingularCircuitError(_open(problem, pivots), str(problem.analysis), "for these values")
        column = min(cells, key=lambda c: sum(c in other for other in rows.values()))
        pivot = cells.pop(column)
        cells = {c: cell / pivot for c, cell in cells.items()}
        value = value / pivot
        for other, others in rows.items():
            head = others.pop(column, None)
            if head is not None:
                _take_off(others, cells, head)
                side[other] = side[other] - head * value
        pivots.append((column, cells, value))
    solution: dict[Unknown, _Number] = {}
    for column, cells, value in reversed(pivots):
        for other, cell in cells.items():
            value = value - cell * solution[other]
        solution[column] = value
    return solution


def _take_off(row: dict[Unknown, _Number], cells: Mapping[Unknown, _Number], factor: _Number) -> None:
    """Take factor × cells off a row; what cancels is gone."""
    for column, cell in cells.items():
        left = row.get(column, _ZERO) - factor * cell
        if left:
            row[column] = left
        else:
            row.pop(column, None)


def _open(problem: Problem, pivots: list[tuple[Unknown, dict[Unknown, _Number], _Number]]) -> str:
    """Return the name of the first unknown that is not determined."""
    solved = {column for column, _, _ in pivots}
    return str(next(unknown for unknown in problem.equations.unknowns if unknown not in solved))
