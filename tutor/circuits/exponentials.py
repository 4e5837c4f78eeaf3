"""A value in time as a formula, where the circuit has one store: y(t) = final + (start − final)·exp(−t/τ).

With the store's voltage or current x put in its place, all else follows from x as at dc: y = c·x + d, and the store is
filled by F·x + g. Four quotients of polynomials say everything: the final value, the value just after the step, and the
time constant −(C or L)/F. Where F is nought (a capacitor fed by a current source alone) x grows evenly instead.

Source: any text on transients of the first order (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tutor.circuits.analysis import STEP
from tutor.circuits.asked import Asked, Current, Power, Voltage
from tutor.circuits.equations import Form, Unknown
from tutor.circuits.errors import CircuitError
from tutor.circuits.formula import LONGEST, READABLE, Formula, formula_of
from tutor.circuits.formula_algebra import (
    factored_text,
    in_brackets,
    minus,
    named,
    negative,
    over,
    plus,
    quotient_text,
    times,
    whole_number,
)
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Capacitor, Inductor
from tutor.circuits.polynomial import ONE
from tutor.circuits.problem import Problem, pose
from tutor.circuits.steps import probed, sorted_stores

TIME = "t"
"""What the time is called in these formulas."""


@dataclass(frozen=True, slots=True)
class Exponential:
    """One quantity in time.

    Attributes:
        start: Just after the step.
        final: After long; where it grows without end, the same as at the start.
        time_constant: Of the exponential; None where nothing settles or nothing moves.
        growth: Per second, where it grows evenly without end; nought otherwise.
    """

    start: Formula
    final: Formula
    time_constant: Formula | None
    growth: Formula

    @property
    def terms(self) -> int:
        """Count the terms of the formulas that its text is made of."""
        if self.time_constant is None:
            return self.start.terms + self.growth.terms
        return self.final.terms + minus(self.start, self.final).terms + self.time_constant.terms

    def value(self, values: Mapping[str, Any], time: Any) -> Any:
        """Return the value a time after the step [s], for numbers by symbol."""
        if self.time_constant is None:
            return self.start.value(values) + self.growth.value(values) * time
        final, constant = self.final.value(values), self.time_constant.value(values)
        return final + (self.start.value(values) - final) * math.exp(-time / constant)

    def text(self, time: str = TIME) -> str:
        """Return it as text that reads as an expression: `V1*(1 - exp(-t/(R1*C1)))`."""
        if self.time_constant is None:
            return self._even(time)
        above, below = factored_text(self.time_constant)
        speed = "" if below == "1" else f"*{below if len(self.time_constant.denominator) == 1 else in_brackets(below)}"
        decay = f"exp(-{time}{speed})" if above == "1" else f"exp(-{time}{speed}/{in_brackets(above)})"
        difference = minus(self.start, self.final)
        if not difference.numerator:
            return quotient_text(self.final)
        if not self.final.numerator:
            return f"{_factor(difference)}*{decay}"
        if not self.start.numerator:
            return f"{_factor(self.final)}*(1 - {decay})"
        falls = sum(coefficient > 0 for _, coefficient in difference.numerator) * 2 >= len(difference.numerator)
        sign, size = ("+", difference) if falls else ("-", negative(difference))
        return f"{quotient_text(self.final)} {sign} {_factor(size)}*{decay}"

    def _even(self, time: str) -> str:
        if not self.growth.numerator:
            return quotient_text(self.start)
        grown = f"{_factor(self.growth)}*{time}"
        return grown if not self.start.numerator else f"{quotient_text(self.start)} + {grown}"


@dataclass(frozen=True, slots=True)
class InTime:
    """What is asked at step, as a formula: one exponential, or for a power the products of two each, added up.

    Attributes:
        products: Pairs; of a voltage or current there is one, whose second is None.
    """

    products: tuple[tuple[Exponential, Exponential | None], ...]

    @property
    def is_readable(self) -> bool:
        """Whether it is short enough to be shown."""
        return sum(one.terms for pair in self.products for one in pair if one is not None) <= READABLE

    def value(self, values: Mapping[str, Any], time: float) -> float:
        """Return the value a time after the step [s], for numbers by symbol."""
        total = 0.0
        for first, second in self.products:
            product = first.value(values, time)
            total += product if second is None else product * second.value(values, time)
        return total

    def text(self) -> str:
        """Return it as text that reads as an expression; the time is called `t`."""
        pieces = [a.text() if b is None else f"({a.text()})*({b.text()})" for a, b in self.products]
        return " + ".join(pieces)


def in_time_of(network: Network, asked: Asked, longest: int = LONGEST) -> InTime:
    """Return a value in time as a formula.

    Args:
        network: The circuit; its values need not be known.
        asked: A voltage, a current or a power.
        longest: Give up beyond this many terms.

    Raises:
        FormulaTooLongError: If a formula grows beyond that.
        CircuitError: If the circuit has more than one store, so that no single exponential says it, or what is asked
            has no value in time; its subclasses as in `steps.solve_step`.
    """
    if not isinstance(asked, Voltage | Current | Power):
        raise CircuitError(f"the {asked} has no value in time; ask for a voltage, a current or a power at step")
    stores = sorted_stores(network)
    if stores.count > 1:
        raise CircuitError(
            f"{stores.count} capacitors and coils: with more than one no single exponential says it; its value can be "
            "had all the same"
        )
    problem = pose(probed(network, stores), asked, STEP)
    if not stores.states:
        still = _Still(problem, longest)
        return still.in_time()
    return _One(problem, stores.states[0], longest).in_time()


@dataclass(frozen=True, slots=True)
class _Still:
    """A circuit without stores: all is as at dc from the beginning."""

    problem: Problem
    longest: int

    def in_time(self) -> InTime:
        return InTime(_pairs(self.problem, self.of))

    def of(self, form: Form) -> Exponential:
        value = _formula(self.problem, form, self.longest)
        return Exponential(value, value, None, whole_number(0))


class _One:
    """A circuit with one store, which a source of its own size stands for."""

    def __init__(self, problem: Problem, store: Capacitor | Inductor, longest: int) -> None:
        self._problem, self._longest = problem, longest
        row = Unknown("current", store.reference)
        self._alone = replace(problem, side={row: ONE})
        probe = problem.network.part(store.reference)
        equations = problem.equations
        # A capacitor is filled by its current, a coil by its voltage.
        capacitor = isinstance(store, Capacitor)
        filling = probe.current(equations) if capacitor else equations.difference(*store.terminals())
        slope, steady = (_formula(p, filling, longest) for p in (self._alone, problem))
        self._size = named(store.reference)
        self._held = whole_number(0) if store.initial is None else named(store.initial_symbol)
        self._slope, self._steady = slope, steady

    def in_time(self) -> InTime:
        return InTime(_pairs(self._problem, self._of))

    def _of(self, form: Form) -> Exponential:
        factor, rest = (_formula(p, form, self._longest) for p in (self._alone, self._problem))
        start = plus(times(factor, self._held), rest)
        if not self._slope.numerator:
            growth = over(times(factor, self._steady), self._size)
            return Exponential(start, start, None, growth)
        settled = negative(over(self._steady, self._slope))
        final = plus(times(factor, settled), rest)
        return Exponential(start, final, negative(over(self._size, self._slope)), whole_number(0))


def _pairs(problem: Problem, of: Any) -> tuple[tuple[Exponential, Exponential | None], ...]:
    return tuple((of(first), of(second) if problem.is_power else None) for first, second in problem.products)


def _formula(problem: Problem, form: Form, longest: int) -> Formula:
    return formula_of(replace(problem, products=((form, ()),), is_power=False), longest)


def _factor(formula: Formula) -> str:
    """Return a formula as text that can stand before a `*`."""
    text = quotient_text(formula)
    return text if len(formula.numerator) == 1 or "/" in text or text.endswith(")") else f"({text})"
