"""From a circuit and what is asked of it to the steps of a worked solution.

One `Explainer` serves all asks of a question in their order: what an earlier ask has stated is known to the later ones.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from tutor.circuits.analysis import AC, DC, S
from tutor.circuits.asked import Asked, Current, Gain, Impedance, Power, TimeConstant, Voltage
from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import is_zero, over, squared, sum_of, times, value_of
from tutor.circuits.explain.errors import NoExplanationError
from tutor.circuits.explain.fallbacks import node_equations
from tutor.circuits.explain.ledger import Fact, Ledger, step_of
from tutor.circuits.explain.loops import Remake, close_loops
from tutor.circuits.explain.phasors import angle_of, has_angle, in_degrees, size_of
from tutor.circuits.explain.ports import Port
from tutor.circuits.explain.reasoner import Reasoner
from tutor.circuits.explain.rules import RULES
from tutor.circuits.explain.setting import Builder, Drive
from tutor.circuits.explain.step import Method, Step
from tutor.circuits.explain.truth import solve_all, true_answer
from tutor.circuits.explain.wanted import IDEAS, Explanation, Wanted
from tutor.circuits.explain.words import between, node_words, symbol_for
from tutor.circuits.expressions import Call, Expression, Name, names_in
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Capacitor, Inductor, Resistor
from tutor.circuits.parts.sources import VoltageSource
from tutor.circuits.problem import pose
from tutor.quantities import DECIBEL, DEGREE, OHM, Unit

AGREEMENT = 1e-9


MOST_PARTS = 60
"""Beyond this nobody would follow the steps, and looking for them would take long."""


class Explainer:
    """Explains the asks of one circuit in order.

    Args:
        network: The circuit.
        values: Value of every name that formulas may use, in SI units; for a circuit whose values are all numbers the
            symbols of its parts.
        symbols: Symbol of a parameter → the formula that stands for it, where that is not the symbol itself.
        parameters: Value of every parameter's symbol; None takes the numbers that the circuit gives.
        reserved: Names that steps must not use.
        hidden: Names that have a value but are not known to who solves the question; no step rests on them.
    """

    def __init__(
        self,
        network: Network,
        values: Mapping[str, float] | None = None,
        symbols: Mapping[str, Expression] | None = None,
        parameters: Mapping[str, float] | None = None,
        reserved: Collection[str] = (),
        hidden: Collection[str] = (),
    ) -> None:
        self._network = network
        self._symbols = dict(symbols or {})
        self._parameters = dict(network.values() if parameters is None else parameters)
        known = symbol_values(network, self._parameters, None)
        for part in network.parts:
            if isinstance(part, VoltageSource) and part.phase is not None:
                known[part.reference] = known[part.reference] * known[f"turn_{part.reference}"]
        every = {**known, **(values or {})}
        self.hidden_values = {name: every[name].real for name in hidden if name in every}
        shown = {name: value for name, value in every.items() if name not in hidden}
        self.ledger = Ledger(shown, reserved=set(reserved))
        self._reasoners: dict[str, Reasoner] = {}
        self.turned: set[str] = set()
        self._sizes: set[str] = set()  # facts of which the size was told, without the angle

    # -- the one door --------------------------------------------------------------------------------------------------
    def explain(self, wanted: Wanted) -> Explanation:
        """Return the steps that lead to an ask; what was said for an earlier one is not said again.

        Raises:
            NoExplanationError: If the rules do not lead there.
            CircuitError: If the circuit cannot be solved as asked.
        """
        if len(self._network.parts) > MOST_PARTS:
            raise NoExplanationError(str(wanted.asked))
        result, told_as = self._formula_for(wanted)
        return self._finished(wanted, result, told_as)

    def learn(self, name: str, value: float) -> None:
        """Let a hidden name be known from here on: an ask has stated its value."""
        self.ledger.values[name] = complex(value)
        self._reasoners.clear()

    def _formula_for(self, wanted: Wanted) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        """Return the formula of an ask, with method, words and parts of the step that would state it."""
        match wanted.asked:
            case Voltage(a, b):
                return self._voltage(wanted, a, b)
            case Current(part, winding):
                return self._current(wanted, part, winding)
            case Power(part):
                return self._power(wanted, part)
            case Gain(start, end):
                return self._gain(wanted, start, end)
            case Impedance(a, b):
                return self._impedance(self._network, a, b, wanted)
            case TimeConstant(part):
                return self._time_constant(part)
        # Ports, corners and values in time have no rules of their own yet.
        raise NoExplanationError(str(wanted.asked))

    # -- reasoners -----------------------------------------------------------------------------------------------------
    def _reasoner(
        self, wanted: Wanted, asked: Asked, network: Network | None = None, drive: Drive | None = None
    ) -> Reasoner:
        """Return the reasoner for one analysis and drive, with its rules run out."""
        network, drive = network or self._network, drive or Drive()
        hertz = describe(wanted.frequency) if wanted.frequency is not None and wanted.analysis == AC else ""
        context = f"{wanted.analysis} {hertz} {drive}"
        if context not in self._reasoners:
            truth = solve_all(pose(self._network, asked, wanted.analysis), self._all_symbols(wanted))
            setting = Builder(network, wanted.analysis, drive, self.ledger, self._symbols, wanted.frequency).setting()
            prefix = ("v", "i") if drive.pair is None else ("k", "i_per_volt")
            state = Reasoner(setting, self.ledger, truth, context, hertz, prefix, drive.pair is not None)
            state.work(RULES)
            self._reasoners[context] = state
        return self._reasoners[context]

    def _remake(self, wanted: Wanted) -> Remake:
        """Return what makes a reasoner for a circuit of which a loop was opened."""

        def remake(network: Network, drive: Drive, asked: Asked, label: str) -> Reasoner:
            hertz = describe(wanted.frequency) if wanted.frequency is not None and wanted.analysis == AC else ""
            truth = solve_all(pose(network, asked, wanted.analysis), self._all_symbols(wanted))
            setting = Builder(network, wanted.analysis, drive, self.ledger, self._symbols, wanted.frequency).setting()
            prefix = ("share", "i_back") if label.startswith("back") else ("own", "i_own")
            parts = ",".join(part.reference for part in network.parts)
            context = f"{wanted.analysis} {hertz} {drive} {label}: {parts}"
            state = Reasoner(setting, self.ledger, truth, context, hertz, prefix, drive.pair is not None)
            state.work(RULES)
            return state

        return remake

    def _all_symbols(self, wanted: Wanted) -> dict[str, complex]:
        hertz = None
        if wanted.analysis == AC:
            assert wanted.frequency is not None
            hertz = value_of(wanted.frequency, self.ledger.values).real
        known = symbol_values(self._network, self._parameters, hertz)
        return {name: complex(value) for name, value in known.items()} | ({S: known[S]} if S in known else {})

    def _reach(self, wanted: Wanted, state: Reasoner, a: str, b: str, drive: Drive | None = None) -> Expression | None:
        """Return a voltage, by the heavier methods where the rules did not reach it."""
        a, b = state.setting.node(a), state.setting.node(b)
        found = state.difference(a, b)
        if found is None and close_loops(state, drive or Drive(), self._remake(wanted)):
            state.work(RULES)
            found = state.difference(a, b)
        if found is None and node_equations(state):
            state.work(RULES)
            found = state.difference(a, b)
        return found

    # -- the forms -----------------------------------------------------------------------------------------------------
    def _voltage(self, wanted: Wanted, a: str, b: str) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        state = self._reasoner(wanted, wanted.asked)
        self._from_gain(state, wanted, a, b)
        found = self._reach(wanted, state, a, b)
        if found is None:
            raise NoExplanationError(str(wanted.asked))
        if len(names_in(found)) > 1:
            says = f"The voltage {between(a, b)} is the difference of both"
        else:
            says = f"A source holds the voltage {between(a, b)}"
        return found, (Method.VOLTAGES, says, self._parts_at(a, b))

    def _from_gain(self, state: Reasoner, wanted: Wanted, a: str, b: str) -> None:
        """Let gains that were stated before give the voltage: each source times its own, added up."""
        sources = state.setting.sources
        gains = [self._stated_gain(wanted, (source.a, source.b), (a, b)) for source in sources]
        if not sources or state.setting.currents or any(gain is None for gain in gains):
            return
        says = f"That share of `{sources[0].reference}` stands {between(a, b)}"
        method = Method.AMPLIFIER
        if len(sources) > 1:
            says, method = f"Each source gives its share {between(a, b)}, and they add up to", Method.SUPERPOSITION
        shares = (times(source.value, gain) for source, gain in zip(sources, gains, strict=True) if gain is not None)
        a, b = state.setting.node(a), state.setting.node(b)
        if a not in state.graph.rails:
            state.propose_voltage(a, b, sum_of(shares), method, says, [s.reference for s in sources], weight=0.9)

    def _stated_gain(self, wanted: Wanted, start: tuple[str, str], end: tuple[str, str]) -> Name | None:
        for context, state in self._reasoners.items():
            if "pair=" + repr(start) in context and context.startswith(f"{wanted.analysis} "):
                ends = (state.setting.node(end[0]), state.setting.node(end[1]))
                known = state.ledger.known(state.voltage_key(*ends))
                if known is not None and known.name in self.ledger.stated | self._sizes:
                    return known
        return None

    def _parts_at(self, *nodes: str) -> list[str]:
        found = [p.reference for p in self._network.parts if any(n in p.pins.values() for n in nodes if n != EARTH)]
        return found[:3]

    def _current(
        self, wanted: Wanted, reference: str, winding: str
    ) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        state = self._reasoner(wanted, wanted.asked)
        part = self._network.part(reference)
        branch = next((b for b in state.setting.branches if b.key == reference), None)
        if branch is None:
            branch = next((b for b in state.graph.all if b.key == reference), None)

        def found() -> Expression | None:
            for source in state.setting.currents:
                if source.reference == reference:
                    return source.value
            if branch is not None and not any(s.reference == reference for s in state.setting.sources):
                return state.current(branch)
            looped = next((b for b in state.graph.all if b.key == reference), None)
            if looped is not None:
                return state.current(looped)
            return self.ledger.known(state.current_key(f"{reference}.{winding}" if winding else reference))

        result = found()
        if result is None:
            for a, b in [part.terminals()]:
                self._reach(wanted, state, a, b)
            result = found()
        if result is None:
            raise NoExplanationError(str(wanted.asked))
        turned = f"Counted from its first end, the current of `{reference}` is"
        return result, (Method.CURRENTS, turned, [reference])

    def _power(self, wanted: Wanted, reference: str) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        part = self._network.part(reference)
        state = self._reasoner(wanted, wanted.asked)
        a, b = (state.setting.node(node) for node in part.terminals())
        across = self._reach(wanted, state, a, b)
        try:
            current, _ = self._current(replace(wanted, asked=Current(reference)), reference, "")
        except NoExplanationError:
            current = None
        if isinstance(part, Resistor):
            value = next((x.impedance.formula for x in state.setting.branches if x.key == reference), None)
            ways = []
            if current is not None and value is not None:
                i = size_of(current, self.ledger.values)
                ways.append((times(squared(i), value), names_in(i)))
            if across is not None and value is not None:
                v = size_of(across, self.ledger.values)
                ways.append((over(squared(v), value), names_in(v)))
            if ways:
                formula = min(ways, key=lambda way: self.ledger.cost(way[1]))[0]
                return formula, (Method.POWER, f"The power in `{reference}` is", [reference])
        if across is None or current is None or any(has_angle(x, self.ledger.values) for x in (across, current)):
            raise NoExplanationError(str(wanted.asked))
        says = f"The power in `{reference}` is its voltage times its current"
        return times(across, current), (Method.POWER, says, [reference])

    def _gain(
        self, wanted: Wanted, start: tuple[str, str], end: tuple[str, str]
    ) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        driver = next(
            (p for p in self._network.parts if isinstance(p, VoltageSource) and set(p.terminals()) == set(start)), None
        )
        network = self._network if driver is None else self._network.without(driver.reference)
        drive = Drive(alive=False, pair=start)
        state = self._reasoner(wanted, wanted.asked, network, drive)
        stated = self._stated_gain(wanted, start, end)
        found = stated or self._from_voltage(wanted, start, end) or self._reach(wanted, state, *end, drive)
        if found is None:
            raise NoExplanationError(str(wanted.asked))
        says = f"Of the voltage at {node_words(start[0])} there arrives at {node_words(end[0])}"
        return found, (Method.VOLTAGES, says, self._parts_at(end[0]))

    def _from_voltage(self, wanted: Wanted, start: tuple[str, str], end: tuple[str, str]) -> Expression | None:
        """Return a gain as the quotient of voltages that were stated before, where one source drives all."""
        for context, state in self._reasoners.items():
            live = state.setting.sources
            if not context.startswith(f"{wanted.analysis} ") or "pair=None" not in context or state.setting.currents:
                continue
            if len(live) == 1 and (live[0].a, live[0].b) == start:
                ends = (state.setting.node(end[0]), state.setting.node(end[1]))
                known = state.ledger.known(state.voltage_key(*ends))
                if known is not None and known.name in self.ledger.stated:
                    return over(known, live[0].value)
        return None

    def _impedance(
        self, network: Network, a: str, b: str, wanted: Wanted
    ) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        drive = Drive(alive=False)
        builder = Builder(network, wanted.analysis, drive, self.ledger, self._symbols, wanted.frequency)
        setting = builder.setting()
        hertz = describe(wanted.frequency) if wanted.frequency is not None and wanted.analysis == AC else ""
        branch = Port(setting, self.ledger, f"port {wanted.analysis}", hertz).between(a, b)
        if branch is None or is_zero(branch.impedance.formula):
            raise NoExplanationError(str(wanted.asked))
        says = f"Looked into {between(a, b)}, {branch.words} follow one another"
        if len(branch.links) == 1:
            says = f"Looked into {between(a, b)} there is only {branch.words}"
        return branch.impedance.formula, (Method.SERIES_PARALLEL, says, branch.parts)

    def _time_constant(self, reference: str) -> tuple[Expression, tuple[Method, str, Sequence[str]]]:
        part = self._network.part(reference)
        if not isinstance(part, Capacitor | Inductor):
            raise NoExplanationError(f"time constant of {reference}")
        a, b = part.terminals()
        seen, told_as = self._impedance(self._network.without(reference), a, b, Wanted(Impedance(a, b), DC))
        if not isinstance(seen, Name):
            method, _, parts = told_as
            key = ("seen", reference)
            says = f"The resistance that `{reference}` sees is"
            name = self.ledger.name_for(key, f"r_seen_{reference}")
            step = step_of(name, method, says, seen, OHM, parts, idea=f"Which resistance does {reference} see?")
            self.ledger.enter(Fact(key, step, (), 0.8), None, 1.0)
            seen = Name(name)
        value = self._symbols.get(reference, Name(reference))
        formula = times(seen, value) if isinstance(part, Capacitor) else over(value, seen)
        says = f"`{reference}` with the resistance that it sees has the time constant"
        return formula, (Method.TIME_CONSTANT, says, [reference])

    # -- the last step -------------------------------------------------------------------------------------------------
    def _finished(self, wanted: Wanted, result: Expression, told_as: tuple[Method, str, Sequence[str]]) -> Explanation:
        """Tell the steps; turn the last one into what is taken of it."""
        values = self.ledger.values
        unit = wanted.asked.unit
        truth = self._truth(wanted)
        formula: Expression = result
        if isinstance(result, Name) and result.name in self._sizes | self.ledger.stated and wanted.take == "decibels":
            steps, name, idea = [], result.name, "A level is twenty times the logarithm of the ratio."
            method, says, parts = Method.LEVEL, "", told_as[2]
        elif isinstance(result, Name) and result.name in self.ledger.facts:
            steps = self.ledger.told([result.name])
            last = steps.pop() if steps else None
            formula = result if last is None else last.formula
            method, says, parts = (last.method, last.says, last.parts) if last else told_as
            name, idea = result.name, last.idea if last else ""
        else:
            steps = self.ledger.told([n for n in names_in(result) if n in self.ledger.facts])
            formula, (method, says, parts) = result, told_as
            name, idea = (
                self.ledger.name_for(("goal", str(wanted.asked), wanted.take), symbol_for(wanted.asked)),
                IDEAS.get(method, ""),
            )
        if wanted.take in ("decibels", "phase"):
            name = self.ledger.name_for(
                ("goal", str(wanted.asked), wanted.take), "level" if wanted.take == "decibels" else "phi"
            )
        taken, unit = self._taken(wanted, formula, unit)
        if taken is None:
            raise NoExplanationError(f"{wanted.asked} ({wanted.take})")
        value = value_of(taken, values)
        self._keep_sign(name, value)
        if abs(value - truth) > AGREEMENT * abs(truth) + 1e-15:
            raise NoExplanationError(f"{wanted.asked}: {value} against {truth}")
        if wanted.take == "phase":
            says = f"{says}; its angle is" if says else "The angle is"
        if wanted.take == "decibels":
            share = " a share" if says.endswith(("gets", "is left with")) else ""
            says = f"{says}{share}; in decibels that is" if says else "In decibels that is"
        steps.append(Step(name, method, says, taken, value, unit, tuple(dict.fromkeys(parts)), idea))
        return Explanation(tuple(steps), value, unit)

    def _keep_sign(self, name: str, value: complex) -> None:
        """Note where a fact was told by its size alone, so that a later step takes it with its sign."""
        fact = self.ledger.facts.get(name)
        if fact is None or abs(fact.step.value - value) <= AGREEMENT * abs(value):
            return
        if abs(fact.step.value + value) <= AGREEMENT * abs(value):
            self.turned.add(name)
        else:
            self._sizes.add(name)
            self.ledger.stated.discard(name)  # with its angle it has to be told once more

    def _taken(self, wanted: Wanted, formula: Expression, unit: Unit) -> tuple[Expression | None, Unit]:
        values = self.ledger.values
        if isinstance(formula, Name) and formula.name in self.ledger.stated | self._sizes:
            formula = self._looked_through(wanted, formula)
        match wanted.take:
            case "decibels" if isinstance(formula, Name):
                return Call("db", (formula,)), DECIBEL
            case "magnitude":
                return size_of(formula, values), unit
            case "decibels":
                return Call("db", (size_of(formula, values),)), DECIBEL
            case "phase":
                angle = angle_of(formula, values)
                return None if angle is None else in_degrees(angle), DEGREE
            case _:
                return formula, unit

    def _looked_through(self, wanted: Wanted, name: Name) -> Expression:
        """Return the formula behind a fact that was told before, where its angle is wanted."""
        fact = self.ledger.facts.get(name.name)
        return name if fact is None or wanted.take != "phase" else fact.step.formula

    def _truth(self, wanted: Wanted) -> complex:
        at_dc = isinstance(wanted.asked, TimeConstant) or wanted.analysis == DC
        symbols = self._dc_symbols() if at_dc else self._all_symbols(wanted)
        return true_answer(pose(self._network, wanted.asked, DC if at_dc else wanted.analysis), symbols, wanted.take)

    def _dc_symbols(self) -> dict[str, complex]:
        return {name: complex(value) for name, value in symbol_values(self._network, self._parameters, None).items()}
