"""The same equations solved in numbers with pivoting: the second opinion behind every straight-line program."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tutor.circuits.equations import Form, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem

CHUNK = 4096  # draws solved at once; larger blocks fall out of the cache


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
    return matrix, side


def _result(problem: Problem, columns: Mapping[Unknown, int], values: Mapping[str, Any], solution: Any) -> Any:
    import numpy as np

    total: Any = 0.0
    for first, second in problem.products:
        value = _form(first, columns, values, solution)
        if second or problem.is_power:
            current = _form(second, columns, values, solution)
            value = (value * np.conj(current)).real
        total = total + value
    if problem.reactive is not None:
        stored = values[problem.reactive.reference]
        total = total * stored if problem.reactive.kind == "capacitor" else stored / total
    return np.broadcast_to(total, solution.shape[:1]).copy()


def _form(form: Form, columns: Mapping[Unknown, int], values: Mapping[str, Any], solution: Any) -> Any:
    total: Any = 0.0
    for coefficient, unknown in form:
        total = total + _times(coefficient, values, solution[:, columns[unknown]])
    return total


def _times(coefficient: Polynomial, values: Mapping[str, Any], unknown: Any) -> Any:
    return coefficient.value(values) * unknown
