"""The step of an ask about a change: what the quantity was, what it has become, and therefore which way it went."""

from __future__ import annotations

from collections.abc import Mapping

from tutor.circuits.asked import Current, Gain, Impedance, Power, TimeConstant, Voltage
from tutor.circuits.explain import Method, Step
from tutor.circuits.explain.words import node_words
from tutor.circuits.expressions import Expression, Number, dimension_of
from tutor.quantities import Unit, coherent_unit
from tutor.questions.compiling import Compiled
from tutor.questions.lottery import Drawn
from tutor.questions.template import Ask

DIRECTIONS = {1.0: "rises", -1.0: "falls", 0.0: "stays as it was"}

After = tuple[Expression, Mapping[str, float]]


def change_step(compiled: Compiled, drawn: Drawn, ask: Ask) -> tuple[Step, After]:
    """Return the step of a change, with the quantity before as its value and the one after beside it.

    The two values come from the circuit as it is and as it has become; how they come about is not written out, because
    the direction is asked and not the value.
    """
    arguments = [drawn.base[name] for name in compiled.base]
    before = float(compiled.function(f"before_{ask.name}")(*arguments)[0])
    after = float(compiled.function(f"after_{ask.name}")(*arguments)[0])
    direction = DIRECTIONS[drawn.values[ask.name]]
    unit = _unit(compiled, ask)
    parts = tuple(ask.when or {})
    says = f"{_what(ask)} {direction}"
    network = compiled.template.network
    known = tuple(p for p in parts if network is not None and any(p == part.reference for part in network.parts))
    step = Step(ask.name, Method.CHANGE, says, Number(before, unit), complex(before), unit, known, _idea(ask))
    return step, (Number(after, unit), {})


def _unit(compiled: Compiled, ask: Ask) -> Unit:
    if ask.circuit is not None:
        return ask.circuit.asked.unit if ask.circuit.take not in ("decibels", "phase") else ask.unit
    assert ask.formula is not None
    dimensions = {name: unit.dimension for name, unit in compiled.template.units.items()}
    return coherent_unit(dimension_of(ask.formula, dimensions))


def _what(ask: Ask) -> str:
    match ask.circuit.asked if ask.circuit is not None else None:
        case Voltage(a, "0"):
            return f"the voltage at {node_words(a)}"
        case Voltage(a, b):
            return f"the voltage between {node_words(a)} and {node_words(b)}"
        case Current(part):
            return f"the current in `{part}`"
        case Power(part):
            return f"the power in `{part}`"
        case Gain(_, (end, _)):
            take = ask.circuit.take if ask.circuit is not None else None
            return (
                f"the angle at {node_words(end)}" if take == "phase" else f"the share that arrives at {node_words(end)}"
            )
        case Impedance(a, _):
            return f"the impedance at {node_words(a)}"
        case TimeConstant(part):
            return f"the time constant of `{part}`"
        case _:
            return "it"


def _idea(ask: Ask) -> str:
    changed = " and ".join(ask.when or {})
    return f"Which way does {_what(ask).replace('`', '')} go when {changed} changes? Follow the currents."
