"""The plot of a template: its axes, its curves, and what is read off it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from tutor.circuits.asked import CircuitAsk
from tutor.circuits.expressions import Expression
from tutor.drawing.plots import Axis, linear_axis, log_axis, small_division
from tutor.drawing.plots.axes import LENGTH, lines_of
from tutor.quantities import Tolerance, Unit

ACROSS = "x"
"""The name under which formulas of curves know the value across."""

HEIGHT = 250.0
"""Pixels of the paper: tall, because it is to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotAxis:
    """An axis: what is plotted, and where its paper begins and ends.

    Attributes:
        name: What is plotted ("Anode voltage").
        symbol: Its symbol ("V_a"), or "".
        unit: The coherent unit.
        low: Where it begins.
        high: Where it ends.
        scale: How values are spread along it.
        upright: Whether it stands.
    """

    name: str
    symbol: str
    unit: Unit
    low: float
    high: float
    scale: Literal["linear", "log"]
    upright: bool

    def drawn(self) -> Axis:
        """Return the axis with its lines."""
        ends, length = (self.low, self.high), HEIGHT if self.upright else LENGTH
        if self.scale == "log":
            return log_axis(
                ends, name=self.name, symbol=self.symbol, unit=self.unit, upright=self.upright, length=length
            )
        return linear_axis(
            ends, name=self.name, symbol=self.symbol, unit=self.unit, upright=self.upright, exact=True, length=length
        )

    def tolerance(self, value: float | None = None) -> Tolerance:
        """Return half a small division: where a value stands, or the widest one for no value in particular."""
        axis = self.drawn()
        if axis.small or value is not None:
            return Tolerance(absolute=small_division(axis, value or 0.0) / 2, kind=self.unit)
        lines = lines_of(axis)
        widest = max((after - before) / before for before, after in itertools.pairwise(lines))
        return Tolerance(relative=float(f"{widest / 2:.9g}"))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotCurve:
    """A curve: one of a formula, a circuit's quantity, a triode, a triode with its cathode resistor, a reservoir.

    Attributes:
        name: Its key.
        label: Written beside it, or "".
        formula: Of the value across, or None.
        circuit: What of the circuit stands upwards at the frequency across, or None.
        valve: Name of a type, or "".
        grid_voltages: A curve is drawn for each [V].
        cathode_resistor: Of a triode whose bias it makes, or None.
        reservoir: Peak [V], fall [V/s] and mains frequency [Hz] of a full-wave rectified trace, or None.
    """

    name: str
    label: str = ""
    formula: Expression | None = None
    circuit: CircuitAsk | None = None
    valve: str = ""
    grid_voltages: tuple[float, ...] = ()
    cathode_resistor: Expression | None = None
    reservoir: tuple[Expression, Expression, Expression] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A plot: its axes and its curves, by name."""

    across: PlotAxis
    up: PlotAxis
    curves: Mapping[str, PlotCurve]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotReading:
    """What is read off a plot.

    Attributes:
        curve: Name of a curve.
        grid_voltage: Which of a family it is, or None.
        at: Value across at which its height is read, or None.
        height: Height at which the value across is read, or None.
        meets: Name of a curve that it crosses, or "".
        extreme: `highest` or `lowest` for that height of the curve, or "".
        take: Whether the value across or the one upwards is read.
        side: Which crossing counts where there are several: the first from the left, or from the right.
    """

    curve: str
    grid_voltage: Expression | None = None
    at: Expression | None = None
    height: Expression | None = None
    meets: str = ""
    extreme: Literal["highest", "lowest", ""] = ""
    take: Literal["across", "up"] = "up"
    side: Literal["left", "right"] = "left"
