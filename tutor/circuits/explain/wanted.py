"""What is asked of an explainer, and what it gives back."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import DC, Analysis
from tutor.circuits.asked import Asked
from tutor.circuits.explain.step import Method, Step
from tutor.circuits.expressions import Expression
from tutor.quantities import Unit

IDEAS = {
    Method.SERIES_PARALLEL: "Look in from where it is asked: what follows one another?",
    Method.VOLTAGES: "Of which two voltages is it the difference?",
    Method.CURRENTS: "Which way is the current counted?",
    Method.POWER: "Power follows from the resistance with its current or its voltage.",
    Method.TIME_CONSTANT: "A time constant is resistance times capacitance, or inductance over resistance.",
}
"""First hints for last steps that are no fact of their own."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One ask.

    Attributes:
        asked: The quantity.
        analysis: Dc or ac.
        frequency: At ac: its formula, mostly a name.
        take: What of a phasor is wanted; "" takes all of it (or the value at dc).
    """

    asked: Asked
    analysis: Analysis = DC
    frequency: Expression | None = None
    take: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """A worked solution.

    Attributes:
        steps: In the order in which they are told; the last one states the answer.
        value: The answer in SI units.
        unit: Its unit.
    """

    steps: tuple[Step, ...]
    value: complex
    unit: Unit

    @property
    def methods(self) -> tuple[Method, ...]:
        """The methods used, each once, in order."""
        return tuple(dict.fromkeys(step.method for step in self.steps))
