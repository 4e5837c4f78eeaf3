"""Reading the `ask:` of a template: units, tolerances, slips, and what each kind needs."""

from __future__ import annotations

from typing import Literal

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import CircuitAsk, read_circuit_ask, without_analysis
from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.expressions import Call, Expression, names_in
from tutor.circuits.faults.instrument import INSTRUMENTS
from tutor.circuits.network import Network
from tutor.circuits.problem import pose
from tutor.circuits.source import Path_
from tutor.circuits.steps import first_order
from tutor.quantities import DECIBEL, DEGREE, RATIO, Tolerance, Unit, WrittenUnit, read_tolerance, read_unit
from tutor.questions.desk import CIRCUIT, Desk, DoubtError
from tutor.questions.plot import Plot
from tutor.questions.plot_reading import axis_of, read_reading
from tutor.questions.schema import AskModel, FormulaRule, TemplateModel
from tutor.questions.supply_plan import QUANTITIES, SupplyAsk, read_supply_ask
from tutor.questions.suspect_reading import points_of, sound_of, suspects_of
from tutor.questions.template import Ask, Option, Slip
from tutor.questions.words import with_article

DIRECTIONS = ("rises", "falls", "unchanged")
_OF_KIND: dict[str, tuple[str, ...]] = {
    "number": ("of circuit", "of supply", "model error", "formula", "unit", "tolerance", "possible"),
    "preferred": ("of circuit", "formula", "unit", "series", "round", "possible"),
    "change": ("of circuit", "formula", "when", "tolerance"),
    "choice": ("of circuit", "formula", "unit", "tolerance", "options"),
    "formula": ("of circuit", "formula", "names"),
    "fault": ("meter", "readings", "suspects", "sound"),
    "reading": ("of plot",),
}
_ALWAYS = ("text", "kind", "slips", "topic")


def read_asks(desk: Desk, model: TemplateModel, network: Network | None, plot: Plot | None) -> tuple[Ask, ...]:
    """Read all asks, in order; each may use the values of those before it. Faults go to the desk."""
    asks = []
    for name, raw in model.ask.items():
        ask = _AskReader(desk, model, network, plot, name, raw).ask()
        if ask is None:
            desk.doubt(name)
        else:
            asks.append(ask)
            desk.units[name] = ask.unit
    return tuple(asks)


class _AskReader:
    def __init__(
        self, desk: Desk, model: TemplateModel, network: Network | None, plot: Plot | None, name: str, raw: AskModel
    ) -> None:
        self._desk, self._model, self._network, self._name, self._raw = desk, model, network, name, raw
        self._plot = plot
        self._path: Path_ = ("ask", name)

    def ask(self) -> Ask | None:
        desk, raw, path = self._desk, self._raw, self._path
        before = desk.troubles
        self._refuse_keys_of_other_kinds()
        circuit, supply = self._circuit(), self._supply()
        formula = desk.expression((*path, "formula"), raw.formula) if raw.formula else None
        if formula is not None and raw.kind == "change":
            with desk.at((*path, "formula")):
                self._refuse_asks(formula)
        reading = read_reading(desk, (*path, "of plot"), self._plot, raw.of_plot) if raw.of_plot else None
        axis = None if reading is None or self._plot is None else axis_of(self._plot, reading)
        unit, printed = self._units(formula, circuit) if axis is None else (axis.unit, axis.drawn().written)
        desk.units[self._name] = unit  # its own name may stand in its slips and conditions
        unit_is_sure = desk.troubles == before
        tolerance = None
        if unit_is_sure:
            tolerance = self._tolerance(unit) if axis is None else axis.tolerance()
        ask = Ask(
            name=self._name,
            kind=raw.kind,
            text=desk.pieces((*path, "text"), raw.text),
            topic=raw.topic or self._model.topic,
            unit=unit,
            printed=printed,
            tolerance=tolerance,
            formula=formula,
            circuit=circuit,
            supply=supply,
            slips=self._slips(unit, unit_is_sure=unit_is_sure),
            possible=desk.condition((*path, "possible"), raw.possible) if raw.possible else None,
            series=raw.series or "",
            rounding=raw.round or "nearest",
            when=self._when(),
            options=self._options(),
            names=self._names(formula),
            meter=raw.meter or "",
            points=points_of(desk, path, raw, self._network),
            suspects=suspects_of(desk, path, raw, self._network),
            sound=sound_of(desk, path, raw),
            reading=reading,
        )
        if desk.troubles == before:
            self._check_kind(ask)
            self._check_supply(ask)
        return ask if desk.troubles == before else None

    def _refuse_keys_of_other_kinds(self) -> None:
        admitted = (*_ALWAYS, *_OF_KIND[self._raw.kind])
        for name, field in AskModel.model_fields.items():
            key = field.alias or name
            if name in self._raw.model_fields_set and key not in admitted:
                self._desk.fault(
                    (*self._path, key), f"an ask of kind {self._raw.kind} has no such key; it has {', '.join(admitted)}"
                )

    def _circuit(self) -> CircuitAsk | None:
        raw = self._raw.of_circuit
        if raw is None:
            return None
        with self._desk.at((*self._path, "of circuit")):
            ask = read_circuit_ask(raw)
            if self._network is None:
                if CIRCUIT in self._desk.doubtful:
                    raise DoubtError
                raise CircuitError("the template has no circuit; give one under `circuit:`")
            analysis = ask.analysis or self._model.analysis
            if without_analysis(ask.asked):
                analysis = "dc"
            if analysis == "ac" and not (ask.frequency or self._model.frequency):
                raise CircuitError("an ac quantity wants a frequency; give `frequency:` here or in the template")
            if ask.frequency:
                self._desk.frequency((*self._path, "of circuit", "frequency"), ask.frequency)
            if ask.time and analysis != "step":
                raise CircuitError("a time belongs to `analysis: step`; say that too, or leave it out")
            if analysis == "step":
                self._refuse_endless(ask, self._network)
            else:
                pose(self._network, ask.asked, _analysis(analysis))
            return ask
        return None

    def _refuse_endless(self, ask: CircuitAsk, network: Network) -> None:
        """Note a fault for a value in time without its time, or one that is no single exponential."""
        if not ask.time:
            raise CircuitError("a value in time wants a time; give `time: 5 s` here")
        self._desk.time((*self._path, "of circuit", "time"), ask.time)
        first_order(network, ask.asked)

    def _supply(self) -> SupplyAsk | None:
        raw = self._raw
        with self._desk.at((*self._path, "of supply")):
            if raw.of_supply is not None:
                if self._model.supply is None:
                    raise ValueError("the template has no supply; describe one under `supply:`")
                topology = self._model.supply.topology
                return read_supply_ask(self._desk, self._path, raw.of_supply, raw.model_error, topology)
        if raw.of_supply is None and raw.model_error is not None:
            self._desk.fault((*self._path, "model error"), "it goes with `of supply:`, and there is none")
        return None

    def _check_supply(self, ask: Ask) -> None:
        if ask.supply is None:
            return
        if ask.formula is None:
            self._desk.fault(self._path, "`of supply:` wants the `formula:` that is held against the supply")
            return
        wanted = QUANTITIES[ask.supply.quantity]
        if wanted.dimension != ask.unit.dimension:
            gives, asked = with_article(ask.unit.name), with_article(wanted.name)
            self._desk.fault((*self._path, "formula"), f"it gives {gives}, and the supply's quantity is {asked}")

    def _units(self, formula: Expression | None, circuit: CircuitAsk | None) -> tuple[Unit, WrittenUnit]:
        """Return the unit of the key and the one printed beside the field."""
        found = RATIO
        with self._desk.at((*self._path, "formula")):
            if formula is not None:
                found = DECIBEL if _is_level(formula) else self._desk.dimension(formula)
            elif circuit is not None:
                found = circuit.asked.unit
            if circuit is not None and circuit.take == "phase":
                found = DEGREE
            if circuit is not None and circuit.take == "decibels" and not found.symbol:
                found = DECIBEL
        if (
            circuit is not None
            and formula is not None
            and circuit.asked.unit.dimension != found.dimension
            and not circuit.take
        ):
            gives, asked = with_article(found.name), with_article(circuit.asked.unit.name)
            self._desk.fault((*self._path, "formula"), f"it gives {gives}, and the circuit's quantity is {asked}")
        printed = WrittenUnit(found.symbol, 1.0, found)
        if self._raw.unit is not None:
            with self._desk.at((*self._path, "unit")):
                printed = read_unit(self._raw.unit)
                if printed.unit.dimension != found.dimension:
                    wanted = with_article(found.name) + (f", in {found.symbol}" if found.symbol else "")
                    written = with_article(printed.unit.name)
                    raise ValueError(f"found {self._raw.unit!r}, {written}; the value is {wanted}")
        return printed.unit, printed

    def _tolerance(self, unit: Unit) -> Tolerance | None:
        raw = self._raw
        if raw.kind == "fault" or (raw.kind == "choice" and raw.options):
            return None
        with self._desk.at((*self._path, "tolerance")):
            return read_tolerance(raw.tolerance or default_tolerance(raw.kind, unit)).fit(unit)
        return None

    def _slips(self, unit: Unit, *, unit_is_sure: bool) -> tuple[Slip, ...]:
        slips = []
        for name, raw in self._raw.slips.items():
            path = (*self._path, "slips", name)
            formula = None
            if raw.formula is not None:
                formula = self._desk.expression((*path, "formula"), raw.formula)
                if formula is not None and unit_is_sure:
                    with self._desk.at((*path, "formula")):
                        hint = "; a slip with the wrong unit is found without being listed"
                        self._same_dimension(formula, unit, "the ask", hint)
            elif self._raw.kind not in ("change", "fault"):
                self._desk.fault((*path, "formula"), "it is missing; a slip is known by the value that it gives")
            slips.append(Slip(name, formula, self._desk.pieces((*path, "says"), raw.says)))
        return tuple(slips)

    def _same_dimension(self, formula: Expression, unit: Unit, what: str, hint: str = "") -> None:
        found = self._desk.dimension(formula)
        if found.dimension != unit.dimension:
            raise ValueError(f"it gives {with_article(found.name)}, and {what} is {with_article(unit.name)}{hint}")

    def _when(self) -> dict[str, Expression | Literal["open", "short"]] | None:
        if self._raw.when is None:
            return None
        found: dict[str, Expression | Literal["open", "short"]] = {}
        for name, text in self._raw.when.items():
            path = (*self._path, "when", name)
            with self._desk.at(path):
                if text in ("open", "short"):
                    self._know_part(name, shorted=text == "short")
                    found[name] = "open" if text == "open" else "short"
                    continue
                self._know_drawn(name)
                expression = self._desk.expression(path, text)
                if expression is not None:
                    self._refuse_asks(expression)
                    self._same_dimension(expression, self._desk.units[name], name)
                    found[name] = expression
        return found

    def _know_part(self, name: str, *, shorted: bool) -> None:
        """Raise ValueError unless the circuit has a part of that name, with two ends if it is to be a short."""
        parts = {} if self._network is None else {part.reference: part for part in self._network.parts}
        if name not in parts:
            raise ValueError(f"the circuit has no part {name!r}{did_you_mean(name, parts)}")
        if shorted and len(parts[name].pins) != 2:
            raise ValueError(f"a {parts[name].kind} has not just two ends; only a part with two can be a short")

    def _know_drawn(self, name: str) -> None:
        """Raise ValueError unless a drawn value has that name."""
        if name not in self._desk.units or name in self._model.ask:
            near = did_you_mean(name, self._desk.units)
            raise ValueError(f"no value has this name{near}; a part becomes `open`, `short` or another value")
        derived = [key for key, rule in self._model.values.items() if isinstance(rule, FormulaRule)]
        if name in derived:
            raise ValueError("it is worked out from other values; change one of those")

    def _refuse_asks(self, expression: Expression) -> None:
        asked = [name for name in names_in(expression) if name in self._model.ask]
        if asked:
            raise ValueError(f"{asked[0]} is asked; a change is made of drawn and derived values")

    def _options(self) -> tuple[Option, ...]:
        options = []
        for name, raw in (self._raw.options or {}).items():
            path = (*self._path, "options", name)
            right = self._condition((*path, "right"), raw.right)
            says = self._desk.pieces((*path, "says"), raw.says) if raw.says else None
            if right is not None:
                options.append(Option(name, self._desk.pieces((*path, "text"), raw.text), right, says))
        return tuple(options)

    def _names(self, formula: Expression | None) -> tuple[str, ...]:
        """Return the drawn values that a formula may be written in: those listed, or all that are drawn."""
        if self._raw.kind != "formula":
            return ()
        drawn = {name: unit for name, unit in self._desk.units.items() if self._is_drawn(name)}
        listed = self._raw.names if self._raw.names is not None else list(drawn)
        for index, name in enumerate(listed):
            if name not in drawn:
                near = did_you_mean(name, drawn)
                self._desk.fault((*self._path, "names", index), f"found {name!r}; no drawn value has this name{near}")
        for name in names_in(formula) if formula is not None else ():
            if name not in listed and name not in self._desk.doubtful:
                message = (
                    f"it uses {name}, which is none of the drawn values that members write it in: {', '.join(listed)}"
                )
                self._desk.fault((*self._path, "formula"), message)
        return tuple(listed)

    def _is_drawn(self, name: str) -> bool:
        return name not in self._model.ask and not isinstance(self._model.values.get(name), FormulaRule)

    def _condition(self, path: Path_, text: str) -> Expression | None:
        """Read `true`, `false` or a condition."""
        spelt = {"true": "1 == 1", "yes": "1 == 1", "false": "1 == 0", "no": "1 == 0"}.get(text.lower(), text)
        return self._desk.condition(path, spelt)

    def _check_kind(self, ask: Ask) -> None:
        fault = _CHECKS[ask.kind](ask)
        if fault:
            self._desk.fault(self._path, fault)


def _is_level(formula: Expression) -> bool:
    """Tell whether a formula gives decibels by its outermost function."""
    return isinstance(formula, Call) and formula.function == "db"


def _analysis(kind: str) -> Analysis:
    return AC if kind == "ac" else DC


def default_tolerance(kind: str, unit: Unit) -> str:
    """Return the tolerance of an ask that states none.

    2 % covers several intermediate figures rounded to three places; decibels and angles have absolute bands.
    """
    if kind == "formula":
        return "0.001 %"  # a formula is the same or another; this only tells slips apart
    if kind == "change":
        return "0.01 dB" if unit == DECIBEL else "0.1 %"
    if unit == DECIBEL:
        return "0.2 dB"
    if unit == DEGREE:
        return "3°"
    return "2 %"


# -- what each kind needs --------------------------------------------------------------------------------------------
def _number(ask: Ask) -> str:
    if ask.formula is None and ask.circuit is None:
        return "a number needs `formula:`, `of circuit:` or both"
    return ""


def _preferred(ask: Ask) -> str:
    if not ask.series:
        return "a preferred value needs `series:`, such as E12"
    if ask.formula is None and ask.circuit is None:
        return "a preferred value needs the `formula:` of the exact one"
    return ""


def _change(ask: Ask) -> str:
    if not ask.when:
        return "a change needs `when:`, such as {R2: open} or {R2: 2*R2}"
    if ask.circuit is None and ask.formula is None:
        return "a change needs `of circuit:` (or a `formula:`) to be decided by solving again"
    if ask.circuit is None and any(isinstance(value, str) for value in ask.when.values()):
        return "a part can only be open or short in a circuit; give `of circuit:`"
    for slip in ask.slips:
        if slip.name not in DIRECTIONS:
            return f"the slips of a change are named {', '.join(DIRECTIONS)}; found {slip.name!r}"
    return ""


def _choice(ask: Ask) -> str:
    if ask.options:
        return "" if len(ask.options) >= 2 else "a choice needs two options or more"
    if ask.formula is None and ask.circuit is None:
        return "a choice needs `options:`, or a `formula:` whose slips become the other options"
    return "" if len(ask.slips) >= 2 else "a choice made of slips needs two of them or more"


def _formula(ask: Ask) -> str:
    if ask.formula is None:
        return "a formula needs `formula:`, the one that members are to find"
    if not names_in(ask.formula):
        return "a formula needs a named value to be written in"
    for slip in ask.slips:
        outside = [name for name in names_in(slip.formula) if name not in ask.names] if slip.formula else []
        if outside:
            given = ", ".join(ask.names)
            return f"the slip {slip.name} uses {outside[0]}, which members do not write it in; they have {given}"
    return ""


def _fault(ask: Ask) -> str:
    if ask.meter not in INSTRUMENTS:
        known = ", ".join(INSTRUMENTS)
        return f"a fault needs `meter:`; found {ask.meter!r}; known are {known}"
    if not ask.points:
        return "a fault needs `readings:`, node → what members call the test point"
    if len(ask.suspects) < 2:
        return "a fault needs `suspects:`, two or more"
    names = [suspect.name for suspect in ask.suspects]
    for slip in ask.slips:
        if slip.name not in names:
            return f"the slips of a fault are named as its suspects; found {slip.name!r}"
    return ""


def _reading(ask: Ask) -> str:
    return "" if ask.reading is not None else "a reading needs `of plot:`, such as {curve: gain, at: 1 kHz}"


_CHECKS = {
    "fault": _fault,
    "number": _number,
    "preferred": _preferred,
    "change": _change,
    "choice": _choice,
    "formula": _formula,
    "reading": _reading,
}
