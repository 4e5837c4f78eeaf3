"""What can go wrong in explaining."""

from __future__ import annotations

from tutor.circuits.errors import CircuitError


class NoExplanationError(CircuitError):
    """The rules do not lead from what is known to what is asked."""

    def __init__(self, asked: str) -> None:
        super().__init__(
            f"{asked}: no chain of steps leads there; the template's own formula or solution is shown instead"
        )
        self.asked = asked
