"""Plots as on a service sheet: ruled paper whose small divisions can be counted, labels beside the curves.

`usual` has the plots of the trade ready: anode characteristics with load line and rest, gain and phase with corners,
traces against time, progress over dates, counts. What they are made of: `axes` and `dates` with `scales` (what an axis
runs over and where its lines stand), `marks` (curves, points, lines, bars), `picture` (panels to one SVG element, with
`frame`, `geometry`, `grid`, `places`, `room`, `texts`), `table` (the figures behind it, and the plot in words). It
needs the standard library only and knows no circuit: whoever has curves hands over their points.
"""

from tutor.drawing.plots.axes import Axis, linear_axis, log_axis, small_division
from tutor.drawing.plots.dates import date_axis
from tutor.drawing.plots.errors import PlotError
from tutor.drawing.plots.marks import Bars, Curve, Dot, Level, Span, Upright
from tutor.drawing.plots.picture import Panel, Picture, draw_plot
from tutor.drawing.plots.table import Table

__all__ = [
    "Axis",
    "Bars",
    "Curve",
    "Dot",
    "Level",
    "Panel",
    "Picture",
    "PlotError",
    "Span",
    "Table",
    "Upright",
    "date_axis",
    "draw_plot",
    "linear_axis",
    "log_axis",
    "small_division",
]
