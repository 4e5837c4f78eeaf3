"""The transfer function of a circuit too large for a formula, in numbers.

With every capacitor and coil written as a column of the equations, (G + s·U·D·Uᵀ)·u = b, the poles are the roots of a
determinant no larger than there are stores: s = s₀ − 1/μ with μ the eigenvalues of D·Uᵀ(G + s₀·U·D·Uᵀ)⁻¹U. The zeros
follow the same way from the equations bordered with what drives and what is read. These are figures of rounding
accuracy only, so they are marked as not exact.

Source: the matrix determinant lemma; the bordered system is Rosenbrock's (both from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import AC, S
from tutor.circuits.asked import Gain
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.network import Network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.parts.passive import Capacitor, Coupling, Inductor
from tutor.circuits.problem import Problem, pose

SHIFTS = (0.0, 50.0, 5000.0)
"""Points s₀ [rad/s] at which the equations are tried: 0 gives the best figures, where they have a solution there."""

CONDITION = 1e13
INFINITE = 1e-11
"""An eigenvalue this small against the largest is a root at infinity."""
AT_NOUGHT = 1e-5
"""A root this near to 0, against the shift, lies at 0: several there are told no better from each other.

Against the shift of 50 rad/s that is 80 µHz, far below every circuit of the trade.
"""


@dataclass(frozen=True, slots=True)
class NumericTransfer:
    """A transfer function that is known by its equations only; for single values."""

    problem: Problem

    @staticmethod
    def of(network: Network, start: tuple[str, str], end: tuple[str, str]) -> NumericTransfer:
        """Return the transfer function from one pair of nodes to another; see `transfer.transfer_of`."""
        return NumericTransfer(pose(network, Gain(start, end), AC))

    @property
    def is_exact(self) -> bool:
        """Poles and zeros come from the equations in numbers."""
        return False

    def poles(self, values: Mapping[str, Any]) -> Any:
        """Return the poles [rad/s], complex, shape (1, poles), the smallest first."""
        matrix, stores, sizes = self._matrices(values)
        return _roots(matrix, stores, sizes)[None]

    def zeros(self, values: Mapping[str, Any]) -> Any:
        """Return the zeros [rad/s], complex, shape (1, zeros), the smallest first."""
        import numpy as np

        matrix, stores, sizes = self._matrices(values)
        columns = {unknown: place for place, unknown in enumerate(self.problem.equations.unknowns)}
        size = len(columns)
        bordered = np.zeros((size + 1, size + 1))
        bordered[:size, :size] = matrix
        for row, value in self.problem.side.items():
            bordered[columns[row], size] = value.value(values)
        for coefficient, unknown in self.problem.products[0][0]:
            bordered[size, columns[unknown]] += coefficient.value(values)
        return _roots(bordered, np.vstack([stores, np.zeros((1, stores.shape[1]))]), sizes)[None]

    def at(self, values: Mapping[str, Any], s: Any) -> Any:
        """Return the gain at complex frequencies s [rad/s], shape (1, frequencies); infinite on a pole."""
        import numpy as np

        points = np.atleast_1d(np.asarray(s, dtype=complex))
        single = {name: value for name, value in values.items() if name != S}

        def gains(part: Any) -> Any:
            try:
                return solve_numerically(self.problem, single | {S: part})
            except SingularCircuitError:
                if len(part) == 1:
                    return np.full(1, complex(np.inf, 0.0))
                half = len(part) // 2
                return np.concatenate([gains(part[:half]), gains(part[half:])])

        return gains(points)[None]

    def _matrices(self, values: Mapping[str, Any]) -> tuple[Any, Any, Any]:
        """Return G, U and D."""
        import numpy as np

        unknowns = {unknown: place for place, unknown in enumerate(self.problem.equations.unknowns)}
        matrix = np.zeros((len(unknowns), len(unknowns)))
        for (row, column), coefficient in self.problem.equations.matrix.items():
            still = coefficient.without(S)
            if still:
                matrix[unknowns[row], unknowns[column]] = still.value(values)
        parts = [part for part in self.problem.network.parts if isinstance(part, Capacitor | Inductor)]
        place = {part.reference: index for index, part in enumerate(parts)}
        stores, sizes = np.zeros((len(unknowns), len(parts))), np.zeros((len(parts), len(parts)))
        for index, part in enumerate(parts):
            capacitor = isinstance(part, Capacitor)
            sizes[index, index] = values[part.reference] * (1.0 if capacitor else -1.0)
            form = self.problem.equations.difference(*part.terminals()) if capacitor else part.current(None)  # type: ignore[arg-type]  # a coil's current is its own unknown
            for coefficient, unknown in form:
                stores[unknowns[unknown], index] += coefficient.value({})
        for coupling in self.problem.network.parts:
            if isinstance(coupling, Coupling):
                first, second = (place[coil] for coil in coupling.coils)
                sizes[first, second] = sizes[second, first] = -values[coupling.definitions()[0].symbol]
        return matrix, stores, sizes


def _roots(matrix: Any, stores: Any, sizes: Any) -> Any:
    """Return the finite roots of det(G + s·U·D·Uᵀ), the smallest first."""
    import numpy as np

    if not stores.shape[1]:
        return np.zeros(0, dtype=complex)
    for shift in SHIFTS:
        shifted = matrix + shift * (stores @ sizes @ stores.T)
        widths = np.abs(shifted).max(axis=0, initial=0.0)
        widths[widths == 0.0] = 1.0
        heights = np.abs(shifted / widths).max(axis=1, initial=0.0)
        heights[heights == 0.0] = 1.0
        scaled = shifted / widths / heights[:, None]
        if np.linalg.cond(scaled, 1) < CONDITION:
            seen = sizes @ stores.T @ (np.linalg.solve(scaled, stores / heights[:, None]) / widths[:, None])
            return _shifted_back(np.linalg.eigvals(seen).astype(complex), shift)
    raise SingularCircuitError("a pole or zero", "ac", "for these values")


def _shifted_back(eigenvalues: Any, shift: float) -> Any:
    import numpy as np

    finite = eigenvalues[np.abs(eigenvalues) > INFINITE * np.abs(eigenvalues).max(initial=0.0)]
    roots = shift - 1 / finite
    roots[np.abs(roots) <= AT_NOUGHT * shift] = 0.0
    roots = np.where(np.abs(roots.imag) <= 1e-7 * np.abs(roots), roots.real + 0j, roots)
    return roots[np.argsort(np.abs(roots), kind="stable")]
