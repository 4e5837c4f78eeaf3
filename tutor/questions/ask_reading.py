"""Reading the `ask:` of a template: units, tolerances, slips, and what each kind needs."""

from __future__ import annotations

from typing import Literal

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import CircuitAsk, read_circuit_ask
from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.expressions import Expression, names_in
from tutor.circuits.network import Network
from tutor.circuits.problem import pose
from tutor.circuits.source import Path_
from tutor.quantities import DECIBEL, DEGREE, RATIO, Tolerance, Unit, WrittenUnit, read_tolerance, read_unit
from tutor.questions.desk import Desk
from tutor.questions.schema import AskModel, TemplateModel
from tutor.questions.template import Ask, Option, Slip

DIRECTIONS = ("rises", "falls", "unchanged")
_OF_KIND: dict[str, tuple[str, ...]] = {
    "number": ("of circuit", "formula", "unit", "tolerance", "possible"),
    "preferred": ("of circuit", "formula", "unit", "series", "round", "possible"),
    "change": ("of circuit", "formula", "when", "tolerance"),
    "choice": ("of circuit", "formula", "unit", "tolerance", "options"),
}
_ALWAYS = ("text", "kind", "slips", "topic")


def read_asks(desk: Desk, model: TemplateModel, network: Network | None) -> tuple[Ask, ...]:
    """Read all asks, in order; each may use the values of those before it. Faults go to the desk."""
    asks = []
    for name, raw in model.ask.items():
        ask = _AskReader(desk, model, network, name, raw).ask()
        if ask is not None:
            asks.append(ask)
        # Known from here on even when faulty, so that one fault does not breed others.
        desk.units[name] = ask.unit if ask is not None else RATIO
    return tuple(asks)


class _AskReader:
    def __init__(self, desk: Desk, model: TemplateModel, network: Network | None, name: str, raw: AskModel) -> None:
        self._desk, self._model, self._network, self._name, self._raw = desk, model, network, name, raw
        self._path: Path_ = ("ask", name)

    def ask(self) -> Ask | None:
        desk, raw, path = self._desk, self._raw, self._path
        before = len(desk.faults)
        self._refuse_keys_of_other_kinds()
        circuit = self._circuit()
        formula = desk.expression((*path, "formula"), raw.formula) if raw.formula else None
        unit, printed = self._units(formula, circuit)
        desk.units[self._name] = unit  # its own name may stand in its slips and conditions
        tolerance = self._tolerance(unit)
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
            slips=self._slips(unit),
            possible=desk.expression((*path, "possible"), raw.possible, own=False) if raw.possible else None,
            series=raw.series or "",
            rounding=raw.round or "nearest",
            when=self._when(),
            options=self._options(),
        )
        if len(desk.faults) == before:
            self._check_kind(ask)
        return ask if len(desk.faults) == before else None

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
                raise CircuitError("the template has no circuit; give one under `circuit:`")
            analysis = ask.analysis or self._model.analysis
            if analysis == "ac" and not (ask.frequency or self._model.frequency):
                raise CircuitError("an ac quantity wants a frequency; give `frequency:` here or in the template")
            if ask.frequency:
                self._desk.expression((*self._path, "of circuit", "frequency"), ask.frequency)
            pose(self._network, ask.asked, _analysis(analysis))
            return ask
        return None

    def _units(self, formula: Expression | None, circuit: CircuitAsk | None) -> tuple[Unit, WrittenUnit]:
        """Return the unit of the key and the one printed beside the field."""
        found = RATIO
        with self._desk.at((*self._path, "formula")):
            if formula is not None:
                found = self._desk.dimension(formula)
            elif circuit is not None:
                found = circuit.asked.unit
                found = {"decibels": DECIBEL, "phase": DEGREE}.get(circuit.take or "", found)
        if (
            circuit is not None
            and formula is not None
            and circuit.asked.unit.dimension != found.dimension
            and not circuit.take
        ):
            asked = circuit.asked.unit.dimension.name
            self._desk.fault(
                (*self._path, "formula"), f"it gives a {found.dimension.name}, and the circuit's quantity is a {asked}"
            )
        printed = WrittenUnit(found.symbol, 1.0, found)
        if self._raw.unit is not None:
            with self._desk.at((*self._path, "unit")):
                printed = read_unit(self._raw.unit)
                if printed.unit.dimension != found.dimension:
                    wanted = f"it is a {found.dimension.name}, such as {found.symbol or 'a plain number'}"
                    raise ValueError(f"found {self._raw.unit!r}, a {printed.unit.dimension.name}; {wanted}")
        return printed.unit, printed

    def _tolerance(self, unit: Unit) -> Tolerance | None:
        raw = self._raw
        if raw.kind == "choice" and raw.options:
            return None
        with self._desk.at((*self._path, "tolerance")):
            tolerance = read_tolerance(raw.tolerance or default_tolerance(raw.kind, unit))
            tolerance.fit(unit)
            return tolerance
        return None

    def _slips(self, unit: Unit) -> tuple[Slip, ...]:
        slips = []
        for name, raw in self._raw.slips.items():
            path = (*self._path, "slips", name)
            formula = None
            if raw.formula is not None:
                formula = self._desk.expression((*path, "formula"), raw.formula)
                if formula is not None:
                    with self._desk.at((*path, "formula")):
                        self._same_dimension(formula, unit)
            elif self._raw.kind != "change":
                self._desk.fault((*path, "formula"), "it is missing; a slip is known by the value that it gives")
            slips.append(Slip(name, formula, self._desk.pieces((*path, "says"), raw.says)))
        return tuple(slips)

    def _same_dimension(self, formula: Expression, unit: Unit) -> None:
        found = self._desk.dimension(formula)
        if found.dimension != unit.dimension:
            raise ValueError(
                f"it gives a {found.dimension.name}, and the ask is a {unit.dimension.name}; "
                "a slip with the wrong unit is found without being listed"
            )

    def _when(self) -> dict[str, Expression | Literal["open", "short"]] | None:
        if self._raw.when is None:
            return None
        found: dict[str, Expression | Literal["open", "short"]] = {}
        for name, text in self._raw.when.items():
            path = (*self._path, "when", name)
            if text in ("open", "short"):
                if self._network is None or all(p.reference != name for p in self._network.parts):
                    known = () if self._network is None else tuple(p.reference for p in self._network.parts)
                    self._desk.fault(path, f"the circuit has no part {name!r}{did_you_mean(name, known)}")
                found[name] = "open" if text == "open" else "short"
                continue
            if name not in self._desk.units:
                near = did_you_mean(name, self._desk.units)
                self._desk.fault(path, f"no value has this name{near}; a part becomes `open`, `short` or another value")
                continue
            expression = self._desk.expression(path, text)
            if expression is not None:
                with self._desk.at(path):
                    self._same_dimension(expression, self._desk.units[name])
                found[name] = expression
        return found

    def _options(self) -> tuple[Option, ...]:
        options = []
        for name, raw in (self._raw.options or {}).items():
            path = (*self._path, "options", name)
            right = self._condition((*path, "right"), raw.right)
            says = self._desk.pieces((*path, "says"), raw.says) if raw.says else None
            if right is not None:
                options.append(Option(name, self._desk.pieces((*path, "text"), raw.text), right, says))
        return tuple(options)

    def _condition(self, path: Path_, text: str) -> Expression | None:
        """Read `true`, `false` or a condition."""
        spelt = {"true": "1 == 1", "yes": "1 == 1", "false": "1 == 0", "no": "1 == 0"}.get(text.lower(), text)
        return self._desk.expression(path, spelt, own=False)

    def _check_kind(self, ask: Ask) -> None:
        fault = _CHECKS[ask.kind](ask)
        if fault:
            self._desk.fault(self._path, fault)


def _analysis(kind: str) -> Analysis:
    return AC if kind == "ac" else DC


def default_tolerance(kind: str, unit: Unit) -> str:
    """Return the tolerance of an ask that states none.

    2 % covers several intermediate figures rounded to three places; decibels and angles have absolute bands.
    """
    if kind == "change":
        return "0.1 %"
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


_CHECKS = {"number": _number, "preferred": _preferred, "change": _change, "choice": _choice}


def uses_of(ask: Ask, earlier: tuple[str, ...]) -> tuple[str, ...]:
    """Return the earlier asks whose values an ask's formula uses."""
    if ask.formula is None:
        return ()
    return tuple(name for name in names_in(ask.formula) if name in earlier)
