"""The automatic solution of a question: the asks in order, each by the steps that reasoning finds.

An ask with a circuit is explained by `circuits.explain`; one that follows from earlier ones, or has a formula only, by
its formula with numbers. The names of the template are used wherever a step comes out as one of them: not for these
values alone by chance, but for a second, nudged set of values as well.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from tutor.circuits.analysis import AC
from tutor.circuits.errors import CircuitError, ExpressionError
from tutor.circuits.explain import Explainer, Method, NoExplanationError, Step, Wanted
from tutor.circuits.explain.arithmetic import negative, tidied, value_of
from tutor.circuits.expressions import Expression, Name, evaluate, names_in, substitute
from tutor.circuits.network import Network
from tutor.quantities import PreferredValueError, Quantity, Unit
from tutor.questions.compiling import Compiled, frequency_of, number_names, take_of
from tutor.questions.lottery import Drawn
from tutor.questions.template import Ask, Template
from tutor.questions.values import Choices, Derived
from tutor.questions.worked.changes import change_step
from tutor.questions.worked.rules import sentence_for

NUDGE = 0.037
AGREEMENT = 1e-9
MOST_STEPS = 7
"""For one ask; where reasoning takes more, the template's formula knows a shorter way (the Miller effect is one)."""


@dataclass(frozen=True, slots=True)
class WorkedStep:
    """A step of a question's solution, in the template's own names.

    Attributes:
        step: The step.
        ask: The ask that it serves.
        ends: Whether it states that ask's answer.
        after: For a change: the formula and values afterwards; see `changes`.
    """

    step: Step
    ask: str
    ends: bool
    after: tuple[Expression, Mapping[str, float]] | None = None


@dataclass
class Automatic:
    """Tells the automatic solution of one question.

    Attributes:
        compiled: The template.
        drawn: The values.
        given: Names that the question shows.
        dimension_of_name: Unit of every name.
    """

    compiled: Compiled
    drawn: Drawn
    given: frozenset[str]
    _renamed: dict[str, Expression] = field(default_factory=dict)
    _stated: dict[str, tuple[complex, complex, Unit]] = field(default_factory=dict)
    fallbacks: list[str] = field(default_factory=list)
    _nudged: dict[str, complex] = field(default_factory=dict)

    @property
    def _template(self) -> Template:
        return self.compiled.template

    def steps(self) -> list[WorkedStep]:
        """Return the steps of all asks."""
        self._nudged = self._nudged_values()
        engine = self._engine()
        found: list[WorkedStep] = []
        for ask in self._template.asks:
            found += self._of_ask(ask, engine)
        return found

    # -- values --------------------------------------------------------------------------------------------------------
    def _numbers(self) -> dict[str, float]:
        return {n: self.drawn.values[n] for n in number_names(self._template) if n in self.drawn.values}

    def _nudged_values(self) -> dict[str, complex]:
        """Return every named number for values that are all a little off, each by a share of its own."""
        base = {
            name: value * (1 + NUDGE * (1 + index) / (2 + index)) if self._varies(name) else value
            for index, (name, value) in enumerate(self.drawn.base.items())
        }
        try:
            outputs = self.compiled.function("values")(*(base[name] for name in self.compiled.base))
        except (ArithmeticError, ValueError, PreferredValueError):
            return {}
        found = dict(zip(self.compiled.outputs, outputs, strict=True))
        named = {name: complex(found[name]) for name in self._numbers() if name in found}
        return {name: complex(value) for name, value in base.items()} | named

    def _varies(self, name: str) -> bool:
        """Tell whether a value is drawn at all; a fixed one may be met by what is worked out from it."""
        rule = self._template.values.get(name)
        return not (isinstance(rule, Choices) and len(rule.values) == 1)

    def _engine(self) -> Explainer | None:
        network = self._template.network
        if network is None or not self._nudged:
            return None
        numbers = self._numbers()
        try:
            parameters, symbols, hidden = _bound(network, numbers)
            nudged, _, _ = _bound(network, {n: v.real for n, v in self._nudged.items()})
        except ExpressionError:
            return None
        self._nudged = {n: complex(v) for n, v in nudged.items()} | self._nudged
        secret = set(hidden) | {n for n in numbers if n not in self.given}
        return Explainer(network, numbers, symbols, parameters, reserved=set(numbers), hidden=secret)

    # -- asks ----------------------------------------------------------------------------------------------------------
    def _of_ask(self, ask: Ask, engine: Explainer | None) -> Iterator[WorkedStep]:
        if ask.kind == "change":
            step, after = change_step(self.compiled, self.drawn, ask)
            yield WorkedStep(step, ask.name, True, after)
            return
        if ask.options or ask.name not in self.drawn.values:
            return
        steps = None
        if ask.kind == "number" and ask.circuit is not None and engine is not None:
            steps = self._reasoned(ask, engine)
        if steps is None:
            steps = list(self._by_formula(ask))
        yield from steps
        self._state(ask.name, complex(self.drawn.values[ask.name]), ask.unit)
        if engine is not None:
            self._learn(ask, engine)

    def _reasoned(self, ask: Ask, engine: Explainer) -> list[WorkedStep] | None:
        """Return the steps of an ask by reasoning, or None where that does not lead to it."""
        assert ask.circuit is not None
        analysis = self._template.analysis_of(ask.circuit)
        frequency = frequency_of(self._template, ask.circuit) if analysis == AC else None
        take = take_of(self._template, ask)
        before = set(engine.ledger.stated)
        try:
            found = engine.explain(Wanted(ask.circuit.asked, analysis, frequency, take))
            too_long = ask.formula is not None and len(found.steps) > MOST_STEPS
            told = None if too_long else self._named(found.steps, ask, engine)
        except (NoExplanationError, CircuitError, KeyError) as error:
            engine.ledger.stated = before
            self.fallbacks.append(f"{ask.name}: {error}")
            return None
        if told is None:
            engine.ledger.stated = before
            self.fallbacks.append(f"{ask.name}: more than {MOST_STEPS} steps lead there")
        return told

    def _named(self, steps: tuple[Step, ...], ask: Ask, engine: Explainer) -> list[WorkedStep] | None:
        """Return steps in the template's names; what was stated before under another name is left out."""
        told: list[WorkedStep] = []
        for index, step in enumerate(steps):
            last = index == len(steps) - 1
            formula = tidied(substitute(step.formula, self._renamed))
            try:
                second = value_of(formula, self._nudged)
            except ExpressionError:
                second = complex(math.nan)
            name = ask.name if last else self._name_of(step, second)
            if name in self._stated and not last:
                self._renamed[step.name] = Name(name)
                continue
            if last and not self._is_key(ask, step.value):
                raise NoExplanationError(ask.name)
            if formula == Name(name):
                continue
            turned = last and step.name in engine.turned
            self._renamed[step.name] = negative(Name(name)) if turned else Name(name)
            self._nudged.setdefault(name, second)
            if not last:
                self._state(name, step.value, step.unit)
            says = _renamed_words(step.says, self._renamed, self._references())
            unit = ask.unit if last else step.unit
            told.append(WorkedStep(_changed(step, name, formula, says, unit), ask.name, last))
        return told

    def _references(self) -> frozenset[str]:
        network = self._template.network
        return frozenset() if network is None else frozenset(part.reference for part in network.parts)

    def _is_key(self, ask: Ask, value: complex) -> bool:
        key = self.drawn.values[ask.name]
        return abs(value - key) <= AGREEMENT * abs(key) + 1e-15

    def _name_of(self, step: Step, second: complex) -> str:
        """Return what the template calls a value, if it is the same for both sets of values."""

        def same(a: complex, b: complex) -> bool:
            return abs(a - b) <= AGREEMENT * max(abs(a), abs(b))

        for name, (value, nudged, unit) in self._stated.items():
            if unit.fits(step.unit) and same(value, step.value) and same(nudged, second):
                return name
        for name in self._template.derived:
            derived, nudged_value = self.drawn.values.get(name), self._nudged.get(name)
            if derived is None or nudged_value is None or not self._template.units[name].fits(step.unit):
                continue
            if same(derived, step.value) and same(nudged_value, second) and name not in self.given:
                return name
        return self._plain_name(step.name)

    def _plain_name(self, name: str) -> str:
        """Return a symbol without its number, if what it was to be told apart from is never told."""
        base = re.sub(r"_\d$", "", name)
        taken = base in self._stated or base in self._template.units or any(base == str(v) for v in self.drawn.values)
        return name if taken else base

    def _state(self, name: str, value: complex, unit: Unit) -> None:
        self._stated[name] = (value, self._nudged.get(name, complex(math.nan)), unit)

    def _learn(self, ask: Ask, engine: Explainer) -> None:
        """A hidden value that an ask has just stated is known from here on, under the ask's name."""
        key, nudged = self.drawn.values[ask.name], self._nudged.get(ask.name)
        engine.ledger.values.setdefault(ask.name, complex(key))
        for name, value in {**self._numbers(), **engine.hidden_values}.items():
            if name in engine.ledger.values or name == ask.name or nudged is None:
                continue
            second = self._nudged.get(name, complex(math.nan))
            if math.isclose(value, key, rel_tol=1e-12) and abs(second - nudged) <= 1e-12 * abs(nudged):
                engine.learn(name, value)
                self._renamed[name] = Name(ask.name)

    # -- by formula ----------------------------------------------------------------------------------------------------
    def _by_formula(self, ask: Ask) -> Iterator[WorkedStep]:
        formula = ask.formula or self._definition_of(ask)
        if formula is None:
            return
        yield from self._derived_first(formula, ask)
        says, idea = self._sentence(formula, ask.unit)
        if ask.kind == "preferred":
            which = {"nearest": "The nearest", "up": "The next larger", "down": "The next smaller"}[ask.rounding]
            says = f"{which} value of the {ask.series} series is"
            if not isinstance(formula, Name):
                says = f"{which} value of the {ask.series} series for this is"
        value = complex(self.drawn.values[ask.name])
        step = Step(ask.name, Method.RULE, says, formula, value, ask.unit, self._parts_in(formula), idea)
        yield WorkedStep(step, ask.name, True)

    def _definition_of(self, ask: Ask) -> Expression | None:
        """Return the formula of a derived value that an ask without a formula comes out as."""
        key, nudged = self.drawn.values[ask.name], self._nudged.get(ask.name)
        for name, rule in self._template.values.items():
            if isinstance(rule, Derived) and nudged is not None and name in self._nudged:
                second = self._nudged[name]
                if (
                    math.isclose(self.drawn.values[name], key, rel_tol=1e-12)
                    and abs(second - nudged) <= abs(nudged) * 1e-9
                ):
                    return rule.formula
        return None

    def _derived_first(self, formula: Expression, ask: Ask) -> Iterator[WorkedStep]:
        """Yield steps for the values in a formula that were neither given nor stated."""
        for name in names_in(formula):
            rule = self._template.values.get(name)
            if name in self.given or name in self._stated or not isinstance(rule, Derived):
                continue
            yield from self._derived_first(rule.formula, ask)
            says, idea = self._sentence(rule.formula, rule.unit)
            value = complex(self.drawn.values[name])
            step = Step(name, Method.RULE, says, rule.formula, value, rule.unit, self._parts_in(rule.formula), idea)
            self._state(name, value, rule.unit)
            yield WorkedStep(step, ask.name, False)

    def _sentence(self, formula: Expression, unit: Unit) -> tuple[str, str]:
        return sentence_for(formula, unit, {name: u.dimension for name, u in self._template.units.items()})

    def _parts_in(self, formula: Expression) -> tuple[str, ...]:
        """Return the parts whose values a formula uses."""
        network = self._template.network
        if network is None:
            return ()
        names = set(names_in(formula))
        found = []
        for symbol, (part, parameter) in network.parameters().items():
            bound = parameter.value
            used = {symbol} if bound is None or isinstance(bound, Quantity) else set(names_in(bound))
            if used & names and part.reference not in found:
                found.append(part.reference)
        return tuple(found)


def _bound(network: Network, numbers: Mapping[str, float]) -> tuple[dict[str, float], dict[str, Expression], list[str]]:
    """Return the value of every parameter, the formula that stands for it, and the symbols that no text knows."""
    parameters: dict[str, float] = {}
    symbols: dict[str, Expression] = {}
    hidden: list[str] = []
    for symbol, (_, parameter) in network.parameters().items():
        value = parameter.value
        if value is None:
            raise ExpressionError(symbol, "it has no value")
        if isinstance(value, Quantity):
            parameters[symbol] = value.magnitude
            continue
        parameters[symbol] = evaluate(value, numbers)
        symbols[symbol] = value
        if not isinstance(value, Name):
            hidden.append(symbol)  # its own symbol stands in no text
    return parameters, symbols, hidden


def _changed(step: Step, name: str, formula: Expression, says: str, unit: Unit) -> Step:
    return Step(name, step.method, says, formula, step.value, unit, step.parts, step.idea)


def _renamed_words(says: str, renamed: Mapping[str, Expression], references: frozenset[str]) -> str:
    """Return a sentence with the names between its backticks replaced; a part keeps its reference."""
    pieces = says.split("`")
    for place in range(1, len(pieces), 2):
        new = None if pieces[place] in references else renamed.get(pieces[place])
        if isinstance(new, Name):
            pieces[place] = new.name
    return "`".join(pieces)
