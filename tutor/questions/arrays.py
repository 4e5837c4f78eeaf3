"""Expressions over arrays of draws."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tutor.circuits.expressions import Expression, names_in
from tutor.circuits.expressions.evaluation import as_source
from tutor.circuits.program import load_function, program_arrays, spell


def array_value(expression: Expression, values: Mapping[str, Any], draws: int) -> Any:
    """Return an expression's value over arrays, shape (draws,); nan where it has none."""
    import numpy as np

    names = names_in(expression)
    arguments = ", ".join(spell(name) for name in names)
    source = f"def value({arguments}):\n    return ({as_source(expression, spell)},)\n"
    function = load_function(source, "value", program_arrays())
    with np.errstate(all="ignore"):
        try:
            (result,) = function(*(values[name] for name in names))
        except (ArithmeticError, ValueError):
            result = np.nan
    return np.broadcast_to(np.asarray(result, dtype=float), (draws,))


def relative_difference(a: Any, b: Any) -> Any:
    """Return |a − b| against the larger of the two, elementwise; 0 where both are 0, 1 where one is not finite."""
    import numpy as np

    with np.errstate(all="ignore"):
        size = np.maximum(np.abs(a), np.abs(b))
        difference = np.where(size > 0, np.abs(a - b) / np.where(size > 0, size, 1.0), 0.0)
    return np.where(np.isfinite(a) & np.isfinite(b), difference, 1.0)
