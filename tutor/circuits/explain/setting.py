"""A circuit laid out for reasoning: which nodes are one, what stands between them, what drives it.

At dc a coil is a piece of wire and a capacitor an open gap; a source that is dead is a piece of wire or a gap as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ONE, TWO_PI, minus, negative, over, times
from tutor.circuits.explain.branches import Branch, Impedance
from tutor.circuits.explain.errors import NoExplanationError
from tutor.circuits.explain.ledger import Fact, Ledger, step_of
from tutor.circuits.explain.step import Method
from tutor.circuits.expressions import Expression, Name, Number, substitute
from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.controlled import VoltageControlledCurrentSource, VoltageControlledVoltageSource
from tutor.circuits.parts.controls import Meter, Potentiometer
from tutor.circuits.parts.passive import Capacitor, Coupling, Inductor, Resistor
from tutor.circuits.parts.probes import CurrentProbe, VoltageProbe
from tutor.circuits.parts.sources import CurrentSource, VoltageSource
from tutor.circuits.parts.transformer import Transformer
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.quantities import OHM, Quantity

DRIVE = "1 V"  # no symbol looks like it


@dataclass(frozen=True, slots=True)
class Source:
    """A voltage held between two nodes, or a current driven from the first to the second."""

    reference: str
    a: str
    b: str
    value: Expression


@dataclass(frozen=True, slots=True)
class Controlled:
    """A voltage held, or a current driven, in proportion to a voltage elsewhere."""

    reference: str
    a: str
    b: str
    control: tuple[str, str]
    factor: Expression


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve about its working point: mu and anode resistance, or slope and anode resistance."""

    reference: str
    anode: str
    grid: str
    cathode: str
    mu: Expression
    ra: Expression
    gm: Expression | None


@dataclass(frozen=True, slots=True)
class Winding:
    """One winding of an ideal transformer."""

    name: str
    a: str
    b: str
    turns: Expression


@dataclass
class Setting:
    """A circuit for one question: its analysis, what is alive, and every part in the terms of reasoning.

    Attributes:
        merged: Node → the node that stands for it, where wires, dead sources or coils at dc make them one.
        branches: Single parts with an impedance.
        sources, currents: Live independent sources.
        amplifiers, steered: Voltage- and current-giving controlled sources.
        valves, transformers: As they are.
        unknown: Nodes and reference of parts that the rules do not know; they are taken to pass any current.
    """

    network: Network
    analysis: Analysis
    merged: dict[str, str] = field(default_factory=dict)
    branches: list[Branch] = field(default_factory=list)
    sources: list[Source] = field(default_factory=list)
    currents: list[Source] = field(default_factory=list)
    amplifiers: list[Controlled] = field(default_factory=list)
    steered: list[Controlled] = field(default_factory=list)
    valves: list[Valve] = field(default_factory=list)
    transformers: dict[str, tuple[Winding, ...]] = field(default_factory=dict)
    unknown: list[tuple[str, str, str]] = field(default_factory=list)
    dead: list[str] = field(default_factory=list)

    def holding(self) -> list[tuple[str, str, str]]:
        """Return both nodes and the reference of all that holds a voltage."""
        return [
            *((s.a, s.b, s.reference) for s in self.sources),
            *((c.a, c.b, c.reference) for c in self.amplifiers),
        ]

    def giving(self) -> list[tuple[str, str, str]]:
        """Return both nodes and the reference of all that gives current beside branches and live sources."""
        return [
            *((s.a, s.b, s.reference) for s in self.currents),
            *((c.a, c.b, c.reference) for c in (*self.steered, *self.amplifiers)),
            *((v.anode, v.cathode, v.reference) for v in self.valves),
            *self.unknown,
            *((w.a, w.b, f"{t}.{w.name}") for t, windings in self.transformers.items() for w in windings),
        ]

    def node(self, name: str) -> str:
        """Return the node that stands for a node."""
        return self.merged.get(name, name)


@dataclass(frozen=True, slots=True)
class Drive:
    """What drives a circuit.

    Attributes:
        alive: Whether its own sources do.
        pair: The nodes between which one volt is put instead, or None.
        stilled: References of sources that are dead although the others live.
    """

    alive: bool = True
    pair: tuple[str, str] | None = None
    stilled: tuple[str, ...] = ()


class Builder:
    """Lays a network out."""

    def __init__(
        self,
        network: Network,
        analysis: Analysis,
        drive: Drive,
        ledger: Ledger,
        symbols: Mapping[str, Expression],
        frequency: Expression | None,
    ) -> None:
        self._setting = Setting(network, analysis)
        self._drive, self._ledger, self._symbols, self._frequency = drive, ledger, symbols, frequency
        self._coupled = {coil for part in network.parts if isinstance(part, Coupling) for coil in part.coils}

    def setting(self) -> Setting:
        """Return the setting."""
        setting = self._setting
        shorts = [short for part in setting.network.parts for short in self._shorts(part)]
        setting.merged = _merged(shorts, setting.network.nodes)
        for part in setting.network.parts:
            self._enter(part)
        if self._drive.pair is not None:
            a, b = (setting.node(node) for node in self._drive.pair)
            setting.sources.append(Source(DRIVE, a, b, ONE))
        setting.branches = [branch for branch in setting.branches if branch.a != branch.b]
        return setting

    def _symbol(self, name: str) -> Expression:
        return self._symbols.get(name, Name(name))

    def _live(self, part: VoltageSource | CurrentSource) -> Expression | None:
        """Return a source's value, or None where it is dead."""
        if not self._drive.alive or part.reference in self._drive.stilled:
            return None
        kind = "ac" if self._setting.analysis.kind == "ac" else "dc"
        if part.told_apart and (part.ac if kind == "ac" else part.dc) is None:
            return None
        both = part.dc is not None and part.ac is not None
        name = f"{part.reference}_{kind}" if both else part.reference
        if part.phase is not None and kind == "ac":
            return Name(name)
        return self._symbol(name)

    def _shorts(self, part: Part) -> list[tuple[str, str]]:
        match part:
            case Inductor() if self._setting.analysis.kind != "ac":
                return [part.terminals()]
            case VoltageSource() if self._live(part) is None:
                self._setting.dead.append(part.reference)
                return [part.terminals()]
            case VoltageProbe():
                return [part.terminals()]
            case Potentiometer():
                top, wiper, foot = (part.pins[pin] for pin in ("top", "wiper", "foot"))
                return [(a, b) for a, b, z in ((top, wiper, 0), (wiper, foot, 1)) if self._section_value(part, z) == 0]
            case _:
                return []

    def _section_value(self, part: Potentiometer, lower: int) -> float:
        name = self._share_name(part)
        if name not in self._ledger.values:
            raise NoExplanationError(f"a setting of {part.reference} that is not told")
        share = self._ledger.values[name].real
        return share if lower else 1 - share

    @staticmethod
    def _share_name(part: Potentiometer) -> str:
        return f"turn_{part.reference}" if part.law == "linear" else f"share_{part.reference}"

    def _enter(self, part: Part) -> None:
        setting = self._setting
        match part:
            case Resistor() | Meter():
                self._branch(part, Impedance(real=self._resistance(part)))
            case Capacitor() if setting.analysis.kind == "ac":
                value = self._symbol(part.reference)
                reactance = self._reactance(part, over(ONE, times(TWO_PI, self._hertz(), value)))
                self._branch(part, Impedance(imaginary=negative(reactance)), value)
            case Inductor() if part.reference in self._coupled and setting.analysis.kind == "ac":
                setting.unknown.append((*self._ends(part), part.reference))
            case Inductor() if setting.analysis.kind == "ac":
                reactance = self._reactance(part, times(TWO_PI, self._hertz(), self._symbol(part.reference)))
                self._branch(part, Impedance(imaginary=reactance))
            case VoltageSource() | CurrentSource():
                amplitude = self._live(part)
                if amplitude is not None:
                    live = setting.sources if isinstance(part, VoltageSource) else setting.currents
                    live.append(Source(part.reference, *self._ends(part), amplitude))
            case VoltageControlledVoltageSource() | VoltageControlledCurrentSource():
                a, b = self._ends(part)
                c, d = (setting.node(node) for node in part.control)
                found = Controlled(part.reference, a, b, (c, d), self._symbol(part.reference))
                (setting.amplifiers if isinstance(part, VoltageControlledVoltageSource) else setting.steered).append(
                    found
                )
            case Triode() | Pentode():
                self._valve_or_resistor(part)
            case Potentiometer():
                self._track(part)
            case Transformer():
                self._windings(part)
            case Capacitor() | Inductor() | VoltageProbe() | CurrentProbe() | Coupling():
                pass
            case _:
                setting.unknown.append((*self._ends(part), part.reference))

    def _ends(self, part: Part) -> tuple[str, str]:
        a, b = part.terminals()
        return self._setting.node(a), self._setting.node(b)

    def _hertz(self) -> Expression:
        assert self._frequency is not None
        return self._frequency

    def _resistance(self, part: Resistor | Meter) -> Expression:
        definitions = part.definitions()
        if not definitions:
            return self._symbol(part.reference)
        formula = substitute(definitions[0].real, dict(self._symbols))
        says = f"The meter `{part.reference}` has so many ohms for every volt of its range"
        key = ("z", part.reference)
        name = self._ledger.name_for(key, f"r_{part.reference}")
        step = step_of(
            name, Method.SERIES_PARALLEL, says, formula, OHM, [part.reference], idea="A meter is a resistor."
        )
        self._ledger.enter(Fact(key, step, (), 1.0), None, 1.0)
        return Name(name)

    def _reactance(self, part: Capacitor | Inductor, formula: Expression) -> Expression:
        from tutor.circuits.expressions.evaluation import describe

        key = ("x", part.reference, describe(self._hertz()))
        name = self._ledger.name_for(key, f"X_{part.reference}")
        says = f"At this frequency the reactance of `{part.reference}` is"
        idea = f"Work out the reactance of {part.reference} at the frequency."
        step = step_of(name, Method.REACTANCE, says, formula, OHM, [part.reference], idea=idea)
        self._ledger.enter(Fact(key, step, (), 0.8), None, 1.0)
        return Name(name)

    def _branch(self, part: Part, impedance: Impedance, capacitance: Expression | None = None) -> None:
        a, b = self._ends(part)
        reference = part.reference
        self._setting.branches.append(
            Branch(reference, a, b, impedance, (reference,), f"`{reference}`", capacitance=capacitance)
        )

    def _track(self, part: Potentiometer) -> None:
        share = self._symbol(f"turn_{part.reference}")
        if part.law == "log":
            share = substitute(part.definitions()[0].real, dict(self._symbols))
        track = self._symbol(part.reference)
        top, wiper, foot = (self._setting.node(part.pins[pin]) for pin in ("top", "wiper", "foot"))
        lower = self._section(part, "lower", times(track, share), wiper != foot)
        rest = times(track, minus(ONE, share)) if part.law == "linear" or wiper == foot else minus(track, lower)
        upper = self._section(part, "upper", rest, top != wiper)
        for section, a, b, value in (("upper", top, wiper, upper), ("lower", wiper, foot, lower)):
            words = f"the {section} part of `{part.reference}`"
            branch = Branch(f"{part.reference} {section}", a, b, Impedance(real=value), (part.reference,), words)
            self._setting.branches.append(branch)

    def _section(self, part: Potentiometer, section: str, formula: Expression, wanted: bool) -> Expression:
        if not wanted or self._section_value(part, section == "lower") == 1:
            return self._symbol(part.reference)
        key = ("z", part.reference, section)
        name = self._ledger.name_for(key, f"r_{section}")
        side = "between top and wiper" if section == "upper" else "between wiper and foot"
        says = f"At this setting the part of `{part.reference}` {side} is"
        idea = "Split the track at its wiper into two resistors."
        step = step_of(name, Method.SERIES_PARALLEL, says, formula, OHM, [part.reference], idea=idea)
        self._ledger.enter(Fact(key, step, (), 0.8), None, 1.0)
        return Name(name)

    def _valve_or_resistor(self, part: Triode | Pentode) -> None:
        """Enter a valve; with its grid tied to its cathode for signals it is its anode resistance and no more."""
        valve = self._valve(part)
        if valve.grid != valve.cathode:
            self._setting.valves.append(valve)
            return
        words = f"`{part.reference}` with its grid at rest"
        impedance = Impedance(real=valve.ra)
        branch = Branch(part.reference, valve.anode, valve.cathode, impedance, (part.reference,), words)
        self._setting.branches.append(branch)

    def _valve(self, part: Triode | Pentode) -> Valve:
        anode, grid, cathode = (self._setting.node(part.pins[pin]) for pin in ("anode", "grid", "cathode"))
        mu, ra, gm = (self._symbol(f"{key}_{part.reference}") for key in ("mu", "ra", "gm"))
        if part.mu is None:
            return Valve(part.reference, anode, grid, cathode, times(gm, ra), ra, gm)
        if part.ra is None:
            return Valve(part.reference, anode, grid, cathode, mu, over(mu, gm), gm)
        return Valve(part.reference, anode, grid, cathode, mu, ra, None)

    def _windings(self, part: Transformer) -> None:
        found = []
        for parameter, winding in zip(part.parameters(), part.windings, strict=True):
            turns = self._symbol(parameter.symbol)
            if isinstance(parameter.value, Quantity):
                turns = Number(parameter.value.magnitude, text=f"{parameter.value.magnitude:g}")
            a, b = (self._setting.node(part.pins[f"{winding} {end}"]) for end in ("start", "end"))
            found.append(Winding(winding, a, b, turns))
        self._setting.transformers[part.reference] = tuple(found)


def _merged(shorts: list[tuple[str, str]], nodes: tuple[str, ...]) -> dict[str, str]:
    """Return node → the one that stands for it; earth stands for all that is joined to it."""
    group = {node: node for node in (*nodes, EARTH)}

    def top(node: str) -> str:
        while group[node] != node:
            node = group[node]
        return node

    for a, b in shorts:
        first, second = top(a), top(b)
        if first != second:
            keep, lose = (second, first) if second == EARTH else (first, second)
            group[lose] = keep
    return {node: top(node) for node in group}


__all__ = ["DRIVE", "Builder", "Controlled", "Drive", "Setting", "Source", "Valve", "Winding"]
