"""The linear solution of a circuit in numbers and in symbols: what `quiescent solve` prints."""

from __future__ import annotations

import cmath
import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tutor.circuits.analysis import DC, Analysis, S
from tutor.circuits.asked import Asked, without_analysis
from tutor.circuits.errors import CircuitError, NoValueError, SingularCircuitError
from tutor.circuits.exact import MOST_UNKNOWNS, solve_exactly
from tutor.circuits.exponentials import InTime, in_time_of
from tutor.circuits.expressions import Name, evaluate
from tutor.circuits.formula import LONGEST, Formula, formula_of
from tutor.circuits.network import Network
from tutor.circuits.numeric import Estimate, estimate
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import ProgramWriter, load_function, program_scalars
from tutor.circuits.steps import solve_step
from tutor.quantities import DECIBEL, DEGREE, Unit

AGREEMENT = 1e-10
"""Largest relative difference between program and LAPACK that leaves no doubt."""
CANCELLED = 1e-8
"""A result this much smaller than the circuit's voltages and currents has lost figures, or is nought."""
TRUSTED = 1e7
"""Condition up to which sixteen figures leave nine."""
HOPELESS = 1e13
"""Condition beyond which no figure is left."""


@dataclass(frozen=True, slots=True)
class Solved:
    """One asked quantity of one circuit.

    Attributes:
        value: In SI units: real at dc, at step and for power, a phasor (rms) at ac.
        unit: Its unit.
        problem: What was solved; its symbolic answer is `formula()`.
        in_time: At step, the circuit and what was asked of it.
        has_formula: Whether the problem's formula is that of the value.
    """

    value: complex | float
    unit: Unit
    problem: Problem
    in_time: tuple[Network, Asked] | None = None
    has_formula: bool = True

    @property
    def magnitude(self) -> float:
        """The signed value at dc, at step and for power, the magnitude at ac."""
        return abs(self.value) if isinstance(self.value, complex) else self.value

    @property
    def phase(self) -> float | None:
        """The angle at ac [°], in (−180, 180]; None otherwise."""
        return _angle(self.value) if isinstance(self.value, complex) else None

    def taken(self, take: str | None) -> Solved:
        """Return one real figure of a phasor, with its unit.

        Args:
            take: One of `asked.TAKES`; None leaves the value as it is.

        Raises:
            NoValueError: If the level in decibels of nothing is wanted.
        """
        match take:
            case "magnitude":
                return replace(self, value=abs(self.value))
            case "phase":
                return replace(self, value=_angle(complex(self.value)), unit=DEGREE)
            case "decibels":
                if not self.value:
                    raise NoValueError("decibels", "the value is nought, which has no level in decibels")
                return replace(self, value=20 * math.log10(abs(self.value)), unit=DECIBEL)
            case "real":
                return replace(self, value=self.value.real)
            case "imaginary":
                return replace(self, value=self.value.imag)
            case _:
                return self

    def formula(self, longest: int = LONGEST) -> Formula | InTime:
        """Return the symbolic answer, of a phasor as a whole; see `formula_of` and `in_time_of` for the errors."""
        if not self.has_formula:
            raise CircuitError("this figure is found in numbers only")
        if self.in_time is not None:
            return in_time_of(*self.in_time, longest)
        return formula_of(self.problem, longest)


def _angle(value: complex) -> float:
    angle = math.degrees(cmath.phase(value)) if value else 0.0
    # A negative real number with a last bit below the axis stands at 180° all the same.
    return angle if angle > -180 * (1 - 1e-15) else 180.0


def solve(
    network: Network,
    asked: Asked,
    analysis: Analysis,
    frequency: float | None = None,
    time: float | None = None,
) -> Solved:
    """Solve a circuit whose values are all numbers for one asked quantity.

    Args:
        network: The circuit.
        asked: The quantity.
        analysis: Dc, ac or step.
        frequency: At ac [Hz].
        time: At step, after every source is switched on [s].

    Returns:
        Value, unit and the posed problem.

    Raises:
        CircuitError: Its subclasses name the part or node at fault.
    """
    if without_analysis(asked):
        analysis = DC
    if analysis.kind == "step":
        return _solve_step(network, asked, time)
    if analysis.kind != "ac":
        frequency = None
    elif frequency is None:
        raise CircuitError("an ac analysis wants a frequency; write `frequency: 50 Hz`")
    elif frequency <= 0:
        raise CircuitError(f"the frequency is {frequency:g} Hz; it must be more than nothing (ask dc instead)")
    problem = pose(network, asked, analysis)
    given = problem.network.values()

    def values(nudge: float) -> dict[str, Any]:
        changed = {name: value * (1 + nudge * _direction(name)) for name, value in given.items()}
        hertz = None if frequency is None else frequency * (1 + nudge * _direction("frequency"))
        return symbol_values(problem.network, changed, hertz)

    value = _value(problem, values) + 0.0  # no minus before a nought
    return Solved(value if problem.is_complex and not problem.is_power else value.real, asked.unit, problem)


def _solve_step(network: Network, asked: Asked, time: float | None) -> Solved:
    if time is None:
        raise CircuitError("a step wants a time; write `time: 5 ms`")
    if time < 0:
        raise CircuitError(f"the time is {time:g} s; the sources are switched on at 0 s, so it must not be less")
    value, problem = solve_step(network, asked, time, symbol_values(network, network.values(), None))
    return Solved(value + 0.0, asked.unit, problem, (network, asked))


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


def _value(problem: Problem, values: Callable[[float], Mapping[str, Any]]) -> complex:
    """Return the value by the straight-line program; in exact fractions where that and LAPACK leave a doubt."""
    by_program = _by_program(problem, values(0.0))
    try:
        solved = estimate(problem, values(0.0))
    except SingularCircuitError:
        solved = Estimate(math.nan, 0.0, math.inf)
    largest = max(abs(by_program), abs(solved.value))
    agree = abs(by_program - solved.value) <= AGREEMENT * largest and largest >= CANCELLED * solved.scale
    if agree and solved.condition < TRUSTED:
        return by_program
    if len(problem.equations.unknowns) <= MOST_UNKNOWNS:
        return solve_exactly(problem, values)
    if not cmath.isfinite(solved.value) or solved.condition > HOPELESS:
        raise SingularCircuitError("at least one unknown", str(problem.analysis), "for these values")
    return solved.value


def _by_program(problem: Problem, values: Mapping[str, Any]) -> complex:
    """Return the value by the straight-line program; nan where it divides by zero."""
    writer = ProgramWriter(tuple(values))
    # s is one more input here: its value is already known.
    writer.define_solution("wanted", problem)
    writer.output("wanted", Name("wanted"))
    function = load_function(writer.source("solve"), "solve", program_scalars())
    try:
        (value,) = function(*(values[name] for name in writer.inputs))
    except (ZeroDivisionError, OverflowError):
        return complex(math.nan)
    return complex(value)


def _direction(name: str) -> float:
    """Return ±(0.5 … 1) for a symbol, the same on every machine, so that no two values are nudged alike."""
    digest = hashlib.sha256(name.encode()).digest()
    return (0.5 + digest[0] / 510) * (1 if digest[1] % 2 else -1)
