"""Errors of faults.

CircuitError
└── FaultError      a fault that its part cannot have, or that is described wrongly
"""

from __future__ import annotations

from tutor.circuits.errors import CircuitError


class FaultError(CircuitError, ValueError):
    """A fault that cannot be.

    Attributes:
        part: The part's reference.
        fault: The kind of fault.
        reason: What was found and what would do.
    """

    def __init__(self, part: str, fault: str, reason: str) -> None:
        self.part, self.fault, self.reason = part, fault, reason
        super().__init__(f"{part} {fault}: {reason}")
