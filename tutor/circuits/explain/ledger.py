"""The ledger of an explanation: every fact found so far, its formula, what it rests on, and what it costs to say.

A formula is written over names; a name is a given value or a fact of the ledger. What must be said before a fact is
therefore the closure of its formula. Of several ways to the same fact the ledger keeps the one with least to say.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from tutor.circuits.errors import ExpressionError
from tutor.circuits.explain.arithmetic import value_of
from tutor.circuits.explain.step import Method, Step
from tutor.circuits.expressions import Expression, Name, names_in
from tutor.quantities import Unit

AGREEMENT = 1e-9
"""Largest relative difference between a step and the full solution."""
NOUGHT = 1e-12
"""Beside the largest voltage or current of the circuit this is nothing."""

Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that a step can state.

    Attributes:
        key: What it is about.
        step: The step that states it.
        needs: Names that it rests on beside those of its formula.
        weight: How much saying it costs.
        unknowns: Names in its formula that are not known yet, but tied by it.
    """

    key: Key
    step: Step
    needs: tuple[str, ...]
    weight: float
    unknowns: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The symbol."""
        return self.step.name

    @property
    def premises(self) -> tuple[str, ...]:
        """Every name that it rests on."""
        return (*(n for n in names_in(self.step.formula) if n not in self.unknowns), *self.needs)


@dataclass
class Ledger:
    """Facts by name and by what they are about.

    Attributes:
        values: Value of every given name and fact.
        stated: Names of facts that were said already; they cost nothing more.
        rejected: Facts that disagreed with the full solution: a rule that is wrong. Tests keep this empty.
    """

    values: dict[str, complex]
    facts: dict[str, Fact] = field(default_factory=dict)
    names: dict[Key, str] = field(default_factory=dict)
    stated: set[str] = field(default_factory=set)
    rejected: list[str] = field(default_factory=list)
    reserved: set[str] = field(default_factory=set)

    def name_for(self, key: Key, wish: str) -> str:
        """Return the symbol of a key: the wished one, or that with a number where it is taken."""
        if key in self.names:
            return self.names[key]
        wish = re.sub(r"\W+", "_", wish).strip("_") or "x"
        name, count = wish, 2
        while name in self.values or name in self.names.values() or name in self.reserved:
            name, count = f"{wish}_{count}", count + 1
        self.names[key] = name
        return name

    def known(self, key: Key) -> Name | None:
        """Return the symbol of a fact, if it has been found."""
        name = self.names.get(key)
        return Name(name) if name is not None and name in self.facts else None

    def enter(self, fact: Fact, truth: complex | None, scale: float) -> bool:
        """Enter a fact, if it is new or comes cheaper than before.

        Args:
            fact: The fact; its step's value is worked out here.
            truth: Its value by the full solution, or None where that has none.
            scale: The largest value of its kind in the circuit, beside which rounding is nothing.

        Returns:
            Whether the ledger has changed.
        """
        old = self.facts.get(fact.name)
        if old is not None and old.step.formula == fact.step.formula:
            return False
        closure = self.closure(fact.premises)
        if fact.name in closure:
            return False
        cost = self._weight(closure) + fact.weight
        if old is not None and cost >= self._weight(self.closure(old.premises)) + old.weight - 1e-9:
            return False
        try:
            value = value_of(fact.step.formula, self.values)
        except ExpressionError:
            return False
        if truth is not None and abs(value - truth) > AGREEMENT * abs(truth) + NOUGHT * scale:
            self.rejected.append(f"{fact.name}: {value} against {truth}; {fact.step.says}")
            return False
        self.facts[fact.name] = replace(fact, step=replace(fact.step, value=value))
        self.values[fact.name] = value
        return True

    def closure(self, names: Iterable[str]) -> set[str]:
        """Return every fact that names rest on, themselves included."""
        found: set[str] = set()
        waiting = [name for name in names if name in self.facts]
        while waiting:
            name = waiting.pop()
            if name in found:
                continue
            found.add(name)
            waiting.extend(p for p in self.facts[name].premises if p in self.facts)
        return found

    def _weight(self, names: Iterable[str]) -> float:
        return sum(self.facts[name].weight for name in names if name not in self.stated)

    def cost(self, names: Sequence[str]) -> float:
        """Return what it costs to state some facts."""
        return self._weight(self.closure(names))

    def told(self, names: Iterable[str]) -> list[Step]:
        """Return the steps that lead to some names, premises first; what was said before is left out."""
        steps: list[Step] = []
        for name in names:
            self._tell(name, steps)
        return steps

    def _tell(self, name: str, steps: list[Step]) -> None:
        fact = self.facts.get(name)
        if fact is None or name in self.stated:
            return
        self.stated.add(name)
        for premise in fact.premises:
            self._tell(premise, steps)
        steps.append(fact.step)


def step_of(
    name: str,
    method: Method,
    says: str,
    formula: Expression,
    unit: Unit,
    parts: Sequence[str],
    *,
    idea: str = "",
) -> Step:
    """Return a step whose value the ledger works out."""
    return Step(name, method, says, formula, 0j, unit, tuple(dict.fromkeys(parts)), idea)
