"""The linear solution of a circuit in numbers and in symbols: what `quiescent solve` prints."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import Analysis, S
from tutor.circuits.asked import Asked, Power
from tutor.circuits.errors import CircuitError, SingularCircuitError
from tutor.circuits.expressions import Name, evaluate
from tutor.circuits.formula import Formula, formula_of
from tutor.circuits.network import Network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import ProgramWriter, load_function, program_scalars
from tutor.quantities import Unit


@dataclass(frozen=True, slots=True)
class Solved:
    """One asked quantity of one circuit.

    Attributes:
        value: In SI units: real at dc and for power, a phasor (rms) at ac.
        unit: Its unit.
        problem: What was solved; its symbolic answer is `formula()`.
    """

    value: complex | float
    unit: Unit
    problem: Problem

    @property
    def magnitude(self) -> float:
        """The signed value at dc and for power, the magnitude at ac."""
        return abs(self.value) if isinstance(self.value, complex) else self.value

    @property
    def phase(self) -> float | None:
        """The angle at ac [°], in (−180, 180]; None otherwise."""
        return math.degrees(cmath.phase(self.value)) if isinstance(self.value, complex) else None

    def formula(self) -> Formula:
        """Return the symbolic answer; see `formula_of` for the errors."""
        return formula_of(self.problem)


def solve(network: Network, asked: Asked, analysis: Analysis, frequency: float | None = None) -> Solved:
    """Solve a circuit whose values are all numbers for one asked quantity.

    Args:
        network: The circuit.
        asked: The quantity.
        analysis: Dc or ac.
        frequency: At ac [Hz].

    Returns:
        Value, unit and the posed problem.

    Raises:
        CircuitError: Its subclasses name the part or node at fault.
    """
    if analysis.kind == "ac" and frequency is None:
        raise CircuitError("an ac analysis wants a frequency; write `frequency: 50 Hz`")
    if frequency is not None and frequency <= 0 and analysis.kind == "ac":
        raise CircuitError(f"the frequency is {frequency:g} Hz; it must be more than nothing (ask dc instead)")
    problem = pose(network, asked, analysis)
    values = symbol_values(problem.network, network.values(), frequency)
    value = _value(problem, values)
    if isinstance(asked, Power) or not problem.is_complex:
        value = float(value.real)
    return Solved(value, asked.unit, problem)


def symbol_values(network: Network, values: Mapping[str, float], frequency: float | None) -> dict[str, Any]:
    """Return the values of all symbols: parameters, what is defined from them, and s at ac."""
    known: dict[str, Any] = dict(values)
    for definition in network.definitions():
        value: Any = evaluate(definition.real, known)
        if definition.imaginary is not None:
            value = complex(value, evaluate(definition.imaginary, known))
        known[definition.symbol] = value
    if frequency is not None:
        known[S] = 2j * math.pi * frequency
    return known


def _value(problem: Problem, values: Mapping[str, Any]) -> Any:
    """Return the value by the straight-line program, by pivoted elimination where that divides by zero."""
    writer = ProgramWriter(tuple(values))
    # s is one more input here: its value is already known.
    writer.define_solution("wanted", problem)
    writer.output("wanted", Name("wanted"))
    function = load_function(writer.source("solve"), "solve", program_scalars())
    try:
        (value,) = function(*(values[name] for name in writer.inputs))
    except (ZeroDivisionError, OverflowError):
        value = complex("nan")
    if cmath.isfinite(value):
        return complex(value) if problem.is_complex and not problem.is_power else value
    value = solve_numerically(problem, values)[0]
    if not cmath.isfinite(complex(value)):
        raise SingularCircuitError("at least one unknown", str(problem.analysis), "for these values")
    return complex(value) if problem.is_complex and not problem.is_power else float(value)
