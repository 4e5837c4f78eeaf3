"""How far an asked quantity moves when one value of the circuit moves: its derivative, in numbers and in symbols.

In numbers: A·u = b gives A·u′ = b′ − A′·u, so that one more solution with the same matrix has the derivative to the
last figures but one. In symbols: the formula's derivative, by the quotient rule. What is worked out from a value, such
as the mutual inductance from the coupling, follows by the chain rule.

Source: G. C. Temes, J. W. LaPatra, "Introduction to Circuit Synthesis and Design" (1977), ch. 8 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.analysis import DC, Analysis, S
from tutor.circuits.asked import Asked, without_analysis
from tutor.circuits.equations import Form
from tutor.circuits.errors import CircuitError, NodeError, SingularCircuitError
from tutor.circuits.exponentials import TIME, in_time_of
from tutor.circuits.expressions import derivative as expression_derivative
from tutor.circuits.expressions import evaluate, names_in, read_expression
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.formula import LONGEST, formula_of
from tutor.circuits.formula_algebra import derivative, quotient_text
from tutor.circuits.linear import solve, symbol_values
from tutor.circuits.network import Network
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem, pose
from tutor.circuits.steps import solve_step

FREQUENCY = "frequency"
"""What the frequency is called beside the parts' values."""
STEP_SIZE = 1e-5
"""Relative step of the central difference that a value in time of several stores is derived by."""


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """How a quantity moves with one value.

    Attributes:
        value: The quantity itself; a phasor at ac.
        slope: Its derivative, in its SI unit per SI unit of the value.
        at: The value that moves.
        is_exact: Whether the slope holds to rounding; otherwise it is a difference quotient, good to some 1e-8.
    """

    value: complex | float
    slope: complex | float
    at: float
    is_exact: bool = True

    @property
    def relative(self) -> float:
        """By how many per cent the quantity (at ac its magnitude) moves for one per cent of the value.

        Raises:
            CircuitError: If the quantity is nought.
        """
        return (self._share() * self.at).real

    @property
    def decibels(self) -> float:
        """By how many decibels the magnitude moves, per SI unit of the value; raises CircuitError at nought."""
        return 20 / math.log(10) * self._share().real

    @property
    def degrees(self) -> float:
        """By how many degrees the phase moves, per SI unit of the value; raises CircuitError at nought."""
        return math.degrees(self._share().imag)

    def _share(self) -> complex:
        if not self.value:
            raise CircuitError("the quantity is nought: there are no per cent of it")
        return complex(self.slope) / complex(self.value)


def sensitivity(
    network: Network,
    asked: Asked,
    symbol: str,
    analysis: Analysis,
    frequency: float | None = None,
    time: float | None = None,
) -> Sensitivity:
    """Return how an asked quantity moves with one value of the circuit.

    Args:
        network: The circuit; every value a number.
        asked: The quantity.
        symbol: The value that moves: a reference, `turn_P1`, `mu_V1`, …; or `frequency` at ac.
        analysis: Dc, ac or step.
        frequency: At ac [Hz].
        time: At step [s].

    Raises:
        NodeError: If the circuit has no such value.
        CircuitError: Its subclasses name the part or node at fault.
    """
    analysis = DC if without_analysis(asked) else analysis
    _know(network, symbol, analysis)
    value = solve(network, asked, analysis, frequency, time).value  # finds every fault
    values = network.values()
    at = float(frequency or 0.0) if symbol == FREQUENCY else values[symbol]
    if time is not None and analysis.kind == "step":
        slope, is_exact = _in_time(network, asked, symbol, time)
        return Sensitivity(value, slope, at, is_exact)
    problem = pose(network, asked, analysis)
    known = symbol_values(network, values, frequency if analysis.kind == "ac" else None)
    found = _slope(problem, known, _rates(network, symbol, values))
    return Sensitivity(value, found if problem.is_complex and not problem.is_power else found.real, at)


def sensitivity_text(network: Network, asked: Asked, symbol: str, analysis: Analysis, longest: int = LONGEST) -> str:
    """Return the derivative of an asked quantity with respect to one value as text.

    At ac it holds `j*omega` for s, at step `t` for the time.

    Raises:
        NodeError: If the circuit has no such value.
        FormulaTooLongError: If it grows beyond `longest` terms.
        CircuitError: As `formula_of`, and at step as `in_time_of`.
    """
    analysis = DC if without_analysis(asked) else analysis
    _know(network, symbol, analysis)
    if analysis.kind == "step":
        return describe(expression_derivative(read_expression(in_time_of(network, asked, longest).text()), symbol))
    formula = formula_of(pose(network, asked, analysis), longest)
    pieces = [quotient_text(slope)] if (slope := derivative(formula, symbol)).numerator else []
    for definition in network.definitions():
        through = derivative(formula, definition.symbol)
        if through.numerator and definition.imaginary is None and symbol in names_in(definition.real):
            pieces.append(f"({quotient_text(through)})*({describe(expression_derivative(definition.real, symbol))})")
    return " + ".join(pieces) or "0"


def _know(network: Network, symbol: str, analysis: Analysis) -> None:
    known = [*network.parameters(), *([FREQUENCY] if analysis.kind == "ac" else [])]
    if symbol not in known:
        raise NodeError(symbol, "value", known)


def _rates(network: Network, symbol: str, values: Mapping[str, float]) -> dict[str, complex]:
    """Return the derivative of every symbol of the equations with respect to one value."""
    if symbol == FREQUENCY:
        return {S: 2j * math.pi}
    rates: dict[str, complex] = {symbol: 1.0}
    for definition in network.definitions():
        real = evaluate(expression_derivative(definition.real, symbol), values)
        imaginary = definition.imaginary
        turned = 0.0 if imaginary is None else evaluate(expression_derivative(imaginary, symbol), values)
        if real or turned:
            rates[definition.symbol] = complex(real, turned) if imaginary is not None else real
    return rates


def _moved(polynomial: Polynomial, values: Mapping[str, Any], rates: Mapping[str, complex]) -> complex:
    """Return the derivative of a polynomial in the symbols."""
    found = polynomial.symbols()
    total: complex = 0.0
    for symbol, rate in rates.items():
        if symbol in found:
            total += polynomial.derivative(symbol).value(values) * rate
    return total


def _slope(problem: Problem, values: Mapping[str, Any], rates: Mapping[str, complex]) -> complex:
    import numpy as np

    columns = {unknown: place for place, unknown in enumerate(problem.equations.unknowns)}
    size = len(columns)
    matrix, moved = np.zeros((size, size), dtype=complex), np.zeros((size, size), dtype=complex)
    side, moved_side = np.zeros(size, dtype=complex), np.zeros(size, dtype=complex)
    for (row, column), coefficient in problem.equations.matrix.items():
        matrix[columns[row], columns[column]] = coefficient.value(values)
        moved[columns[row], columns[column]] = _moved(coefficient, values, rates)
    for row, coefficient in problem.side.items():
        side[columns[row]] = coefficient.value(values)
        moved_side[columns[row]] = _moved(coefficient, values, rates)
    heights = np.abs(matrix).max(axis=1, initial=0.0)
    heights[heights == 0.0] = 1.0
    try:
        inverse = np.linalg.inv(matrix / heights[:, None]) / heights
    except np.linalg.LinAlgError as error:
        raise SingularCircuitError("at least one unknown", str(problem.analysis), "for these values") from error
    solution = inverse @ side
    growth = inverse @ (moved_side - moved @ solution)

    def form(pairs: Form) -> tuple[complex, complex]:
        value, slope = 0j, 0j
        for coefficient, unknown in pairs:
            factor, place = coefficient.value(values), columns[unknown]
            value += factor * solution[place]
            slope += factor * growth[place] + _moved(coefficient, values, rates) * solution[place]
        return value, slope

    return _of_products(problem, values, rates, form)


def _of_products(problem: Problem, values: Mapping[str, Any], rates: Mapping[str, complex], form: Any) -> complex:
    value, slope = 0j, 0j
    for first, second in problem.products:
        (a, da) = form(first)
        if problem.is_power:
            (b, db) = form(second)
            slope += (da * b.conjugate() + a * db.conjugate()).real
        else:
            value, slope = value + a, slope + da
    part = problem.reactive
    if part is None:
        return slope
    # ln y = ±(ln R + ln C) for a capacitor, ±(ln L − ln R) for a coil; a corner turns the sign.
    size, growing = values[part.reference], rates.get(part.reference, 0.0)
    share = slope / value * (1 if part.kind == "capacitor" else -1) + growing / size
    return complex(problem.of_store(value, size) * (-share if problem.is_corner else share))


def _in_time(network: Network, asked: Asked, symbol: str, time: float) -> tuple[float, bool]:
    """Return the derivative of a value in time, and whether it is that of its formula.

    With several stores, or where the value is only reached through others, it is a difference quotient.
    """
    values = network.values()
    try:
        expression = read_expression(in_time_of(network, asked).text())
        if symbol in names_in(expression):
            known = symbol_values(network, values, None) | {TIME: time}
            return evaluate(expression_derivative(expression, symbol), known), True
    except CircuitError:
        pass  # several stores, or a formula too long to be read back
    step = STEP_SIZE * (abs(values[symbol]) or 1.0)
    ends = []
    for moved in (values[symbol] + step, values[symbol] - step):
        known = symbol_values(network, {**values, symbol: moved}, None)
        ends.append(solve_step(network, asked, time, known)[0])
    return (ends[0] - ends[1]) / (2 * step), False
