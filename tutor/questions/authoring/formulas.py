"""The formula that the engine offers for an ask: the circuit's own answer in lowest terms, in the template's names.

At ac the magnitude is offered, by real and imaginary parts; an angle is not. Where an earlier ask gives a voltage or a
current of the same part, the short way over it is offered too. Nothing here is taken on trust: what is accepted is
proved like any formula that a person wrote.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tutor.circuits.analysis import AC, OMEGA, S
from tutor.circuits.asked import Asked, Current, Power, Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Binary, Expression, Name, Number, read_expression, substitute
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.formula import SHORT, Formula, formula_of
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Resistor
from tutor.circuits.problem import Problem, pose
from tutor.quantities import Quantity, show_exact
from tutor.questions.compiling import frequency_of, take_of
from tutor.questions.template import Ask, Template

LONGEST_TEXT = 600  # characters of a formula that are offered


@dataclass(frozen=True, slots=True)
class FormulaOffer:
    """A formula to take with one press.

    Attributes:
        text: As the template file writes it.
        says: Where it comes from.
    """

    text: str
    says: str


def offered_formulas(template: Template, ask: Ask) -> tuple[FormulaOffer, ...]:
    """Return the formulas offered for an ask, the shortest first; none where the circuit's is too long to be read."""
    if ask.circuit is None or template.network is None:
        return ()
    found = list(_over_earlier_asks(template, ask))
    text = circuit_formula(template, ask)
    if text:
        found.append(FormulaOffer(text, "the circuit's own answer, in lowest terms"))
    return tuple(found)


def circuit_formula(template: Template, ask: Ask) -> str:
    """Return the circuit's answer to an ask in the template's names, or "" where it has none that can be read."""
    try:
        problem = problem_of(template, ask)
        return Writer(template, ask, problem).text(formula_of(problem, SHORT))
    except CircuitError:
        return ""


def problem_of(template: Template, ask: Ask, network: Network | None = None, asked: Asked | None = None) -> Problem:
    """Return the problem behind an ask, in the template's circuit or a changed one.

    Raises:
        CircuitError: If it cannot be posed.
    """
    circuit = network or template.network
    if ask.circuit is None or circuit is None:
        raise CircuitError(f"{ask.name} is asked of no circuit")
    return pose(circuit, asked or ask.circuit.asked, template.analysis_of(ask.circuit))


@dataclass(frozen=True, slots=True)
class Writer:
    """Writes the formulas of one ask in the template's names.

    Attributes:
        template: The template.
        ask: The ask.
        problem: The problem whose symbols are written.
    """

    template: Template
    ask: Ask
    problem: Problem

    def text(self, formula: Formula) -> str:
        """Return a formula as text, or "" where it cannot be written or read by people."""
        if not formula.is_readable:
            return ""
        names = self._names()
        take = take_of(self.template, self.ask)
        if names is None or take in ("phase", "real", "imaginary"):
            return ""
        text = formula.text() if take == "" and S not in formula.symbols else self._sized(formula)
        text = describe(substitute(read_expression(text), names))
        text = f"db({text})" if take == "decibels" else text
        return text if len(text) <= LONGEST_TEXT else ""

    def _sized(self, formula: Formula) -> str:
        above, below = (_size(formula, side) for side in (formula.numerator, formula.denominator))
        return above if below == "1" else f"({above})/({below})"

    def _names(self) -> dict[str, Expression] | None:
        """Return what every symbol is called in the template; None where a phasor has an angle."""
        parameters = dict(self.problem.network.parameters())
        if self.problem.reactive is not None:
            parameters |= {p.symbol: (self.problem.reactive, p) for p in self.problem.reactive.parameters()}
        names: dict[str, Expression] = {}
        for symbol, (_, parameter) in parameters.items():
            value = parameter.value
            if isinstance(value, Quantity):
                names[symbol] = Number(value.magnitude, value.unit, _written(value))
            elif value is not None:
                names[symbol] = value
        for definition in self.problem.network.definitions():
            if definition.imaginary is not None:
                return None
            names[definition.symbol] = substitute(definition.real, names)
        if self.problem.analysis == AC and self.ask.circuit is not None:
            turns = Binary("*", Number(2.0, text="2"), Name("pi"))
            names[OMEGA] = Binary("*", turns, frequency_of(self.template, self.ask.circuit))
        return names


def _written(value: Quantity) -> str:
    return show_exact(value.magnitude, value.unit).replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def _size(formula: Formula, side: tuple[tuple[tuple[int, ...], int], ...]) -> str:
    """Return the magnitude of a polynomial at s = jω as text."""
    place = formula.symbols.index(S) if S in formula.symbols else None
    parts: tuple[list[tuple[tuple[int, ...], int]], ...] = ([], [])
    for exponents, coefficient in side:
        turns = 0 if place is None else exponents[place]
        sign = -1 if turns % 4 in (2, 3) else 1
        parts[turns % 2].append((exponents, sign * coefficient))
    real, imaginary = (_sum(formula.symbols, terms) for terms in parts)
    if not parts[1]:
        return real
    squared = "1" if real == "1" else f"({real})**2"
    return imaginary if not parts[0] else f"sqrt({squared} + ({imaginary})**2)"


def _sum(symbols: tuple[str, ...], terms: list[tuple[tuple[int, ...], int]]) -> str:
    """Return a real sum, its sign turned where every term is negative; within abs() where the sign can change."""
    if terms and all(coefficient < 0 for _, coefficient in terms):
        terms = [(exponents, -coefficient) for exponents, coefficient in terms]
    named = tuple(OMEGA if name == S else name for name in symbols)
    text = Formula(named, tuple(terms), (((0,) * len(named), 1),)).text()
    mixed = any(coefficient < 0 for _, coefficient in terms)
    return f"abs({text})" if mixed else text


def _over_earlier_asks(template: Template, ask: Ask) -> Iterator[FormulaOffer]:
    """Yield the short ways: Ohm's law and the power law over an earlier ask on the same resistor."""
    assert template.network is not None
    assert ask.circuit is not None
    resistors = [part for part in template.network.parts if isinstance(part, Resistor) and isinstance(part.value, Name)]
    at_dc = template.analysis_of(ask.circuit) != AC
    for earlier in template.asks[: template.asks.index(ask)]:
        if earlier.circuit is None or template.analysis_of(earlier.circuit) != template.analysis_of(ask.circuit):
            continue
        for part in resistors:
            same = _same_way(earlier.circuit.asked, part)
            if same is None or (same < 0 and at_dc and not isinstance(ask.circuit.asked, Power)):
                continue
            resistance = describe(part.value) if part.value is not None and not isinstance(part.value, Quantity) else ""
            text = _law(ask.circuit.asked, earlier.circuit.asked, earlier.name, part, resistance)
            if text:
                yield FormulaOffer(text, f"by way of {earlier.name}, asked before")


def _same_way(asked: Asked, part: Resistor) -> int | None:
    """Tell whether a form is the voltage or current of a resistor: 1, −1 the other way round, None otherwise."""
    match asked:
        case Voltage(a, b) if {a, b} == set(part.terminals()):
            return 1 if (a, b) == part.terminals() else -1
        case Current(reference) if reference == part.reference:
            return 1
        case _:
            return None


def _law(asked: Asked, earlier: Asked, name: str, part: Resistor, resistance: str) -> str:
    same = _same_way(asked, part)
    match asked, earlier:
        case Current(), Voltage() if same:
            return f"{name}/{resistance}"
        case Voltage(), Current() if same == 1:
            return f"{name}*{resistance}"
        case Power(reference), Voltage() if reference == part.reference:
            return f"{name}**2/{resistance}"
        case Power(reference), Current() if reference == part.reference:
            return f"{name}**2*{resistance}"
        case _:
            return ""
