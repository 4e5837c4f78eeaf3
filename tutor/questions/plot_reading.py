"""Reading the `plot:` of a template, and the `of plot:` of an ask."""

from __future__ import annotations

from typing import Literal

from tutor.circuits.asked import CircuitAsk, read_circuit_ask
from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.expressions import Call, Expression
from tutor.circuits.network import Network
from tutor.circuits.source import Path_
from tutor.circuits.valves.catalogue import valve_type
from tutor.quantities import AMPERE, DECIBEL, DEGREE, HERTZ, OHM, VOLT, Unit, read_quantity
from tutor.questions.desk import Desk
from tutor.questions.plot import ACROSS, Plot, PlotAxis, PlotCurve, PlotReading
from tutor.questions.schema import AxisModel, CurveModel, PlotReadingModel, TemplateModel
from tutor.questions.words import with_article

_KINDS = ("formula", "of_circuit", "valve", "reservoir")
_WAYS = ("at", "height", "meets", "extreme")


def read_plot(desk: Desk, model: TemplateModel, network: Network | None) -> Plot | None:
    """Read the plot of a template; faults go to the desk."""
    raw = model.plot
    if raw is None:
        return None
    if ACROSS in desk.units or ACROSS in model.ask:
        desk.fault(("plot",), f"{ACROSS!r} is the value across in the formulas of curves; give the other another name")
        return None
    across = _axis(desk, ("plot", "across"), raw.across, upright=False)
    up = _axis(desk, ("plot", "up"), raw.up, upright=True)
    if across is None or up is None:
        return None
    curves = {}
    for name, curve in raw.curves.items():
        with desk.at(("plot", "curves", name)):
            curves[name] = _CurveReader(desk, across, up, network, name, curve).curve()
    return Plot(across=across, up=up, curves=curves)


def _axis(desk: Desk, path: Path_, raw: AxisModel, *, upright: bool) -> PlotAxis | None:
    with desk.at(path):
        low, high = (read_quantity(text).quantity for text in (raw.from_, raw.to))
        if not low.unit.fits(high.unit):
            raise ValueError(f"found {raw.from_} and {raw.to}; give both ends the same unit")
        if low.magnitude >= high.magnitude:
            raise ValueError(f"found {raw.from_} to {raw.to}; an axis runs from the lesser to the larger value")
        if raw.scale == "log" and low.magnitude <= 0:
            raise ValueError(f"found {raw.from_}; a logarithmic axis begins above nought")
        return PlotAxis(
            name=raw.name,
            symbol=raw.symbol or "",
            unit=high.unit,
            low=low.magnitude,
            high=high.magnitude,
            scale=raw.scale,
            upright=upright,
        )
    return None


class _CurveReader:
    def __init__(
        self, desk: Desk, across: PlotAxis, up: PlotAxis, network: Network | None, name: str, raw: CurveModel
    ) -> None:
        self._desk, self._across, self._up, self._network = desk, across, up, network
        self._name, self._raw = name, raw
        self._path: Path_ = ("plot", "curves", name)

    def curve(self) -> PlotCurve:
        """Return the curve.

        Raises:
            ValueError: If it is none, or does not fit the paper.
        """
        raw = self._raw
        given = [kind for kind in _KINDS if getattr(raw, kind) is not None]
        if len(given) != 1:
            raise ValueError("a curve is one of `formula:`, `of circuit:`, `valve:`, `reservoir:`")
        if raw.valve is None and (raw.grid_voltages is not None or raw.cathode_resistor is not None):
            raise ValueError("`grid voltages:` and `cathode resistor:` go with `valve:`")
        return PlotCurve(
            name=self._name,
            label=raw.label or "",
            formula=self._formula(),
            circuit=self._circuit(),
            valve=self._valve(),
            grid_voltages=self._grid_voltages(),
            cathode_resistor=self._expression("cathode resistor", raw.cathode_resistor, OHM),
            reservoir=self._reservoir(),
        )

    def _formula(self) -> Expression | None:
        if self._raw.formula is None:
            return None
        self._desk.units[ACROSS] = self._across.unit
        try:
            formula = self._desk.expression((*self._path, "formula"), self._raw.formula)
            if formula is None:
                return None
            level = isinstance(formula, Call) and formula.function == "db"
            found = DECIBEL if level else self._desk.dimension(formula)
        finally:
            del self._desk.units[ACROSS]
        self._fits("formula", found)
        return formula

    def _fits(self, what: str, found: Unit) -> None:
        if not (found.fits(self._up.unit) or found.dimension == self._up.unit.dimension):
            wanted = with_article(self._up.unit.name)
            raise ValueError(f"the {what} gives {with_article(found.name)}; the axis upwards is {wanted}")

    def _circuit(self) -> CircuitAsk | None:
        if self._raw.of_circuit is None:
            return None
        if self._network is None:
            raise CircuitError("the template has no circuit; give one under `circuit:`")
        if self._across.unit != HERTZ:
            raise ValueError("a quantity of the circuit is plotted against frequency; give the axis across in Hz")
        ask = read_circuit_ask(self._raw.of_circuit)
        unit = {"decibels": DECIBEL, "phase": DEGREE}.get(str(ask.take), ask.asked.unit)
        self._fits("circuit's quantity", unit)
        return ask

    def _valve(self) -> str:
        if self._raw.valve is None:
            return ""
        found = valve_type(self._raw.valve)
        if found.valve().law.ports != ("anode", "grid"):
            raise ValueError(f"found {self._raw.valve}; the curves of triodes can be drawn")
        if (self._across.unit, self._up.unit) != (VOLT, AMPERE):
            raise ValueError("a valve's curves are amperes against volts; give the axes in V and mA")
        if (self._raw.grid_voltages is None) == (self._raw.cathode_resistor is None):
            raise ValueError("give a valve either `grid voltages:` or a `cathode resistor:`")
        return found.name

    def _grid_voltages(self) -> tuple[float, ...]:
        found = [read_quantity(text).quantity for text in self._raw.grid_voltages or ()]
        if any(not quantity.unit.fits(VOLT) for quantity in found):
            raise ValueError("grid voltages are given in V")
        return tuple(quantity.magnitude for quantity in found)

    def _reservoir(self) -> tuple[Expression, Expression, Expression] | None:
        raw = self._raw.reservoir
        if raw is None:
            return None
        peak = self._expression("reservoir", raw.peak, VOLT)
        fall = self._desk.expression((*self._path, "reservoir", "fall"), raw.fall)
        frequency = self._expression("reservoir", raw.frequency, HERTZ)
        if peak is None or fall is None or frequency is None:
            return None
        return peak, fall, frequency

    def _expression(self, key: str, text: str | None, unit: Unit) -> Expression | None:
        return _expression(self._desk, (*self._path, key), text, unit)


def _expression(desk: Desk, path: Path_, text: str | None, unit: Unit) -> Expression | None:
    if text is None:
        return None
    expression = desk.expression(path, text)
    if expression is not None and desk.dimension(expression).dimension != unit.dimension:
        found, wanted = with_article(desk.dimension(expression).name), with_article(unit.name)
        desk.fault(path, f"found {text!r}, {found}; {wanted} is wanted")
        return None
    return expression


def read_reading(desk: Desk, path: Path_, plot: Plot | None, raw: PlotReadingModel) -> PlotReading | None:
    """Read what an ask reads off the plot; faults go to the desk."""
    with desk.at(path):
        if plot is None:
            raise ValueError("the template has no plot; give one under `plot:`")
        for name in (raw.curve, raw.meets):
            if name is not None and name not in plot.curves:
                near = did_you_mean(name, plot.curves)
                raise ValueError(f"the plot has no curve {name!r}{near}; it has {', '.join(plot.curves)}")
        given = [way for way in _WAYS if getattr(raw, way) is not None]
        if len(given) != 1:
            raise ValueError(f"give one of {', '.join(_WAYS)}; found {', '.join(given) or 'none'}")
        families = [name for name in (raw.curve, raw.meets) if name and plot.curves[name].grid_voltages]
        if bool(families) != (raw.grid_voltage is not None):
            raise ValueError("`grid voltage:` says which curve of a family is read; it goes with a valve's family")
        return PlotReading(
            curve=raw.curve,
            grid_voltage=_expression(desk, (*path, "grid voltage"), raw.grid_voltage, VOLT),
            at=_expression(desk, (*path, "at"), raw.at, plot.across.unit),
            height=_expression(desk, (*path, "height"), raw.height, plot.up.unit),
            meets=raw.meets or "",
            extreme=raw.extreme or "",
            take=_take(raw, given[0]),
            side=raw.side,
        )
    return None


def _take(raw: PlotReadingModel, way: str) -> Literal["across", "up"]:
    """Return which value is read: the other one where one is given."""
    fixed: dict[str, Literal["across", "up"]] = {"at": "up", "height": "across", "extreme": "up"}
    if way in fixed:
        if raw.take not in (None, fixed[way]):
            raise ValueError(f"with `{way}:` the value {fixed[way]} is read; leave `take:` out")
        return fixed[way]
    if raw.take is None:
        raise ValueError("say with `take: across` or `take: up` which value is read where curves meet")
    return raw.take


def axis_of(plot: Plot, reading: PlotReading) -> PlotAxis:
    """Return the axis that a reading is made on."""
    return plot.across if reading.take == "across" else plot.up
