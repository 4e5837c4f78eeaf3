"""Reading template files: from YAML to a `Template`, or all faults at once, each with line, key and remedy."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from tutor.circuits.errors import CircuitError, PartError, did_you_mean
from tutor.circuits.expressions import Name, read_expression
from tutor.circuits.expressions.evaluation import FUNCTIONS
from tutor.circuits.network import Network, read_network
from tutor.circuits.source import Path_, Source, dotted
from tutor.errors import FaultyFileError
from tutor.quantities import (
    VOLT,
    Unit,
    read_quantity,
    read_unit,
    values_between,
)
from tutor.questions.ask_reading import read_asks
from tutor.questions.cautions import CAUTIONS
from tutor.questions.desk import CIRCUIT, Desk, DoubtError, refuse_other_kind
from tutor.questions.implicit import IMPLICIT_UNITS
from tutor.questions.plot_reading import read_plot
from tutor.questions.schema import (
    FormulaRule,
    PickRule,
    RangeRule,
    RowsRule,
    SeriesRule,
    TemplateModel,
)
from tutor.questions.shape_faults import faults_of
from tutor.questions.supply_plan import read_supply
from tutor.questions.template import ALL, Example, Template
from tutor.questions.text import Pieces
from tutor.questions.values import Choices, Derived, Rows, ValueRule, even_steps
from tutor.questions.words import with_article

RESERVED = ("pi", "s", "j", "and", "or", "not", "e")
"""Words of the expressions that are no functions; s and j are the frequency of a phasor."""

FindCircuit = Callable[[str], Mapping[str, Any]]
"""Gives the `parts:` of a shared circuit by name; raises CircuitError with near names."""


def read_template(source: Source, find_circuit: FindCircuit, bank: str = "") -> Template:
    """Read a template.

    Args:
        source: The YAML source.
        find_circuit: Gives shared circuits.
        bank: Name of the bank it belongs to.

    Returns:
        The template.

    Raises:
        FaultyFileError: With every fault that was found.
    """
    if not isinstance(source.data, dict):
        raise FaultyFileError([source.fault((), "a template file begins with `template:` and its name")])
    try:
        model = TemplateModel.model_validate(source.data)
    except ValidationError as error:
        raise FaultyFileError(faults_of(error, source, TemplateModel)) from error
    return _Reader(source, model, find_circuit, bank).template()


class _Reader:
    """Reads one validated file into a template."""

    def __init__(self, source: Source, model: TemplateModel, find_circuit: FindCircuit, bank: str) -> None:
        self._source, self._model, self._find, self._bank = source, model, find_circuit, bank
        self._desk = Desk(source)
        self._places: dict[str, str] = {}  # name → the key that gives it

    def template(self) -> Template:
        model, desk = self._model, self._desk
        values = self._values()
        parts, network = self._circuit()
        self._names_are_free(network)
        self._know_the_circuit(network)
        frequency = desk.frequency(("frequency",), model.frequency) if model.frequency else None
        # Before the asks: a supply is made of drawn and derived values alone.
        supply = read_supply(desk, model.supply) if model.supply is not None else None
        plot = read_plot(desk, model, network)
        asks = read_asks(desk, model, network, plot)
        require = [desk.condition(("require", i), text) for i, text in enumerate(model.require)]
        text = desk.pieces(("text",), model.text)
        hints = tuple(desk.pieces(("hints", i), hint) for i, hint in enumerate(model.hints))
        solution, plan = self._solution()
        examples = tuple(self._example(i, values) for i in range(len(model.examples)))
        if model.caution and model.caution not in CAUTIONS:
            near = did_you_mean(model.caution, CAUTIONS)
            desk.fault(("caution",), f"found {model.caution!r}{near}; known are {', '.join(CAUTIONS)}")
        if desk.faults:
            raise FaultyFileError(desk.faults)
        data = self._canonical(parts)
        return Template(
            name=model.template,
            release=release_of(data),
            file=self._source.name,
            bank=self._bank,
            title=model.title,
            topic=model.topic,
            level=int(model.level),
            values=values,
            units=dict(desk.units),
            require=tuple(condition for condition in require if condition is not None),
            network=network,
            supply=supply,
            parts=parts,
            plot=plot,
            analysis=model.analysis,
            frequency=frequency,
            text=text,
            hints=hints,
            solution=solution,
            plan=plan,
            asks=asks,
            caution=model.caution or "",
            source=model.source or "",
            examples=examples,
            data=data,
            lines={dotted(path): line for path, line in self._source.lines.items()},
        )

    def _solution(self) -> tuple[tuple[Pieces, ...], tuple[int | str, ...]]:
        """Return the template's own steps, and the order in which they and automatic ones stand."""
        raw = self._model.solution
        if isinstance(raw, str) or not raw:
            return (), (ALL,)
        own: list[Pieces] = []
        plan: list[int | str] = []
        for index, step in enumerate(raw):
            if isinstance(step, str) and step.strip() != ALL:
                plan.append(len(own))
                own.append(self._desk.pieces(("solution", index), step))
                continue
            name = ALL if isinstance(step, str) else step.auto
            if name in plan:
                self._desk.fault(("solution", index), f"the automatic steps of {name} stand here a second time")
            elif name != ALL and name not in self._model.ask:
                near = did_you_mean(name, self._model.ask)
                self._desk.fault(("solution", index), f"nothing is asked under the name {name!r}{near}")
            plan.append(name)
        return tuple(own), tuple(plan)

    def _canonical(self, parts: Mapping[str, Any]) -> dict[str, Any]:
        """Return what fixes the question: the file in the schema's order, and the circuit itself, not its name."""
        order = [field.alias or name for name, field in TemplateModel.model_fields.items()]
        data = {key: _plain(self._source.data[key]) for key in order if key in self._source.data}
        return data | ({"parts": _plain(parts)} if parts else {})

    # -- values --------------------------------------------------------------------------------------------------------
    def _values(self) -> dict[str, ValueRule]:
        rules: dict[str, ValueRule] = {}
        for name, raw in self._model.values.items():
            before = self._desk.troubles
            with self._desk.at(("values", name)):
                rule = self._rule(raw)
                self._enter(name, rule)
                rules[name] = rule
            if self._desk.troubles > before:
                self._desk.doubt(name, *(key for row in getattr(raw, "rows", [])[:1] for key in row))
        return rules

    def _enter(self, name: str, rule: ValueRule) -> None:
        """Let the desk know the names that a rule gives; a row gives the names of its columns, and its word."""
        units = rule.units if isinstance(rule, Rows) else {name: rule.unit}
        for given in (*units, name) if isinstance(rule, Rows) else (name,):
            if given in self._places:
                raise ValueError(f"the name {given!r} is given under {self._places[given]} already; give one another")
            self._places[given] = dotted(("values", name))
        self._desk.units.update(units)
        if isinstance(rule, Rows):
            self._desk.labels.add(name)

    def _rule(self, raw: Any) -> ValueRule:
        match raw:
            case str():
                quantity = read_quantity(raw).quantity
                return Choices((quantity.magnitude,), quantity.unit)
            case PickRule(pick=texts):
                return self._pick(texts)
            case SeriesRule():
                low, high = (read_quantity(t).quantity for t in (raw.from_, raw.to))
                self._same_unit(low.unit, high.unit, raw.to)
                values = values_between(raw.series, low.magnitude, high.magnitude)
                if not values:
                    raise ValueError(f"no value of {raw.series} lies between {raw.from_} and {raw.to}")
                return Choices(values, low.unit)
            case RangeRule():
                low, high, step = (read_quantity(t).quantity for t in (raw.from_, raw.to, raw.step))
                for other, text in ((high, raw.to), (step, raw.step)):
                    self._same_unit(low.unit, other.unit, text)
                decimals = (_decimal(q.magnitude) for q in (low, high, step))
                return Choices(even_steps(*decimals), low.unit)
            case RowsRule(rows=rows):
                return self._rows(rows)
            case FormulaRule():
                return self._derived(raw)
        raise TypeError(f"no rule for {raw!r}")

    def _pick(self, texts: list[str]) -> Choices:
        quantities = [read_quantity(text).quantity for text in texts]
        for quantity, text in zip(quantities, texts, strict=True):
            self._same_unit(quantities[0].unit, quantity.unit, text)
        return Choices(tuple(q.magnitude for q in quantities), quantities[0].unit)

    @staticmethod
    def _same_unit(first: Unit, other: Unit, text: str) -> None:
        if not first.fits(other):
            raise ValueError(
                f"found {text!r}, {with_article(other.name)}, beside {with_article(first.name)}; give all the same unit"
            )

    def _rows(self, rows: list[dict[str, str]]) -> Rows:
        names = [key for key in rows[0] if key != "label"]
        for index, row in enumerate(rows):
            if set(row) - {"label"} != set(names):
                raise ValueError(f"row {index + 1} has other names than the first ({', '.join(names)})")
        columns, units = {}, {}
        for name in names:
            column = self._pick([row[name] for row in rows])
            columns[name], units[name] = column.values, column.unit
        return Rows(tuple(row.get("label", "") for row in rows), columns, units)

    def _derived(self, raw: FormulaRule) -> Derived:
        expression = read_expression(raw.formula)
        refuse_other_kind(expression, condition=False)
        self._desk.know(expression, own=True)
        unit = self._desk.dimension(expression)
        if raw.unit is not None:
            wanted = read_unit(raw.unit).unit
            self._same_unit(unit, wanted, raw.unit)
            unit = wanted
        return Derived(expression, unit)

    def _names_are_free(self, network: Network | None) -> None:
        """Note a fault for every name that already means something else."""
        symbols = _bound_elsewhere(network)
        for name, place in (*self._places.items(), *((name, f"ask.{name}") for name in self._model.ask)):
            path: Path_ = tuple(place.split("."))
            if name in FUNCTIONS or name in RESERVED:
                self._desk.fault(path, f"{name!r} is a word of the expressions; give the value another name")
            elif name in symbols:
                message = f"{name!r} is what the circuit calls a figure of {symbols[name]}; give the value another name"
                self._desk.fault(path, message)
        for name in self._model.ask:
            if name in self._places:
                self._desk.fault(("ask", name), f"a value has the name {name!r} already; give the ask another")

    # -- circuit -------------------------------------------------------------------------------------------------------
    def _circuit(self) -> tuple[Mapping[str, Any], Network | None]:
        raw = self._model.circuit
        if raw is None:
            return {}, None
        with self._desk.at(("circuit",)):
            if isinstance(raw, str):
                return self._shared_circuit(raw)
            parts = raw.get("parts", raw)
            return parts, self._network(parts)
        self._desk.doubt(CIRCUIT)
        return {}, None

    def _shared_circuit(self, name: str) -> tuple[Mapping[str, Any], Network]:
        parts = self._find(name)
        try:
            return parts, self._network(parts)
        except PartError as error:
            raise CircuitError(f"in the circuit {name}, {error}") from error

    def _network(self, parts: Mapping[str, Any]) -> Network:
        try:
            return read_network(parts, self._desk.units)
        except CircuitError as error:
            if any(repr(name) in str(error) for name in self._desk.doubtful):
                raise DoubtError from error
            raise

    def _know_the_circuit(self, network: Network | None) -> None:
        if network is None:
            return
        if self._model.analysis == "ac" and not self._model.frequency:
            self._desk.unsolved = "at ac the circuit's quantities want a frequency; give `frequency:`"
        for part in network.parts:
            for kind in ("power", "current", "voltage"):
                self._desk.texts[f"{kind}_{part.reference}"] = IMPLICIT_UNITS[kind]
        for node in network.nodes:
            if node != "0":
                self._desk.texts.setdefault(f"voltage_{node}", VOLT)

    # -- examples ------------------------------------------------------------------------------------------------------
    def _example(self, index: int, rules: Mapping[str, ValueRule]) -> Example:
        derived = [name for name, rule in rules.items() if isinstance(rule, Derived)]
        raw = self._model.examples[index]
        path: Path_ = ("examples", index)
        values = {}
        for name, text in raw.values.items():
            with self._desk.at((*path, "values", name)):
                if name not in self._desk.units or name in self._model.ask:
                    near = did_you_mean(name, self._desk.units)
                    raise ValueError(f"the template has no value of this name{near}")
                if name in derived:
                    raise ValueError("it is worked out from the others; pin those")
                quantity = read_quantity(text).quantity
                self._same_unit(self._desk.units[name], quantity.unit, text)
                values[name] = quantity
        for name in raw.answers:
            if name not in self._model.ask:
                near = did_you_mean(name, self._model.ask)
                self._desk.fault((*path, "answers", name), f"nothing is asked under this name{near}")
        return Example(values, dict(raw.answers), raw.source)


def _bound_elsewhere(network: Network | None) -> dict[str, str]:
    """Return the circuit's own symbols that no value of the same name is bound to, with the part of each."""
    if network is None:
        return {}
    parameters = network.parameters()
    symbols = {
        symbol: part.reference
        for symbol, (part, parameter) in parameters.items()
        if parameter.value not in (None, Name(symbol))
    }
    worked_out = {d.symbol: part.reference for part in network.parts for d in part.definitions()}
    return symbols | worked_out


def _decimal(value: float) -> Decimal:
    return Decimal(repr(value))


def _plain(data: Any) -> Any:
    if isinstance(data, Mapping):
        return {str(key): _plain(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_plain(value) for value in data]
    return data


def release_of(data: Mapping[str, Any]) -> str:
    """Return the release of a template: a hash of its canonical data, 12 characters."""
    # The order of keys counts: asks are answered, and values worked out, in the order of the file.
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:12]
