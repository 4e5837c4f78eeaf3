"""A circuit being reasoned about: what is known of it so far, and how a new fact is entered.

Rules (`rules`) look at the state through this module and propose facts; the state holds each proposal against the full
solution before it is believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tutor.circuits.equations import EARTH
from tutor.circuits.explain.arithmetic import ZERO, is_zero, minus, negative
from tutor.circuits.explain.branches import Branch, Graph
from tutor.circuits.explain.ledger import Fact, Key, Ledger, step_of
from tutor.circuits.explain.reduction import Reduction
from tutor.circuits.explain.setting import DRIVE, Setting
from tutor.circuits.explain.step import Method
from tutor.circuits.explain.truth import Truth
from tutor.circuits.expressions import Expression, Name
from tutor.quantities import AMPERE, RATIO, SIEMENS, VOLT, Unit

MOST_ROUNDS = 25


@dataclass(frozen=True, slots=True)
class Attached:
    """What gives or takes current at a node beside the branches.

    Attributes:
        key: The fact of its current.
        reference: The part.
        sign: 1 when the current leaves the node through it.
    """

    key: Key
    reference: str
    sign: int


@dataclass
class Reasoner:
    """One setting, its reduced graph, and what the ledger knows of it.

    Attributes:
        setting: The circuit laid out.
        ledger: Where facts are kept.
        truth: The full solution.
        context: Tells the facts of this setting from others.
        prefix: Of the symbols of voltages and currents: `v` and `i` for a circuit at work.
        per_volt: Whether one volt between two nodes drives the circuit, so that its voltages are ratios.
        graph: What is left after reduction, its rails among it.
    """

    setting: Setting
    ledger: Ledger
    truth: Truth
    context: str
    hertz: str = ""
    prefix: tuple[str, str] = ("v", "i")
    per_volt: bool = False
    fixed: dict[str, Expression] = field(default_factory=dict)
    graph: Graph = field(init=False)
    scale: float = field(init=False)

    def __post_init__(self) -> None:
        setting = self.setting
        rails = self._rails()
        # Parts that stand between two fixed nodes matter for their own current only.
        self.graph = Reduction(self.ledger, self.context, self.hertz).reduced(
            [*setting.branches, *self._loose_sources(rails)], rails, frozenset(self._busy()) - rails
        )
        self.scale = max((abs(value) for value in self.truth.solution.values()), default=0.0)

    @property
    def units(self) -> tuple[Unit, Unit]:
        """Units of voltages and currents; where one volt drives the circuit they are ratios and conductances."""
        return (RATIO, SIEMENS) if self.per_volt else (VOLT, AMPERE)

    # -- what fixes voltages -------------------------------------------------------------------------------------------
    def _rails(self) -> frozenset[str]:
        """Return the nodes that sources and amplifiers tie to earth."""
        ties = [(a, b) for a, b, _ in self.setting.holding()]
        rails, grown = {EARTH}, True
        while grown:
            grown = False
            waiting = list(ties)
            for windings in self.setting.transformers.values():
                if any(w.a in rails and w.b in rails for w in windings):
                    waiting += [(w.a, w.b) for w in windings]
            for a, b in waiting:
                if (a in rails) != (b in rails):
                    rails |= {a, b}
                    grown = True
        return frozenset(rails)

    def _busy(self) -> Iterator[str]:
        """Yield the nodes where something gives or takes current beside branches."""
        for a, b, _ in self.setting.giving():
            yield from (a, b)

    def _loose_sources(self, rails: frozenset[str]) -> list[Branch]:
        """Return the sources that hang between free nodes, as branches without impedance."""
        from tutor.circuits.explain.branches import Impedance

        return [
            Branch(s.reference, s.a, s.b, Impedance(), (s.reference,), f"`{s.reference}`", emf=s.value)
            for s in self.setting.sources
            if not (s.a in rails and s.b in rails)
        ]

    # -- looking up ----------------------------------------------------------------------------------------------------
    def voltage(self, node: str) -> Expression | None:
        """Return the formula or symbol of a node's voltage against earth, or None while it is not known."""
        if node == EARTH:
            return ZERO
        if node in self.fixed:
            return self.fixed[node]
        return self.ledger.known(self.voltage_key(node, EARTH))

    def difference(self, a: str, b: str) -> Expression | None:
        """Return the formula of a voltage between two nodes, or None while it is not known."""
        if a == b:
            return ZERO
        direct = self.ledger.known(self.voltage_key(a, b))
        if direct is not None:
            return direct
        turned = self.ledger.known(self.voltage_key(b, a))
        if turned is not None:
            return negative(turned)
        first, second = self.voltage(a), self.voltage(b)
        return None if first is None or second is None else minus(first, second)

    def current(self, branch: Branch) -> Expression | None:
        """Return the symbol of a branch's current from its first end to its second, or None."""
        native = next((one for one in self.graph.all if one.key == branch.key), branch)
        way = 1 if native.a == branch.a else -1
        for link, sign in self.same_current(native):
            known = self.ledger.known(self.current_key(link.key))
            if known is not None:
                return known if sign * way > 0 else negative(known)
        return None

    def same_current(self, branch: Branch) -> Iterator[tuple[Branch, int]]:
        """Yield every branch in the same row, with 1 or -1 for the way it is counted."""
        yield branch, 1
        for other in self.graph.all:
            for link in other.chain:
                if link.key == branch.key:
                    turned = 1 if link.a == branch.a else -1
                    yield other, turned
                    for mate in other.chain:
                        if mate.key != branch.key:
                            native = next((b for b in self.graph.all if b.key == mate.key), mate)
                            yield native, turned * (1 if native.a == mate.a else -1)
        for link in branch.chain:
            native = next((b for b in self.graph.all if b.key == link.key), link)
            yield native, 1 if native.a == link.a else -1

    def attached(self, node: str) -> list[Attached]:
        """Return what gives or takes current at a node beside the branches."""
        branches = {branch.key for branch in self.graph.all}
        sources = [(s.a, s.b, s.reference) for s in self.setting.sources if s.reference not in branches]
        found = []
        for a, b, reference in (*self.setting.giving(), *sources):
            if a != b:
                found += self._both(node, a, b, reference)
        return found

    def _both(self, node: str, a: str, b: str, reference: str) -> list[Attached]:
        key = self.current_key(reference)
        return [Attached(key, reference, sign) for end, sign in ((a, 1), (b, -1)) if end == node]

    def given_current(self, attached: Attached) -> Expression | None:
        """Return the current through an attached part from its first node to its second, if it is known."""
        for source in self.setting.currents:
            if source.reference == attached.reference:
                return source.value
        return self.ledger.known(attached.key)

    # -- keys and symbols ----------------------------------------------------------------------------------------------
    def voltage_key(self, a: str, b: str) -> Key:
        """Return the key of a voltage."""
        return (self.context, "v", a, b)

    def current_key(self, key: str) -> Key:
        """Return the key of a current."""
        return (self.context, "i", key)

    # -- proposing -----------------------------------------------------------------------------------------------------
    def propose_voltage(
        self,
        a: str,
        b: str,
        formula: Expression,
        method: Method,
        says: str,
        parts: Sequence[str],
        *,
        idea: str = "",
        weight: float = 1.0,
        wish: str = "",
        needs: tuple[str, ...] = (),
    ) -> bool:
        """Propose the voltage of one node against another."""
        if a == EARTH:
            a, b, formula = b, a, negative(formula)
        if b == EARTH and a in self.fixed:
            return False
        truth = self.truth.voltage(a, b)
        if is_zero(formula) or isinstance(formula, Name):
            return self._alias(a, b, formula, truth)
        v = self.prefix[0]
        wish = wish or (f"{v}_{a}" if b == EARTH else f"{v}_{a}_{b}")
        key = self.voltage_key(a, b)
        step = step_of(self.ledger.name_for(key, wish), method, says, formula, self.units[0], parts, idea=idea)
        return self.ledger.enter(Fact(key, step, needs, weight), truth, self.scale)

    def _alias(self, a: str, b: str, formula: Expression, truth: complex) -> bool:
        """Note that a node has the voltage of another; nothing need be said."""
        if b != EARTH or a in self.fixed or self.voltage(a) is not None:
            return False
        value = (
            0j if is_zero(formula) else self.ledger.values.get(formula.name if isinstance(formula, Name) else "", 0j)
        )
        if abs(value - truth) > 1e-9 * abs(truth) + 1e-12 * self.scale:
            self.ledger.rejected.append(f"voltage of {a}: {formula} against {truth}")
            return False
        self.fixed[a] = formula
        return True

    def propose_current(
        self,
        branch: Branch,
        formula: Expression,
        method: Method,
        says: str,
        *,
        idea: str = "",
        weight: float = 1.0,
    ) -> bool:
        """Propose the current of a branch from its first end to its second."""
        rows = [branch, *(link for link, _ in self.same_current(branch))]
        # All parts of a row have one current; it is called after the first of them.
        for link in rows:
            if self.ledger.names.get(self.current_key(link.key)) and link.key != branch.key:
                return False
        return self._enter_current(branch.key, branch.parts, formula, method, says, self._through(branch), idea, weight)

    def propose_attached(
        self, reference: str, formula: Expression, method: Method, says: str, parts: Sequence[str], *, idea: str = ""
    ) -> bool:
        """Propose the current through a source, a valve or a winding."""
        if reference == DRIVE:
            return False
        name, _, winding = reference.partition(".")
        part = self.setting.network.part(name)
        form = part.current_of(winding) if winding else part.current(self.truth.equations)  # type: ignore[attr-defined]  # of a transformer
        return self._enter_current(reference, parts, formula, method, says, self.truth.form(form), idea, 1.0)

    def _enter_current(
        self,
        key: str,
        parts: Sequence[str],
        formula: Expression,
        method: Method,
        says: str,
        truth: complex | None,
        idea: str,
        weight: float,
    ) -> bool:
        if isinstance(formula, Name) and formula.name in self.ledger.facts:
            weight = 0.5
        label = key if key.isidentifier() else key.replace(".", "_") if "(" not in key else parts[0]
        name = self.ledger.name_for(self.current_key(key), f"{self.prefix[1]}_{label}")
        step = step_of(name, method, says, formula, self.units[1], parts, idea=idea)
        return self.ledger.enter(Fact(self.current_key(key), step, (), weight), truth, self.scale)

    def _through(self, branch: Branch) -> complex | None:
        """Return a branch's current by the full solution, or None where no single part carries it."""
        if branch.chain:
            return self._through(branch.chain[0])
        if branch.sides:
            sides = [self._through(side) for side in branch.sides]
            return None if any(side is None for side in sides) else sum((s for s in sides if s is not None), 0j)
        reference = branch.key.partition(" ")[0]
        part = self.setting.network.part(reference)
        form = part.current(self.truth.equations)
        if branch.key.endswith(" lower"):
            form = part.absorbed(self.truth.equations)[1][1]
        value = self.truth.form(form)
        first = self.setting.node(part.terminals()[0]) if " " not in branch.key else branch.a
        if " " in branch.key:
            native = next(b for b in self.setting.branches if b.key == branch.key)
            first = native.a
        return value if branch.a == first else -value

    # -- reasoning -----------------------------------------------------------------------------------------------------
    def work(self, rules: Sequence[Callable[[Reasoner], bool]]) -> None:
        """Apply rules until nothing new comes out."""
        for _ in range(MOST_ROUNDS):
            told = [rule(self) for rule in rules]  # every one has its turn
            if not any(told):
                return


Symbols = Mapping[str, Expression]
