"""Words that the engine offers: the question's text, hints, a worked solution, advice on tolerance, a caution."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from tutor.circuits.asked import Gain, Impedance, TimeConstant, Voltage
from tutor.circuits.expressions import Name, names_in
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Capacitor, Resistor
from tutor.circuits.parts.sources import CurrentSource, VoltageSource
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.quantities import DECIBEL, DEGREE, VOLT, Quantity
from tutor.questions.template import Ask, Template
from tutor.questions.values import Choices

MOST_PAIRED = 30
"""Resistors beyond which pairs are not looked for: nobody reduces such a circuit by hand."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two resistors that act as one.

    Attributes:
        first, other: Names of their values.
        side_by_side: Whether they share both ends; otherwise the same current goes through both.
    """

    first: str
    other: str
    side_by_side: bool

    @property
    def together(self) -> str:
        """What they are together, as a formula."""
        a, b = self.first, self.other
        return f"{a}*{b}/({a} + {b})" if self.side_by_side else f"{a} + {b}"


def pairs_in(network: Network) -> tuple[Pair, ...]:
    """Return the resistors that act as one, two by two."""
    named = [p for p in network.parts if isinstance(p, Resistor) and isinstance(p.value, Name)]
    found: list[Pair] = []
    if len(named) > MOST_PAIRED:
        return ()
    for first, other in itertools.combinations(named, 2):
        shared = set(first.terminals()) & set(other.terminals())
        names = [p.value.name for p in (first, other) if isinstance(p.value, Name)]
        if len(shared) == 2:
            found.append(Pair(names[0], names[1], True))
        elif any(_only(network, node, first.reference, other.reference) for node in shared):
            found.append(Pair(names[0], names[1], False))
    return tuple(found)


def _only(network: Network, node: str, *references: str) -> bool:
    touching = [p.reference for p in network.parts if node in (*p.pins.values(), *p.senses())]
    return node != "0" and set(touching) == set(references)


def offered_text(template: Template) -> str:
    """Return a text to begin with: it names every value that the circuit has."""
    if template.network is None:
        return ""
    sources: list[str] = []
    others: list[str] = []
    for part in template.network.parts:
        bound = [p.value for p in part.parameters() if p.value is not None and not isinstance(p.value, Quantity)]
        spans = [f"`{name}=`" for name in dict.fromkeys(n for value in bound for n in names_in(value))]
        (sources if isinstance(part, VoltageSource | CurrentSource) else others).extend(spans)
    if not sources and not others:
        return ""
    fed = f"The circuit is fed with {_listed(sources)}" if sources else "The drawing shows a circuit"
    joined = "; " if sources else " with "
    return f"{fed}{joined}{_listed(others)}." if others else f"{fed}."


def _listed(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def offered_hints(template: Template) -> tuple[str, ...]:
    """Return hints that fit the circuit and what is asked, the gentlest first."""
    return tuple(dict.fromkeys(_hints(template)))


def _hints(template: Template) -> Iterator[str]:
    network = template.network
    if network is None:
        return
    pairs = pairs_in(network)
    if any(pair.side_by_side for pair in pairs):
        yield "Which two resistors share both their ends?"
    if any(not pair.side_by_side for pair in pairs):
        yield "Through which resistors does the same current flow?"
    asked = [ask.circuit.asked for ask in template.asks if ask.circuit is not None]
    if any(isinstance(part, Triode | Pentode) for part in network.parts):
        yield "For signals, HT and earth are the same place: the anode load leads to earth."
        yield "What an unbypassed cathode resistor carries, the valve feels µ + 1 times as large."
    if any(isinstance(part, Capacitor) for part in network.parts) and template.analysis == "ac":
        yield "What is the reactance of the capacitor at this frequency?"
    for form in asked:
        match form:
            case Voltage():
                yield "Replace what lies between the point and earth by one resistance, and use the divider rule."
            case Impedance():
                yield "Put every voltage source to nothing, a piece of wire, and look back into the circuit."
            case TimeConstant():
                yield "What resistance does the part see when the sources are a piece of wire?"
            case Gain():
                yield "How large is the output for one volt at the input?"


def offered_solution(template: Template) -> tuple[str, ...]:
    """Return a worked solution: what can be taken together, then each ask by its formula."""
    steps: list[str] = []
    if template.network is not None:
        for pair in pairs_in(template.network):
            if any(pair.first in _names(ask) and pair.other in _names(ask) for ask in template.asks):
                how = "lie side by side" if pair.side_by_side else "carry the same current"
                steps.append(f"`{pair.first}` and `{pair.other}` {how}, so together they are `{pair.together} =`.")
    for ask in template.asks:
        if ask.formula is not None and ask.kind == "number":
            last = f"`{ask.name} = {describe(ask.formula)} =`"
            steps.append(f"With the figures, {last}." if steps else f"The circuit gives {last}.")
    return tuple(steps)


def _names(ask: Ask) -> tuple[str, ...]:
    return names_in(ask.formula) if ask.formula is not None else ()


def tolerance_advice(ask: Ask) -> str:
    """Return what would do as a tolerance, and why."""
    if ask.unit == DECIBEL:
        return "0.2 dB does for answers in decibels; 0.1 dB is the least, 1 dB the most."
    if ask.unit == DEGREE:
        return "3° does for angles; 0.5° is the least, 5° the most."
    return (
        "2 % forgives several results rounded to three figures on the way; 0.5 % is the least that three figures "
        "need, 10 % the most, for values read off a curve."
    )


def offered_caution(template: Template) -> str:
    """Return the caution that a circuit needs by its own voltages, or ""."""
    highest = 0.0
    for name, rule in template.values.items():
        if isinstance(rule, Choices) and template.units[name].dimension == VOLT.dimension:
            highest = max(highest, *(abs(value) for value in rule.values))
    limit = 50.0 if template.analysis == "ac" else 120.0
    valves = template.network is not None and any(isinstance(p, Triode | Pentode) for p in template.network.parts)
    return "high-voltage" if highest > limit or valves else ""
