"""`Template.draw(serial) -> Question`: the drawn values put into everything that a member will see."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.asked import Current, Power, Voltage
from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Expression, Name, dimension_of, evaluate, names_in, read_expression
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.parts.passive import Capacitor, Inductor, Resistor
from tutor.circuits.parts.sources import VoltageSource
from tutor.drawing.maths import NO_BREAK, plain
from tutor.quantities import PreferredValueError, Quantity, Tolerance, Unit, coherent_unit, show_exact, show_in
from tutor.questions.compiling import ROUNDING, Compiled, implicit_names, number_names
from tutor.questions.drawn_fault import fault_detail, fault_steps
from tutor.questions.drawn_parts import drawn_parts, named_nodes
from tutor.questions.drawn_plot import plot_data
from tutor.questions.errors import DrawError
from tutor.questions.fragments import text_of
from tutor.questions.implicit import IMPLICIT_UNITS
from tutor.questions.lots import key_of, lot, pick
from tutor.questions.lottery import Drawn, draw_values, read_serial
from tutor.questions.plot_reading import axis_of
from tutor.questions.question import DrawnAsk, DrawnOption, DrawnSlip, Given, Question
from tutor.questions.showing import FIGURES, computed
from tutor.questions.telling import slips_that_tell
from tutor.questions.template import Ask, Template
from tutor.questions.text import Filled, Pieces, Span, fill, spans_in
from tutor.questions.values import Choices, Derived, Rows
from tutor.questions.worked.hints import hints_of
from tutor.questions.worked.solution import Solution, Solver

PER_CENT = "%"
"""The one printed unit that a key is shown in as it stands; others are given the prefix that suits the value."""

DIRECTION_OF = {1.0: "rises", -1.0: "falls", 0.0: "unchanged"}


def draw(compiled: Compiled, serial: int) -> Question:
    """Draw a question.

    Args:
        compiled: The template.
        serial: A whole number; it fixes every value for ever.

    Raises:
        DrawError: If the serial is none, if no draw of values meets the template's conditions, or if a text or option
            has no value for those that do.
    """
    serial = read_serial(serial, compiled.template.name)
    return question_of(compiled, serial, draw_values(compiled, serial))


def question_of(compiled: Compiled, serial: int, drawn: Drawn) -> Question:
    """Return the question of values that are drawn already.

    Raises:
        DrawError: If a text or option has no value for them.
    """
    try:
        return _Drawer(compiled, serial, drawn).question()
    except ExpressionError as error:
        raise DrawError(compiled.template.name, serial, str(error)) from error


def draw_solved(compiled: Compiled, serial: int) -> tuple[Question, Solution]:
    """Draw a question, and return what lies behind its solution beside it; for `check`.

    Raises:
        DrawError: As `draw`.
    """
    serial = read_serial(serial, compiled.template.name)
    try:
        drawer = _Drawer(compiled, serial, draw_values(compiled, serial))
        return drawer.question(), drawer.solution()
    except ExpressionError as error:
        raise DrawError(compiled.template.name, serial, str(error)) from error


def given_names(template: Template) -> tuple[str, ...]:
    """Return the drawn values that a member sees: those that the texts or the drawing show."""
    seen: set[str] = set()
    for pieces in (template.text, *(ask.text for ask in template.asks)):
        for span in spans_in(pieces):
            if span.valued or span.alone:
                seen.update(name for member in span.members for name in names_in(member))
    if template.network is not None:
        for _, parameter in template.network.parameters().values():
            if isinstance(parameter.value, Name):
                seen.add(parameter.value.name)
    names: list[str] = []
    for name, rule in template.values.items():
        if isinstance(rule, Derived):
            names.extend([name] if _is_spelt_out(template, name) else [])
        else:
            names.extend(n for n in (rule.columns if isinstance(rule, Rows) else (name,)) if n in seen)
    return tuple(names)


def _is_spelt_out(template: Template, name: str) -> bool:
    """Tell whether the question's own text gives the value of a derived name."""
    return any(
        (span.valued or span.alone) and span.members[-1] == Name(name)
        for pieces in (template.text, *(ask.text for ask in template.asks))
        for span in spans_in(pieces)
    )


@dataclass(slots=True)
class _Drawer:
    compiled: Compiled
    serial: int
    drawn: Drawn

    @property
    def _template(self) -> Template:
        return self.compiled.template

    def question(self) -> Question:
        template, values = self._template, self.drawn.values
        givens = self._givens()
        shown = {given.name: given.shown for given in givens}
        solution = self.solution()
        asks = tuple(self._ask(ask) for ask in template.asks)
        last = (*self._choices(asks), *self._reasoning())
        return Question(
            template=template.name,
            title=template.title,
            release=template.release,
            serial=self.serial,
            topic=template.topic,
            level=template.level,
            values=dict(values),
            givens=givens,
            text=self._fill(template.text),
            asks=asks,
            hints=tuple(self._fill(hint) for hint in template.hints) or hints_of(solution.automatic),
            solution=(*solution.steps, *last),
            lit=(*solution.parts, *(() for _ in last)),
            waypoints=solution.waypoints,
            caution=template.caution,
            parts=drawn_parts(template, values, shown, self.drawn.labels),
            nodes=named_nodes(template),
            source=template.source,
            plot=plot_data(self.compiled, values) if template.plot is not None else None,
        )

    def solution(self) -> Solution:
        """Return the worked solution with what lies behind it."""
        shown = {given.name: given.shown for given in self._givens()}
        figures = self._figures(shown)
        figures |= {
            ask.name: self._shown_key(ask, self.drawn.values[ask.name], ())
            for ask in self._template.asks
            if ask.kind in ("number", "preferred", "reading")
        }
        given = frozenset((*shown, *self._fixed_names()))
        solver = Solver(self.compiled, self.drawn, figures, given, lambda step: self._fill(step, figures))
        return solver.solution()

    def _fixed_names(self) -> tuple[str, ...]:
        """Return names that are no secret although nothing shows them: a figure that is the same in every question."""
        rules = self._template.values.items()
        return tuple(name for name, rule in rules if isinstance(rule, Choices) and len(rule.values) == 1)

    def _choices(self, asks: tuple[DrawnAsk, ...]) -> tuple[Filled, ...]:
        """Return the automatic last word on every choice: the option that is right."""
        automatic = self._template.automatic_asks()
        return tuple(
            ("Of what is offered, this is right: ", *option.text, ".")
            for ask in asks
            if ask.name in automatic and self._template.ask(ask.name).options
            for option in ask.options
            if option.right
        )

    # -- showing -------------------------------------------------------------------------------------------------------
    def _givens(self) -> tuple[Given, ...]:
        found = []
        for name in given_names(self._template):
            unit, value = self._template.units[name], self.drawn.values[name]
            text = computed(value, unit) if name in self._template.derived else show_exact(value, unit)
            found.append(Given(name, value, unit.symbol, text))
        return tuple(found)

    def _reasoning(self) -> Iterator[Filled]:
        """Yield the steps from readings to faults."""
        for ask in self._template.asks:
            if ask.kind == "fault":
                yield from ((step,) for step in fault_steps(self._fault(ask), str(self._key(ask, ()))))

    def _fault(self, ask: Ask) -> Mapping[str, Any]:
        return fault_detail(self._template, ask, self.drawn.values, self.drawn.labels)

    def _figures(self, shown: Mapping[str, str]) -> dict[str, str]:
        """Return the shown value of every name, for steps read in figures."""
        figures = dict(shown)
        for name in (*number_names(self._template), *implicit_names(self._template)):
            if name in self.drawn.values and name not in figures:
                figures[name] = self._show(Name(name))
        return figures

    def _fill(self, pieces: Pieces, figures: Mapping[str, str] | None = None) -> Filled:
        return fill(pieces, self._show_span, figures)

    def _show_span(self, span: Span) -> str:
        """Return the value of a span: in the unit of the name that it is given, if a member of the chain is one."""
        names = [member for member in span.members if isinstance(member, Name)]
        if names:
            printed = next((ask.printed for ask in self._template.asks if ask.name == names[0].name), None)
            if printed is not None and printed.text == PER_CENT:
                return show_in(self.drawn.values[names[0].name], printed, FIGURES)
        return self._show(names[0] if names else span.members[-1])

    def _show(self, expression: Expression) -> str:
        if isinstance(expression, Name) and expression.name in self.drawn.labels:
            return self.drawn.labels[expression.name]
        unit = self._unit(expression)
        value = evaluate(expression, self.drawn.values)
        base = isinstance(expression, Name) and expression.name in self.drawn.base
        return show_exact(value, unit) if base else computed(value, unit)

    def _unit(self, expression: Expression) -> Unit:
        if isinstance(expression, Name) and expression.name in self._template.units:
            return self._template.units[expression.name]
        units = all_units(self._template)
        return coherent_unit(dimension_of(expression, {name: unit.dimension for name, unit in units.items()}))

    # -- asks ----------------------------------------------------------------------------------------------------------
    def _ask(self, ask: Ask) -> DrawnAsk:
        options = self._options(ask)
        value = self._key(ask, options)
        band = self._band(ask)
        return DrawnAsk(
            name=ask.name,
            kind=ask.kind,
            text=self._fill(ask.text),
            topic=ask.topic,
            value=value,
            unit="" if isinstance(value, str) and ask.kind != "formula" else ask.unit.symbol,
            printed="" if isinstance(value, str) else ask.printed.text,
            tolerance="" if band is None or ask.kind == "formula" else str(band),
            shown=self._shown_key(ask, value, options),
            formula=describe(ask.formula) if ask.formula is not None else "",
            slips=self._slips(ask, value) if not options else (),
            detail=self._detail(ask),
            options=options,
            possible=describe(ask.possible) if ask.possible is not None else "",
            limit=self._limit(ask),
            series=ask.series,
            rounding=ask.rounding if ask.series else "",
            marks=2 if ask.takes_unit_mark or ask.kind == "fault" else 1,
        )

    def _band(self, ask: Ask) -> Tolerance | None:
        """Return the tolerance: of a reading, half a small division where its key stands."""
        if ask.reading is None or self._template.plot is None:
            return ask.tolerance
        return axis_of(self._template.plot, ask.reading).tolerance(self.drawn.values[ask.name])

    def _key(self, ask: Ask, options: tuple[DrawnOption, ...]) -> float | str:
        if options:
            right = [option.name for option in options if option.right]
            if len(right) != 1:
                reason = f"{len(right)} options of {ask.name} are right; exactly one must be"
                raise DrawError(self._template.name, self.serial, reason)
            return right[0]
        if ask.kind == "formula":
            assert ask.formula is not None
            return describe(ask.formula)
        value = self.drawn.values[ask.name]
        if ask.kind == "fault":
            return ask.suspects[int(value) - 1].name
        return DIRECTION_OF[value] if ask.kind == "change" else value

    def _shown_key(self, ask: Ask, value: float | str, options: tuple[DrawnOption, ...]) -> str:
        if isinstance(value, str):
            if ask.kind == "formula":
                return plain(read_expression(value))
            if ask.kind == "fault":
                fault = next(suspect.fault for suspect in ask.suspects if suspect.name == value)
                return f"{fault.part} {fault.words}"
            if not options:
                return value
            return text_of(next(option.text for option in options if option.name == value))
        if ask.kind == "preferred":
            return show_exact(value, ask.unit)
        return show_in(value, ask.printed, FIGURES) if ask.printed.text == PER_CENT else computed(value, ask.unit)

    def _slips(self, ask: Ask, key: float | str) -> tuple[DrawnSlip, ...]:
        if ask.kind in ("change", "fault"):
            return tuple(DrawnSlip(slip.name, None, self._fill(slip.says), "", slip.name != key) for slip in ask.slips)
        if ask.kind == "formula":
            key = self.drawn.values[ask.name]
        assert isinstance(key, float)
        band = self._band(ask)
        assert band is not None
        values = [self._slip_value(ask, slip.formula) for slip in ask.slips]
        telling = slips_that_tell(band, key, values)
        return tuple(
            DrawnSlip(slip.name, value, self._fill(slip.says), describe(slip.formula), tells)
            for slip, value, tells in zip(ask.slips, values, telling, strict=True)
            if slip.formula is not None
        )

    def _detail(self, ask: Ask) -> dict[str, Any]:
        if ask.kind == "fault":
            return dict(self._fault(ask))
        if ask.kind != "formula":
            return {}
        return {"names": {name: self._name_of_formula(name) for name in ask.names}}

    def _name_of_formula(self, name: str) -> dict[str, Any]:
        """Return a name's unit, and the lowest and highest value that is ever drawn for it."""
        rules = self._template.values
        rows = (rule.columns for rule in rules.values() if isinstance(rule, Rows))
        rule = rules.get(name)
        drawn = rule.values if isinstance(rule, Choices) else next(c[name] for c in rows if name in c)
        return {"unit": self._template.units[name].symbol, "low": min(drawn), "high": max(drawn)}

    def _slip_value(self, ask: Ask, formula: Expression | None) -> float | None:
        if formula is None:
            return None
        try:
            value = evaluate(formula, self.drawn.values)
            # Who goes wrong on the way to a preferred value still chooses one.
            return ROUNDING[ask.rounding](ask.series, value) if ask.kind == "preferred" else value
        except (ExpressionError, PreferredValueError):
            return None

    def _options(self, ask: Ask) -> tuple[DrawnOption, ...]:
        if ask.kind != "choice":
            return ()
        if ask.options:
            found = [
                DrawnOption(
                    option.name,
                    self._fill(option.text),
                    bool(evaluate(option.right, self.drawn.values)),
                    self._fill(option.says) if option.says else (),
                )
                for option in ask.options
            ]
        else:
            found = self._numbers_as_options(ask)
        return _shuffled(found, key_of(self._template.release, f"options of {ask.name}"), self.serial)

    def _numbers_as_options(self, ask: Ask) -> list[DrawnOption]:
        """Return the key and its slips as options, leaving out slips that cannot be told apart."""
        key = self.drawn.values[ask.name]
        assert ask.tolerance is not None
        values = [self._slip_value(ask, slip.formula) for slip in ask.slips]
        telling = slips_that_tell(ask.tolerance, key, values)
        shown = computed(key, ask.unit)
        # Its name is what stands there: a word such as `right` could be typed for every such question.
        found = [DrawnOption(shown.replace(NO_BREAK, " "), (shown,), True, ())]
        for slip, value, tells in zip(ask.slips, values, telling, strict=True):
            if tells and value is not None:
                found.append(DrawnOption(slip.name, (computed(value, ask.unit),), False, self._fill(slip.says)))
        return found

    def _limit(self, ask: Ask) -> float | None:
        """Return the largest value that a purely resistive dc circuit can give: all its sources' volts at once."""
        network, circuit = self._template.network, ask.circuit
        if network is None or circuit is None or self._template.analysis_of(circuit).kind != "dc":
            return None
        volts, resistances = 0.0, {}
        for part in network.parts:
            if isinstance(part, VoltageSource) and not part.told_apart:
                volts += abs(self._part_value(part.value))
            elif isinstance(part, Resistor):
                resistances[part.reference] = self._part_value(part.value)
            elif not isinstance(part, Capacitor | Inductor):
                return None
        match circuit.asked:
            case Voltage():
                return volts
            case Current(reference) if reference in resistances:
                return volts / resistances[reference]
            case Power(reference) if reference in resistances:
                return volts**2 / resistances[reference]
        return None

    def _part_value(self, value: Quantity | Expression | None) -> float:
        if isinstance(value, Quantity):
            return value.magnitude
        assert value is not None
        return evaluate(value, self.drawn.values)


def _shuffled(options: list[DrawnOption], key: int, serial: int) -> tuple[DrawnOption, ...]:
    """Return the options in an order that the serial fixes (Fisher and Yates)."""
    order = list(options)
    for place in range(len(order) - 1, 0, -1):
        other = pick(lot(key, serial, place), place + 1)
        order[place], order[other] = order[other], order[place]
    return tuple(order)


def all_units(template: Template) -> dict[str, Unit]:
    """Return the unit of every name that texts may use, the circuit's own quantities included."""
    implicit = {name: IMPLICIT_UNITS[name.partition("_")[0]] for name in implicit_names(template)}
    return implicit | dict(template.units)
