"""The same equations solved in numbers with pivoting: the second opinion behind every straight-line program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.equations import Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem

CHUNK = 4096  # draws solved at once; larger blocks fall out of the cache


@dataclass(frozen=True, slots=True)
class Estimate:
    """A solution in numbers and how far it can be trusted.

    Attributes:
        value: The value in SI units.
        scale: How large it could be with the largest voltages and currents that there are.
        condition: How much a rounding error of the equations is magnified at most.
    """

    value: complex
    scale: float
    condition: float


def estimate(problem: Problem, values: Mapping[str, Any]) -> Estimate:
    """Return the value of a problem for single numbers, with its condition.

    Args:
        problem: The posed problem.
        values: Every symbol's value in SI units, `s` included at ac.

    Returns:
        The value with its scale; the condition is that of the equations with rows and columns brought to one size.

    Raises:
        SingularCircuitError: If the equations have no unique solution.
    """
    import numpy as np

    with np.errstate(all="ignore"):  # what overflows is found out by its value
        return _estimate(problem, values)


def _estimate(problem: Problem, values: Mapping[str, Any]) -> Estimate:
    import numpy as np

    columns = {unknown: index for index, unknown in enumerate(problem.equations.unknowns)}
    (matrix,), (side,) = _filled(problem, columns, values, 1)
    widths = 1 / _largest(matrix, axis=0)
    scaled = matrix * widths
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError as error:
        raise SingularCircuitError("at least one unknown", str(problem.analysis), "for these values") from error
    condition = 1.0
    if columns:
        condition = float(np.linalg.norm(scaled, 1) * np.linalg.norm(inverse, 1))
    solution = widths * (inverse @ side)
    # One round of refinement takes off what the inverse has added of its own.
    solution = solution + widths * (inverse @ (side - matrix @ solution))
    value = complex(_result(problem, columns, values, solution[None])[0])
    return Estimate(value, _scale(problem, columns, values, solution), condition)


def _largest(matrix: Any, axis: int) -> Any:
    """Return the largest size in each row or column; 1 where there is nothing."""
    import numpy as np

    sizes = np.abs(matrix).max(axis=axis, initial=0.0)
    return np.where(sizes > 0, sizes, 1.0)


def form_size(form: Form, values: Mapping[str, Any], largest: Mapping[str, float]) -> float:
    """Return how large a linear form could be, with unknowns as large as the largest of their kind."""
    return float(sum(abs(coefficient.value(values)) * largest[unknown.kind] for coefficient, unknown in form))


def _scale(problem: Problem, columns: Mapping[Unknown, int], values: Mapping[str, Any], solution: Any) -> float:
    largest = {"voltage": 0.0, "current": 0.0}
    for unknown, place in columns.items():
        largest[unknown.kind] = max(largest[unknown.kind], abs(solution[place]))
    total = 0.0
    for first, second in problem.products:
        size = form_size(first, values, largest)
        total += size * form_size(second, values, largest) if problem.is_power else size
    return total


def solve_numerically(problem: Problem, values: Mapping[str, Any]) -> Any:
    """Return the value of a problem for arrays of draws, by LAPACK's pivoted elimination.

    Args:
        problem: The posed problem.
        values: Every symbol's value in SI units, `s` included at ac; numbers or arrays of shape (draws,).

    Returns:
        Array of shape (draws,): real at dc and for power, complex otherwise.

    Raises:
        SingularCircuitError: If the equations of some draw have no unique solution.
    """
    import numpy as np

    columns = {unknown: index for index, unknown in enumerate(problem.equations.unknowns)}
    draws = max((np.size(value) for value in values.values()), default=1)
    results = []
    for start in range(0, draws, CHUNK):
        part = {k: v if np.size(v) == 1 else v[start : start + CHUNK] for k, v in values.items()}
        count = min(CHUNK, draws - start)
        matrix, side = _filled(problem, columns, part, count)
        try:
            solution = np.linalg.solve(matrix, side[..., None])[..., 0]
        except np.linalg.LinAlgError as error:
            raise SingularCircuitError("at least one unknown", str(problem.analysis), "for these values") from error
        results.append(_result(problem, columns, part, solution))
    return np.concatenate(results)


def _filled(problem: Problem, columns: Mapping[Unknown, int], values: Mapping[str, Any], count: int) -> Any:
    import numpy as np

    size = len(columns)
    kind = complex if problem.is_complex else float
    matrix = np.zeros((count, size, size), dtype=kind)
    side = np.zeros((count, size), dtype=kind)
    for (row, column), coefficient in problem.equations.matrix.items():
        matrix[:, columns[row], columns[column]] = coefficient.value(values)
    for row, value in problem.side.items():
        side[:, columns[row]] = value.value(values)
    # Each row brought to one size: pivots are then chosen among numbers that can be compared.
    heights = _largest(matrix, axis=2)
    return matrix / heights[:, :, None], side / heights


def _result(problem: Problem, columns: Mapping[Unknown, int], values: Mapping[str, Any], solution: Any) -> Any:
    import numpy as np

    total: Any = 0.0
    for first, second in problem.products:
        value = _form(first, columns, values, solution)
        if problem.is_power:
            current = _form(second, columns, values, solution)
            value = (value * np.conj(current)).real
        total = total + value
    if problem.reactive is not None:
        total = problem.of_store(total, values[problem.reactive.reference])
    return np.broadcast_to(total, solution.shape[:1]).copy()


def _form(form: Form, columns: Mapping[Unknown, int], values: Mapping[str, Any], solution: Any) -> Any:
    total: Any = 0.0
    for coefficient, unknown in form:
        total = total + _times(coefficient, values, solution[:, columns[unknown]])
    return total


def _times(coefficient: Polynomial, values: Mapping[str, Any], unknown: Any) -> Any:
    return coefficient.value(values) * unknown
