"""Damped least squares after Levenberg and Marquardt, for a handful of unknowns; the same steps on every machine."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tutor.circuits.valves.models import Array

STEP = 1e-5  # for the central differences; unknowns are logarithms or volts, all near one
MOST_STEPS = 300
SMALLEST_STEP = 1e-11


def least_squares(residuals: Callable[[Array], Array], start: Array) -> Array:
    """Return the unknowns at which the sum of the squares of the residuals is least.

    Args:
        residuals: From unknowns of shape (unknowns,) to residuals of any fixed shape (figures,).
        start: Where to begin, shape (unknowns,).

    Source:
        D. W. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, SIAM J. 11 (1963).
    """
    x, damping = start.astype(np.float64), 1e-2
    r = residuals(x)
    for _ in range(MOST_STEPS):
        jacobian = _jacobian(residuals, x)
        square, slope = jacobian.T @ jacobian, jacobian.T @ r
        while True:
            step = np.linalg.solve(square + damping * np.diag(np.diag(square) + 1e-9), -slope)
            new = residuals(x + step)
            if new @ new < r @ r:
                x, r, damping = x + step, new, max(damping / 5, 1e-12)
                break
            damping *= 4
            if damping > 1e12:
                return x
        if np.abs(step).max() < SMALLEST_STEP:
            break
    return x


def _jacobian(residuals: Callable[[Array], Array], x: Array) -> Array:
    columns = []
    for k in range(len(x)):
        ahead, back = x.copy(), x.copy()
        ahead[k] += STEP
        back[k] -= STEP
        columns.append((residuals(ahead) - residuals(back)) / (2 * STEP))
    return np.stack(columns, axis=1)
