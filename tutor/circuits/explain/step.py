"""Steps of a worked solution, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tutor.circuits.expressions import Expression
from tutor.quantities import Unit


class Method(StrEnum):
    """What kind of thought a step is, by the word that the trade has for it."""

    SERIES_PARALLEL = "series and parallel"
    DIVIDER = "divider rule"
    OHM = "Ohm's law"
    CURRENTS = "currents at a node"
    VOLTAGES = "voltages round a loop"
    POWER = "power"
    REACTANCE = "reactance"
    MAGNITUDE = "magnitude and phase"
    LEVEL = "level"
    SOURCE_TRANSFORMATION = "source transformation"
    SUPERPOSITION = "superposition"
    THEVENIN = "Thévenin"
    NODE_EQUATIONS = "node equations"
    AMPLIFIER = "amplifier"
    FEEDBACK = "feedback loop"
    VALVE = "valve equivalent circuit"
    TRANSFORMER = "transformer"
    TIME_CONSTANT = "time constant"
    CHANGE = "before and after"
    RULE = "rule"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a thought, its formula, and what comes out.

    Attributes:
        name: Symbol of what comes out; "" where an equation only ties unknowns together.
        method: The kind of thought.
        says: One sentence without its full stop; names stand between backticks.
        formula: In symbols; a comparison for an equation.
        value: In SI units; a phasor where the value has an angle. Nought for an equation.
        unit: Its unit.
        parts: References of the parts that it concerns.
        idea: The thought alone, for a first hint.
    """

    name: str
    method: Method
    says: str
    formula: Expression
    value: complex
    unit: Unit
    parts: tuple[str, ...]
    idea: str = ""

    @property
    def is_real(self) -> bool:
        """Whether the value is a plain number within rounding."""
        return abs(self.value.imag) <= 1e-9 * abs(self.value)
