"""Roots of real polynomials for whole arrays of draws, accurate where the roots lie decades apart.

One and two roots are written out; more are eigenvalues of the companion matrix with the variable scaled, followed by
a few steps of Newton's rule on the polynomial itself.

Source: the stable form of the quadratic formula as in any text on numerical analysis (from memory).
"""

from __future__ import annotations

from typing import Any

LOST = 1e-13
"""A leading coefficient this small against the terms that it is the sum of is rounding: the root lies at infinity."""

ON_AXIS = 1e-10
"""A real part this small against the root's size is rounding: the root lies on the imaginary axis."""

NEARLY_REAL = 2e-8
"""The same for an imaginary part: two equal roots scatter about their place by the root of a rounding error."""

POLISHES = 4


def roots_of(coefficients: Any) -> Any:
    """Return all roots of polynomials with real coefficients.

    Args:
        coefficients: Shape (draws, n + 1), that of the power 0 first. A leading coefficient of 0 puts a root to
            infinity, where another takes the lead.

    Returns:
        Complex array of shape (draws, n), the smallest root first; infinite ones last.
    """
    import numpy as np

    given = np.atleast_2d(np.asarray(coefficients, dtype=float))
    draws, count = given.shape[0], given.shape[1] - 1
    found = np.full((draws, count), complex(np.inf, 0.0))
    # Draws with the same noughts at both ends are solved together: those below are roots at 0, those above at infinity.
    some = (given != 0).any(axis=1)
    lowest = np.where(some, np.argmax(given != 0, axis=1), 0)
    highest = np.where(some, count - np.argmax(given[:, ::-1] != 0, axis=1), 0)
    for low, high in np.unique(np.stack([lowest, highest], axis=1), axis=0):
        rows = (lowest == low) & (highest == high)
        found[rows, :low] = 0.0
        if high > low:
            found[rows, low:high] = _of_degree(given[rows, low : high + 1])
    return found


def _of_degree(coefficients: Any) -> Any:
    import numpy as np

    degree = coefficients.shape[1] - 1
    if degree == 1:
        return (-coefficients[:, :1] / coefficients[:, 1:]).astype(complex)
    # s = scale·x brings first and last coefficient to one size; by logarithms, since their powers may overflow.
    first, last = np.abs(coefficients[:, 0]), np.abs(coefficients[:, -1])
    with np.errstate(divide="ignore"):
        scale = np.exp((np.log(first) - np.log(last)) / degree)[:, None]
        logs = np.log(np.abs(coefficients)) - np.log(last)[:, None] + np.log(scale) * (np.arange(degree + 1) - degree)
        scaled = np.sign(coefficients) * np.sign(coefficients[:, -1:]) * np.exp(logs)
    roots = _quadratic(scaled) if degree == 2 else _polished(scaled, _companion(scaled))
    roots = _tidied(roots) * scale
    return np.take_along_axis(roots, np.argsort(np.abs(roots), axis=1, kind="stable"), axis=1)


def _quadratic(scaled: Any) -> Any:
    """Return both roots of x² + b·x + c."""
    import numpy as np

    half, product = scaled[:, 1] / 2, scaled[:, 0]
    discriminant = half * half - product
    root = np.sqrt(discriminant.astype(complex))
    large = -half - np.where(half >= 0, 1.0, -1.0) * root
    with np.errstate(all="ignore"):
        small = np.where((discriminant >= 0) & (large != 0), product / large, np.conj(large))
    return np.stack([small, large], axis=1)


def _companion(scaled: Any) -> Any:
    import numpy as np

    draws, degree = scaled.shape[0], scaled.shape[1] - 1
    matrix = np.zeros((draws, degree, degree))
    matrix[:, 1:, :-1] = np.eye(degree - 1)
    matrix[:, :, -1] = -scaled[:, :-1]
    return np.linalg.eigvals(matrix).astype(complex)


def _polished(scaled: Any, roots: Any) -> Any:
    """Return the roots after a few steps of Newton's rule; a step that makes matters worse is taken back."""
    import numpy as np

    def value(x: Any) -> tuple[Any, Any]:
        total, slope = np.zeros_like(x), np.zeros_like(x)
        for coefficient in scaled[:, ::-1].T:
            slope = slope * x + total
            total = total * x + coefficient[:, None]
        return total, slope

    with np.errstate(all="ignore"):
        total, slope = value(roots)
        for _ in range(POLISHES):
            moved = roots - np.where(slope != 0, total / slope, 0.0)
            there, steeper = value(moved)
            better = np.abs(there) < np.abs(total)
            roots, total, slope = (
                np.where(better, new, old) for new, old in ((moved, roots), (there, total), (steeper, slope))
            )
    return roots


def _tidied(roots: Any) -> Any:
    """Return the roots with what is rounding in their real and imaginary parts taken off."""
    import numpy as np

    size = np.abs(roots)
    real = np.where(np.abs(roots.real) <= ON_AXIS * size, 0.0, roots.real)
    # Roots of multiplicity scatter about their place by no more than this.
    imaginary = np.where(np.abs(roots.imag) <= NEARLY_REAL * size, 0.0, roots.imag)
    return real + 1j * imaginary
