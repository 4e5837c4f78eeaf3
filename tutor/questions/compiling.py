"""From a template to functions: one generated source for single questions and for arrays of draws.

The source holds three functions of the drawn values: `values` (derived values, the circuit's own quantities, the
keys, and whether the draw is admitted), `slips`, and for every ask about a change a pair `before_…`, `after_…`. It is
kept on disk under the hash of template and generator (`cache`), so that serving neither solves a circuit nor loads an
algebra system.
"""

from __future__ import annotations

import ast
import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from tutor import circuits, quantities
from tutor.circuits.analysis import AC, STEP
from tutor.circuits.asked import CircuitAsk, Current, Power, Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, names_in, read_expression, substitute
from tutor.circuits.expressions.evaluation import as_source
from tutor.circuits.network import Network
from tutor.circuits.problem import pose
from tutor.circuits.program import ProgramWriter, load_function, program_arrays, program_scalars, spell
from tutor.circuits.steps import first_order
from tutor.quantities import DECIBEL, DEGREE, PreferredValueError, nearest, round_down, round_up
from tutor.questions.plot import ACROSS, PlotCurve
from tutor.questions.plot_functions import plot_arrays, plot_scalars
from tutor.questions.plot_sources import GRID, curve_function, curve_source, reading_source
from tutor.questions.rewiring import rewired
from tutor.questions.template import Ask, Template, texts_of
from tutor.questions.text import spans_in
from tutor.questions.values import Derived, Rows

ADMITTED = "(admitted)"  # no name of a value looks like it
_WANTED = "0wanted"
_OF_PLOTS = ("plot", "plot_reading", "plot_functions", "plot_sources")
ROUNDING: dict[str, Callable[[str, float], float]] = {"nearest": nearest, "up": round_up, "down": round_down}


@dataclass(slots=True)
class Compiled:
    """A template with its functions.

    Attributes:
        template: The template.
        base: Names of the drawn numbers: the arguments of every function.
        source: The generated source.
        outputs: Names of what `values` returns, in order; the last is whether the draw is admitted.
        slips: (ask, slip) pairs that `slips` returns, in order.
    """

    template: Template
    base: tuple[str, ...]
    source: str
    outputs: tuple[str, ...]
    slips: tuple[tuple[str, str], ...]
    _loaded: dict[tuple[str, bool], Callable[..., tuple[Any, ...]]] = field(default_factory=dict)

    def function(self, name: str, *, arrays: bool = False) -> Callable[..., tuple[Any, ...]]:
        """Return one of the generated functions, for single numbers or for arrays of shape (draws,)."""
        key = (name, arrays)
        if key not in self._loaded:
            namespace = _arrays() if arrays else _scalars()
            self._loaded[key] = load_function(self.source, name, namespace)
        return self._loaded[key]


def _scalars() -> dict[str, Any]:
    return program_scalars() | {
        "preferred_": lambda series, rounding, value: ROUNDING[rounding](series, value),
        "direction_": direction,
        **plot_scalars(),
    }


def _arrays() -> dict[str, Any]:
    import numpy as np

    def directions(before: Any, after: Any, relative: float, absolute: float) -> Any:
        band = np.maximum(relative * np.abs(before), absolute)
        return np.where(np.abs(after - before) <= band, 0.0, np.sign(after - before))

    return program_arrays() | {"preferred_": preferred_array, "direction_": directions, **plot_arrays()}


def preferred_array(series: str, rounding: str, values: Any) -> Any:
    """Return the preferred values for an array, shape (draws,); nan where there is none."""
    import numpy as np

    return np.array([_preferred_or_nan(series, rounding, float(value)) for value in np.atleast_1d(values)])


def _preferred_or_nan(series: str, rounding: str, value: float) -> float:
    try:
        return ROUNDING[rounding](series, value)
    except PreferredValueError:
        return math.nan


def direction(before: float, after: float, relative: float, absolute: float) -> float:
    """Return 1 when a value rises, −1 when it falls, 0 when it stays within the band."""
    if abs(after - before) <= max(relative * abs(before), absolute):
        return 0.0
    return math.copysign(1.0, after - before)


def base_names(template: Template) -> tuple[str, ...]:
    """Return the names of all drawn numbers, in the file's order."""
    names: list[str] = []
    for name, rule in template.values.items():
        if isinstance(rule, Rows):
            names.extend(rule.columns)
        elif not isinstance(rule, Derived):
            names.append(name)
    return tuple(names)


@cache
def generator_version() -> str:
    """Return a hash of everything that decides what is generated: a changed solver makes its own cache entries."""
    digest = hashlib.sha256()
    for folder in (circuits.__file__, quantities.__file__):
        assert folder is not None
        for module in sorted(Path(folder).parent.rglob("*.py")):
            digest.update(module.read_bytes())
    for name in ("compiling", "implicit", "reading", "ask_reading", "rewiring", "text", "values", *_OF_PLOTS):
        digest.update(Path(__file__).with_name(f"{name}.py").read_bytes())
    return digest.hexdigest()[:8]


def compile_template(template: Template) -> Compiled:
    """Generate the source of a template.

    Raises:
        CircuitError: If the circuit cannot be solved as asked.
    """
    base = base_names(template)
    writer = _values_writer(template, base)
    pieces = [writer.source("values")]
    slips = tuple((ask.name, slip.name) for ask in template.asks for slip in ask.slips if slip.formula is not None)
    pieces.append(_slips_source(template))
    for ask in template.asks:
        if ask.kind == "change":
            pieces.extend(_change_sources(template, ask, base))
    if template.plot is not None:
        pieces.extend(_curve_source(template, curve, base) for curve in template.plot.curves.values())
    source = "\n\n".join(pieces)
    _refuse_open_values(source)
    return Compiled(template, base, source, writer.outputs, slips)


def _refuse_open_values(source: str) -> None:
    """Raise CircuitError for a figure of a part that the solution needs and nothing gives."""
    for function in ast.parse(source).body:
        names = [node for node in ast.walk(function) if isinstance(node, ast.Name)]
        given = {node.id for node in names if isinstance(node.ctx, ast.Store)}
        given |= {node.arg for node in ast.walk(function) if isinstance(node, ast.arg)}
        for node in names:
            if node.id.startswith(spell("")) and node.id not in given:
                what = node.id.removeprefix(spell(""))
                raise CircuitError(f"{what} has no value; give one in the circuit, or a value {what} under `values:`")


def _values_writer(template: Template, base: tuple[str, ...]) -> ProgramWriter:
    writer = ProgramWriter(base)
    _define_derived(writer, template)
    outputs = list(template.derived)
    for name in implicit_names(template):
        _solve(writer, template, name, implicit_ask(template, name))
        outputs.append(name)
    outputs += [ask.name for ask in template.asks if _define_key(writer, template, ask)]
    for name in outputs:
        if name not in writer.outputs:
            writer.output(name, Name(name))
    conditions = " & ".join(as_source(condition, spell) for condition in template.require) or "True"
    writer.output_source(ADMITTED, conditions)
    return writer


def _define_derived(writer: ProgramWriter, template: Template) -> None:
    for name, rule in template.values.items():
        if isinstance(rule, Derived):
            writer.define(name, rule.formula)


def _define_key(writer: ProgramWriter, template: Template, ask: Ask) -> bool:
    """Define an ask's value; return whether it has a number as its value."""
    if ask.kind == "change":
        absolute = 0.0 if ask.tolerance is None else ask.tolerance.absolute
        relative = 0.0 if ask.tolerance is None else ask.tolerance.relative
        arguments = ", ".join(spell(name) for name in writer.inputs)
        before, after = f"before_{ask.name}({arguments})[0]", f"after_{ask.name}({arguments})[0]"
        writer.define_source(ask.name, f"direction_({before}, {after}, {relative!r}, {absolute!r})")
        return True
    if not _has_number(ask):
        return False
    if ask.reading is not None and template.plot is not None:
        writer.define_source(ask.name, reading_source(template.plot, ask.reading, writer.inputs))
        return True
    if ask.formula is not None:
        writer.define(ask.name, ask.formula)
    elif ask.circuit is not None:
        _solve(writer, template, ask.name, ask.circuit, take_of(template, ask))
    if ask.kind == "preferred":
        source = f"preferred_({ask.series!r}, {ask.rounding!r}, {spell(ask.name)})"
        writer.define_source(ask.name, source)
    return True


def written_out(template: Template) -> dict[str, Expression]:
    """Return every derived value as an expression over drawn values."""
    found: dict[str, Expression] = {}
    for name, rule in template.values.items():
        if isinstance(rule, Derived):
            found[name] = substitute(rule.formula, found)
    return found


def take_of(template: Template, ask: Ask) -> str:
    """Return what of a circuit's answer is wanted: nothing special at dc, the magnitude or what the unit says at ac."""
    if ask.circuit is None or isinstance(ask.circuit.asked, Power):
        return ""
    take = ask.circuit.take or {DECIBEL.kind: "decibels", DEGREE.kind: "phase"}.get(ask.unit.kind, "")
    if template.analysis_of(ask.circuit) != AC:
        return "" if take == "real" else take
    return take or "magnitude"


def _solve(writer: ProgramWriter, template: Template, name: str, ask: CircuitAsk, take: str = "") -> None:
    assert template.network is not None
    _solve_in(writer, template, template.network, name, ask, take)


def _solve_in(
    writer: ProgramWriter, template: Template, network: Network, name: str, ask: CircuitAsk, take: str
) -> None:
    analysis = template.analysis_of(ask)
    if analysis == STEP:
        _solve_in_time(writer, network, name, ask)
        return
    problem = pose(network, ask.asked, analysis)
    writer.bind(problem)
    frequency = ""
    if analysis == AC:
        frequency = as_source(frequency_of(template, ask), spell)
        if not take and not problem.is_power:
            take = "magnitude"
    writer.define_solution(name, problem, frequency=frequency, take=take)


def _solve_in_time(writer: ProgramWriter, network: Network, name: str, ask: CircuitAsk) -> None:
    """Let a name stand for final + (start − final)·exp(−t/constant)."""
    posed = first_order(network, ask.asked)
    pieces = {}
    for label, problem in (("start", posed.start), ("final", posed.final), ("constant", posed.constant)):
        writer.bind(problem)
        pieces[label] = Name(f"0{label}_{name}")  # a nought in front: no name of a template begins with one
        writer.define_solution(pieces[label].name, problem)
    decay = Call("exp", (Negative(Binary("/", time_of(ask), pieces["constant"])),))
    missing = Binary("*", Binary("-", pieces["start"], pieces["final"]), decay)
    writer.define(name, Binary("+", pieces["final"], missing))


def time_of(ask: CircuitAsk) -> Expression:
    """Return the time at which a value is asked at step."""
    assert ask.time is not None
    return read_expression(ask.time)


def frequency_of(template: Template, ask: CircuitAsk) -> Expression:
    """Return the frequency at which a circuit quantity is asked."""
    if ask.frequency is not None:
        return read_expression(ask.frequency)
    assert template.frequency is not None
    return template.frequency


def implicit_names(template: Template) -> tuple[str, ...]:
    """Return the circuit's own quantities that conditions and texts use, such as `power_R1`."""
    expressions = [*template.require]
    expressions += [member for _, pieces in texts_of(template) for span in spans_in(pieces) for member in span.members]
    expressions += [ask.possible for ask in template.asks if ask.possible is not None]
    expressions += [option.right for ask in template.asks for option in ask.options]
    known = set(template.units) | {name for name, rule in template.values.items() if isinstance(rule, Rows)}
    return tuple(dict.fromkeys(n for e in expressions for n in names_in(e) if n not in known))


def implicit_ask(template: Template, name: str) -> CircuitAsk:
    """Return what of the circuit an implicit name stands for."""
    kind, _, what = name.partition("_")
    assert template.network is not None
    parts = {part.reference: part for part in template.network.parts}
    if kind == "power":
        return CircuitAsk(Power(what))
    if kind == "current":
        return CircuitAsk(Current(what))
    return CircuitAsk(Voltage(*parts[what].terminals()) if what in parts else Voltage(what))


def _slips_source(template: Template) -> str:
    """Return the source of all slips as a function of every named number."""
    names = number_names(template)
    arguments = ", ".join(spell(name) for name in names)
    results = "".join(
        f"{as_source(slip.formula, spell)}, " for ask in template.asks for slip in ask.slips if slip.formula is not None
    )
    return f"def slips({arguments}):\n    return ({results.rstrip()})\n"


def number_names(template: Template) -> tuple[str, ...]:
    """Return every name that stands for a number: drawn, derived, and asks with a number as their key."""
    asks = tuple(ask.name for ask in template.asks if _has_number(ask))
    return (*base_names(template), *template.derived, *asks)


def _has_number(ask: Ask) -> bool:
    """Tell whether an ask's key is a number, or one of its kind that stands for a word."""
    return ask.kind != "fault" and not (ask.options and ask.formula is None and ask.circuit is None)


def _change_sources(template: Template, ask: Ask, base: tuple[str, ...]) -> list[str]:
    """Return the sources of the quantity before and after the change."""
    assert ask.when is not None
    changed = {name: value for name, value in ask.when.items() if not isinstance(value, str)}
    wiring = {name: value for name, value in ask.when.items() if isinstance(value, str)}
    sources = []
    for label, network, replaced in (
        ("before", template.network, {}),
        ("after", rewired(template.network, wiring), changed),
    ):
        writer = ProgramWriter(base)
        _replace(writer, template, replaced)
        _define_derived(writer, template)
        if ask.circuit is not None and network is not None:
            _solve_in(writer, template, network, _WANTED, ask.circuit, take_of(template, ask))
            writer.output(_WANTED, Name(_WANTED))
        elif ask.formula is not None:
            writer.output(_WANTED, ask.formula)
        sources.append(writer.source(f"{label}_{ask.name}"))
    return sources


def _curve_source(template: Template, curve: PlotCurve, base: tuple[str, ...]) -> str:
    """Return the source of a curve: its height over the drawn values, the value across and a grid voltage."""
    writer = ProgramWriter((*base, ACROSS, GRID))
    _define_derived(writer, template)
    if curve.formula is not None:
        writer.output(curve.name, curve.formula)
    elif curve.circuit is not None and template.network is not None:
        problem = pose(template.network, curve.circuit.asked, AC)
        writer.bind(problem)
        take = curve.circuit.take or "magnitude"
        writer.define_solution(_WANTED, problem, frequency=spell(ACROSS), take=take)
        writer.output(_WANTED, Name(_WANTED))
    else:
        writer.output_source(curve.name, curve_source(curve))
    return writer.source(curve_function(curve.name))


def _replace(writer: ProgramWriter, template: Template, changed: Mapping[str, Expression]) -> None:
    """Give drawn names their new values, all worked out from the old ones; derived values follow afterwards."""
    # A nought in front: no name of a template begins with one.
    for name, expression in changed.items():
        writer.define(f"0{name}", substitute(expression, written_out(template)))
    for name in changed:
        writer.define_source(name, spell(f"0{name}"))
