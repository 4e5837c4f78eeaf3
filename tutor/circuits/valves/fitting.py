"""Our own fits: the parameters of a law from the printed figures of a sheet, by damped least squares.

A sheet prints less than a law has parameters, so each parameter also has a centre and a spread: what such valves have
as a rule. The printed figures are held to a few per cent, the parameters to their spreads only, and both are weighed
together. What no law of this form can meet stays in the errors that are stored with every fit.

The centres: `mu` from the sheet, an exponent of 1.4 (3/2 would be the law of a plane diode), `kp` near 5·mu + 40 (5·mu
for a pentode) and a knee of 0.15/V (0.069/V for a beam tetrode) as in published fits of these forms; `kvb` 2000 V² and
a contact potential of 0.2 V, chosen here: with them the types that print two points meet both best.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from tutor.circuits.valves.comparison import Compared, compare_point, compare_stages, errors_of, settled
from tutor.circuits.valves.least_squares import least_squares
from tutor.circuits.valves.limits import Limits
from tutor.circuits.valves.models import Array, Law
from tutor.circuits.valves.sheet import Fit, SheetPoint, SheetStage, System, ValveType
from tutor.circuits.valves.valve import law_called

FIGURES = 6  # significant figures of the stored parameters
SHEET, TABLE = "sheet points", "table"
SHEET_SPREAD = 0.03  # how closely a figure of a point is held, as a ratio
TABLE_SPREAD = 0.05  # the same for points and stages where both are fitted together
GIVEN_TO_SCREEN = 0.8
"""Share of the cathode's current that a screen takes where the anode stands at its cathode: 0.6 to 0.9 in the five
valves that D. Reefman measured (2016)."""

Parameters: TypeAlias = dict[str, float]


@dataclass(frozen=True, slots=True)
class _Unknown:
    """A parameter as the least squares sees it.

    Attributes:
        name: The parameter's name.
        centre: What such valves have as a rule.
        spread: How far they stray from it; of its logarithm unless it is plain.
        floor: What is taken off before the logarithm: 1 for an exponent.
        plain: Whether it is used as it is.
    """

    name: str
    centre: float
    spread: float
    floor: float = 0.0
    plain: bool = False

    @property
    def start(self) -> float:
        return self.centre if self.plain else math.log(self.centre - self.floor)

    def value(self, x: float) -> float:
        return x if self.plain else self.floor + math.exp(x)


def fit_type(valve_type: ValveType) -> ValveType:
    """Return a type with laws fitted to its sheets: to the points, and to printed stages where there are any."""
    return replace(valve_type, systems={kind: fit_system(system) for kind, system in valve_type.systems.items()})


def fit_system(system: System) -> System:
    """Return a system with its fits: the one to the points first, then the one to printed stages beside them."""
    fits = [_fit(system, SHEET, [])]
    rows = [stage for stage in system.stages if not stage.left_out]
    if rows:
        fits.append(_fit(system, TABLE, rows))
    return replace(system, fits=tuple(fits))


def _fit(system: System, name: str, rows: list[SheetStage]) -> Fit:
    points = [point for point in system.points if not point.left_out]
    if system.kind == "rectifier":
        law, parameters = "diode", _perveance(points)
    else:
        law = "Koren triode" if system.kind == "triode" else "Reefman pentode"
        parameters = _least_squares(law, system, points, rows)
    parameters = {key: rounded(value, FIGURES) for key, value in parameters.items()}
    made = law_called(law, parameters)
    errors = errors_of(made, system, bool(rows))
    used = [error.per_cent for error in errors if error.fitted]
    return Fit(
        name=name,
        law=law,
        parameters=parameters,
        limits=_limits(system, made, points, rows),
        errors=errors,
        rms=round(math.sqrt(sum(error**2 for error in used) / len(used)), 2),
    )


def _perveance(points: list[SheetPoint]) -> Parameters:
    """Return the perveance whose drops lie above the printed ones as far as below, in ratio."""
    logs = [math.log(point.anode_current / point.anode_voltage**1.5) for point in points]
    return {"perveance": math.exp(sum(logs) / len(logs))}


def _least_squares(law: str, system: System, points: list[SheetPoint], rows: list[SheetStage]) -> Parameters:
    unknowns = _of_triode(points[0]) if system.kind == "triode" else _of_pentode(points[0], system.beam)
    start = np.array([unknown.start for unknown in unknowns])
    spreads = np.array([unknown.spread for unknown in unknowns])
    held = TABLE_SPREAD if rows else SHEET_SPREAD

    def residuals(x: Array) -> Array:
        made = law_called(law, _parameters(system, unknowns, x))
        of_points = [math.log(of_law / printed) / held for p in points for _, printed, of_law in compare_point(made, p)]
        of_rows = [math.log(of_law / printed) / held for r in _compared(made, rows) for _, printed, of_law in r]
        return np.concatenate([of_points, of_rows, (x - start) / spreads])

    return _parameters(system, unknowns, least_squares(residuals, start))


def _compared(law: Law, rows: list[SheetStage]) -> list[Compared]:
    return compare_stages(law, rows) if rows else []


def _of_triode(point: SheetPoint) -> tuple[_Unknown, ...]:
    mu = point.mu or 20.0
    return (
        _Unknown("mu", mu, 0.2),
        _Unknown("ex", 1.4, 0.3, floor=1.0),
        _Unknown("kg1", 1000.0, 3.0),
        _Unknown("kp", 5 * mu + 40, 0.3),
        _Unknown("kvb", 2000.0, 1.0),
        _Unknown("vct", 0.2, 0.3, plain=True),
    )


def _of_pentode(point: SheetPoint, beam: bool) -> tuple[_Unknown, ...]:
    mu = point.inner_mu or 10.0
    return (
        _Unknown("mu", mu, 0.2),
        _Unknown("ex", 1.4, 0.3, floor=1.0),
        _Unknown("kg1", 500.0, 3.0),
        _Unknown("kg2", 3000.0, 3.0),
        _Unknown("kp", 5 * mu, 0.3),
        _Unknown("kvb", 2000.0, 1.0),
        _Unknown("a", 3e-4, 2.0),
        _Unknown("beta", 0.069 if beam else 0.15, 0.2),
    )


def _parameters(system: System, unknowns: tuple[_Unknown, ...], x: Array) -> Parameters:
    found = {unknown.name: unknown.value(float(value)) for unknown, value in zip(unknowns, x, strict=True)}
    if system.kind == "pentode":
        found["alpha_s"] = GIVEN_TO_SCREEN * found["kg2"] / found["kg1"] - 1.0
        found["beam"] = float(system.beam)
    return found


def _limits(system: System, law: Law, points: list[SheetPoint], rows: list[SheetStage]) -> Limits:
    """Return where a fitted law may be asked.

    From a third of the lowest anode (and screen) voltage of the points, or the lowest of the stages, up to the rated
    voltage; from a tenth of the lowest current up to the rated one, or three times the highest where none is rated; up
    to 1 V of positive grid. Cut off is what gives less than a thousandth of the lowest current.
    """
    ratings = system.ratings
    given = [point.anode_current + (point.screen_current or 0.0) for point in points]
    cut_off = rounded(min(given) / 1000, 3)
    if system.kind == "rectifier":
        return Limits(cathode_current=(0.0, ratings.peak_current or math.inf), cut_off=cut_off)
    anode = [point.anode_voltage / 3 for point in points]
    screen = [(point.screen_voltage or 0.0) / 3 for point in points]
    current = [value / 10 for value in given]
    if rows:
        found = settled(law, rows)
        anode.append(float(found.voltages[0].min()))
        screen.append(float(found.voltages[-1].min()) if "screen" in law.ports else 0.0)
        current.append(float(found.cathode_current.min()))
    return Limits(
        anode_voltage=(rounded(min(anode), 3), ratings.anode_voltage or 1.2 * max(p.anode_voltage for p in points)),
        cathode_current=(rounded(min(current), 3), ratings.cathode_current or rounded(3 * max(given), 3)),
        grid_voltage=1.0,
        screen_voltage=(rounded(min(screen), 3), ratings.screen_voltage or math.inf),
        cut_off=cut_off,
        anode_dissipation=ratings.anode_dissipation or math.inf,
        screen_dissipation=ratings.screen_dissipation or math.inf,
    )


def rounded(value: float, figures: int) -> float:
    """Return a value to so many significant figures."""
    return float(f"{value:.{figures}g}")


def written(types: Mapping[str, ValveType]) -> str:
    """Return the text of `fits.yaml` for fitted types."""
    lines = [
        "# Laws fitted to the figures of types.yaml and stages.yaml; fitting.py writes this file, and a test fits them",
        "# again. SI units; errors are law over print, less one, in per cent; `rms` is over the fitted ones.",
    ]
    for name, valve_type in types.items():
        lines += ["", f"{_key(name)}:"]
        for kind, system in valve_type.systems.items():
            lines.append(f"  {kind}:")
            for fit in system.fits:
                lines += _fit_lines(fit)
    return "\n".join(lines) + "\n"


def _fit_lines(fit: Fit) -> list[str]:
    limits = fit.limits
    lines = [
        f"    {fit.name}:",
        f"      law: {fit.law}",
        f"      parameters: {{{', '.join(f'{key}: {value:g}' for key, value in fit.parameters.items())}}}",
        "      limits:",
    ]
    for key in ("anode_voltage", "cathode_current", "screen_voltage"):
        low, high = getattr(limits, key)
        lines.append(f"        {key}: [{low:g}, {high:g}]")
    singles = ("grid_voltage", "cut_off", "anode_dissipation", "screen_dissipation")
    lines += [f"        {key}: {getattr(limits, key):g}" for key in singles]
    lines += [f"      rms: {fit.rms:g}", "      errors:"]
    for error in fit.errors:
        told = "yes" if error.fitted else "no"
        what = f'place: "{error.place}", figure: {error.figure}'
        lines.append(f"        - {{{what}, per cent: {error.per_cent:g}, fitted: {told}}}")
    return lines


def _key(name: str) -> str:
    return f'"{name}"' if name[:1].isdigit() else name
