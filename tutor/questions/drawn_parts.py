"""A template's circuit as the drawing needs it: pins, kind, and each part's value as a member may see it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from tutor.circuits.asked import Gain, Impedance, Voltage
from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Name, evaluate, names_in
from tutor.circuits.parts import Part, Value
from tutor.circuits.parts.controlled import CurrentControlled
from tutor.circuits.parts.controls import Meter
from tutor.circuits.parts.sources import CurrentSource, VoltageSource
from tutor.circuits.parts.transformer import Transformer
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.quantities import Quantity, Unit, show, show_exact
from tutor.questions.electrodes import pin_numbers
from tutor.questions.template import Template

HIDDEN = "?"
VALVES = ("triode", "pentode")


def drawn_parts(
    template: Template, values: Mapping[str, float], givens: Mapping[str, str], labels: Mapping[str, str]
) -> tuple[dict[str, Any], ...]:
    """Return the parts of a template's circuit as plain data.

    Args:
        template: The template.
        values: All named numbers.
        givens: Shown values by name; a part whose value hangs on anything else shows a question mark.
        labels: The word of each drawn row.
    """
    if template.network is None:
        return ()
    writer = _Values(values, givens, labels)
    parts = [_part(part, template, writer) for part in template.network.parts]
    pins = pin_numbers((part["reference"], part["value"]) for part in parts if part["kind"] in VALVES and part["value"])
    return tuple(part | ({"pins": pins[part["reference"]]} if part["reference"] in pins else {}) for part in parts)


_WORD = re.compile(r"[a-z]{2,}")


def named_nodes(template: Template) -> dict[str, str]:
    """Return the nodes that the drawing names: those that something is asked of, where the name is a word."""
    found: list[str] = []
    for ask in template.asks:
        match ask.circuit.asked if ask.circuit is not None else None:
            case Voltage(a, b) | Impedance(a, b):
                found += [a, b]
            case Gain(start, end):
                found += [*start, *end]
    found += [node for ask in template.asks for node in ask.points]
    return {node: node for node in found if _WORD.fullmatch(node)}


def _part(part: Part, template: Template, writer: _Values) -> dict[str, Any]:
    raw = template.parts[part.reference]
    data: dict[str, Any] = {
        "reference": part.reference,
        "kind": part.kind,
        "nodes": dict(part.pins),
        "value": writer.of_part(part),
    }
    control = getattr(part, "control", None)
    if isinstance(control, tuple):
        data["nodes"] |= {"control a": control[0], "control b": control[1]}
    elif isinstance(part, CurrentControlled):
        data["control"] = part.control
    coils = getattr(part, "coils", None)
    if coils:
        data["coils"] = list(coils)
    if getattr(part, "polarised", False):
        data["polarised"] = True
    if isinstance(part, VoltageSource | CurrentSource):
        data["flavour"] = _flavour(part, template)
    if raw.get("at") is not None:
        data["at"] = [int(place) for place in raw["at"]]
        data["turned"] = int(raw.get("turned", 0))
    return data


def _flavour(part: VoltageSource | CurrentSource, template: Template) -> str:
    if part.told_apart:
        return "dc" if part.ac is None else "ac"
    return template.analysis


class _Values:
    """Writes the value of a part for people."""

    def __init__(self, values: Mapping[str, float], givens: Mapping[str, str], labels: Mapping[str, str]) -> None:
        self._values, self._givens, self._labels = values, givens, labels

    def of_part(self, part: Part) -> str:
        match part:
            case Triode(type=kind) | Pentode(type=kind):
                return self._labels.get(kind, kind)
            case Meter(resistance=None, range=full_scale, ohms_per_volt=sensitivity):
                (first, second) = (p.unit for p in part.parameters())
                return f"{self._shown(sensitivity, second)}, {self._shown(full_scale, first)} range"
            case Transformer():
                return self._turns(part)
            case VoltageSource() | CurrentSource() if part.told_apart:
                return self._apart(part)
            case _:
                parameters = part.parameters()
                return self._shown(parameters[0].value, parameters[0].unit) if parameters else ""

    def _apart(self, part: VoltageSource | CurrentSource) -> str:
        """Return the values of a source that tells dc and ac apart; where it has both, each says which it is."""
        found = {"dc": self._shown(part.dc, part.unit), "ac": self._shown(part.ac, part.unit)}
        given = {kind: text for kind, text in found.items() if text}
        return " + ".join(f"{text} {kind}" if len(given) == 2 else text for kind, text in given.items())

    def _turns(self, part: Transformer) -> str:
        numbers = [self._shown(turns, p.unit) for turns, p in zip(part.turns, part.parameters(), strict=True)]
        return "" if HIDDEN in numbers else " : ".join(numbers)

    def _shown(self, value: Value | None, unit: Unit) -> str:
        if value is None:
            return ""
        if isinstance(value, Quantity):
            return show_exact(value.magnitude, unit)
        if isinstance(value, Name):
            return self._givens.get(value.name, HIDDEN)
        if not all(name in self._givens for name in names_in(value)):
            return HIDDEN
        try:
            return show(evaluate(value, self._values), unit, 4)
        except ExpressionError:
            return HIDDEN
