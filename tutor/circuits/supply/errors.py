"""Errors of supplies.

SupplyError                a supply that is described wrongly; names the key, the draw and what would do
└── UnloadedSupplyError    nothing that holds or draws a charge: the output has no voltage of its own
"""

from __future__ import annotations

from tutor.circuits.errors import CircuitError


class SupplyError(CircuitError, ValueError):
    """A supply that is described wrongly.

    Attributes:
        key: Path of the key, such as `sections[1].capacitance`.
        found: What stands there.
        wanted: What would do.
        draw: Index of the first draw at fault, or None where the value is the same for all.
    """

    def __init__(self, key: str, found: str, wanted: str, draw: int | None = None) -> None:
        self.key, self.found, self.wanted, self.draw = key, found, wanted, draw
        where = "" if draw is None else f" (draw {draw})"
        super().__init__(f"supply {key}{where}: found {found}; wanted {wanted}")


class UnloadedSupplyError(SupplyError):
    """A supply without capacitor, in which nothing conducts: its output voltage is left open."""
