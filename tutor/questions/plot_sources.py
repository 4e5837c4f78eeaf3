"""The source of a plot's curves and of what is read off them, beside the other functions of a template.

Every curve is a function of the drawn values, the value across and, for a family, the grid voltage. A reading is found
by the same functions that the drawn points come from.
"""

from __future__ import annotations

from tutor.circuits.expressions import Expression
from tutor.circuits.expressions.evaluation import as_source
from tutor.circuits.program import spell
from tutor.questions.plot import ACROSS, Plot, PlotCurve, PlotReading

GRID = "0grid"  # no name of a template begins with a nought
_PLACE = spell("0place")


def curve_function(name: str) -> str:
    """Return the name of a curve's function."""
    return f"curve_{name}"


def curve_source(curve: PlotCurve) -> str:
    """Return the source of a curve's height that is no formula and no circuit's quantity."""
    across = spell(ACROSS)
    if curve.reservoir is not None:
        return f"reservoir_({across}, {', '.join(as_source(one, spell) for one in curve.reservoir)})"
    if curve.cathode_resistor is not None:
        return f"bias_current_({curve.valve!r}, {across}, {as_source(curve.cathode_resistor, spell)})"
    return f"valve_current_({curve.valve!r}, {across}, {spell(GRID)})"


def reading_source(plot: Plot, reading: PlotReading, base: tuple[str, ...]) -> str:
    """Return the source of what is read, for a function that knows the drawn values."""

    def height(name: str, place: str) -> str:
        family = bool(plot.curves[name].grid_voltages)
        grid = as_source(reading.grid_voltage, spell) if family and reading.grid_voltage is not None else "0.0"
        arguments = ", ".join([*(spell(one) for one in base), place, grid])
        return f"{curve_function(name)}({arguments})[0]"

    def text(expression: Expression) -> str:
        return f"({as_source(expression, spell)})"

    across = plot.across
    paper = (across.low, across.high, across.scale == "log", reading.side)
    if reading.at is not None:
        return height(reading.curve, text(reading.at))
    if reading.extreme:
        sign = 1.0 if reading.extreme == "highest" else -1.0
        return f"extreme_({paper!r}, {sign!r}, lambda {_PLACE}: {height(reading.curve, _PLACE)})"
    other = height(reading.meets, _PLACE) if reading.meets else ""
    if reading.height is not None:
        other = text(reading.height)
    place = f"crossing_({paper!r}, lambda {_PLACE}: {height(reading.curve, _PLACE)} - {other})"
    return place if reading.take == "across" else height(reading.curve, place)
