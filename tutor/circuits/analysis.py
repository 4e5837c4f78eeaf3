"""At what a circuit is looked at: dc, ac at one frequency, or a time after every source is switched on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

S = "s"  # the symbol of the complex frequency, jω, in equations and formulas
OMEGA = "omega"


@dataclass(frozen=True, slots=True)
class Analysis:
    """One way of looking at a circuit.

    Attributes:
        kind: `dc`, `ac` or `step`.
        frequency: Name of the value that holds the frequency [Hz]; used for ac only.
    """

    kind: Literal["dc", "ac", "step"] = "dc"
    frequency: str = "frequency"

    def __str__(self) -> str:
        return self.kind


DC = Analysis("dc")
AC = Analysis("ac")
STEP = Analysis("step")
