"""Follow-through: a later value worked out again from the member's own earlier ones.

One slip costs one mark, not five: what was done rightly with a wrong figure is right. The member's figure is taken as
typed and anywhere within its last place, so that a rounded intermediate costs nothing; a step that was left out is
worked out on the way. Refused when the figure is impossible or makes the step trivial.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import evaluate, read_expression
from tutor.quantities import AMPERE, FARAD, HENRY, HERTZ, OHM, SECOND, PreferredValueError, Reading, Tolerance
from tutor.questions.compiling import ROUNDING
from tutor.questions.question import DrawnAsk, Question
from tutor.questions.words import with_article

_NEVER_NEGATIVE = {unit.dimension for unit in (OHM, FARAD, HENRY, HERTZ, SECOND)}
MOST_CORNERS = 3
"""Earlier values whose last places are taken into account together."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What a member's own earlier answers make of a later ask.

    Attributes:
        low, high: The band of values that follow from them, before tolerance.
        value: What follows from the figures as typed.
        values: The named values with the member's own in place, for working out slips again.
        used: The member's own asks that count.
        refused: Why they are not carried on, or "".
    """

    low: float
    high: float
    value: float
    values: Mapping[str, float]
    used: tuple[str, ...]
    refused: str = ""

    def accepts(self, answer: float, tolerance: Tolerance) -> bool:
        """Tell whether an answer follows from the member's own earlier values."""
        if self.refused:
            return False
        if self.low <= answer <= self.high:
            return True
        return any(tolerance.accepts(end, answer) for end in (self.low, self.high, self.value))


def carry(question: Question, ask: DrawnAsk, own: Mapping[str, Reading]) -> Carried | None:
    """Work an ask out again from the member's own earlier answers.

    Args:
        question: The question.
        ask: The later ask.
        own: Ask → reading, for earlier answers that could be read with the right kind of unit.

    Returns:
        None when the ask rests on no earlier answer of the member's.
    """
    used = behind(question, ask, own)
    if not used or ask.expression is None:
        return None
    typed = {name: own[name].quantity.magnitude for name in used}
    try:
        values = _worked_out(question, ask, typed)
        value = values[ask.name]
    except (ExpressionError, PreferredValueError):
        values = {**question.values, **typed}
        return Carried(math.nan, math.nan, math.nan, values, used, "no value follows from it")
    refused = next((reason for name in used if (reason := _impossible(question.ask(name), values))), "")
    ends = [value, *_corners(question, ask, typed, own)]
    return Carried(min(ends), max(ends), value, values, used, refused or _trivial(value, typed))


def behind(question: Question, ask: DrawnAsk, own: Mapping[str, Reading]) -> tuple[str, ...]:
    """Return the member's own earlier asks on which an ask rests: those that it uses, or that a step left out uses."""
    found: dict[str, None] = {}
    for name in question.uses(ask):
        names = (name,) if name in own else behind(question, question.ask(name), own)
        found.update(dict.fromkeys(names))
    return tuple(found)


def _worked_out(question: Question, ask: DrawnAsk, typed: Mapping[str, float]) -> dict[str, float]:
    """Return all values with some typed, the steps between them and the ask worked out again, and the ask itself.

    Raises:
        ExpressionError: If one of them has no value.
        PreferredValueError: If one of them is to be a preferred value and cannot be.
    """
    values: dict[str, float] = {**question.values, **typed}
    changed = set(typed)
    for step in (*question.asks_before(ask), ask):
        if step.name in typed or step.expression is None or changed.isdisjoint(question.uses(step)):
            continue
        value = evaluate(step.expression, values)
        if step.kind == "preferred" and step is not ask:
            value = ROUNDING[step.rounding](step.series, value)
        values[step.name] = value
        changed.add(step.name)
    return values


def _corners(question: Question, ask: DrawnAsk, typed: Mapping[str, float], own: Mapping[str, Reading]) -> list[float]:
    """Return the ask's value with the typed figures at either end of their last places."""
    found = []
    names = list(typed)[:MOST_CORNERS]
    for signs in itertools.product((-0.5, 0.5), repeat=len(names)):
        moved = {name: typed[name] + sign * own[name].last_figure for name, sign in zip(names, signs, strict=True)}
        try:
            found.append(_worked_out(question, ask, {**typed, **moved})[ask.name])
        except (ExpressionError, PreferredValueError):
            continue
    return found


def _impossible(ask: DrawnAsk, values: Mapping[str, float]) -> str:
    """Return why a member's own value cannot be, or ""."""
    value = values[ask.name]
    if ask.key_unit.dimension in _NEVER_NEGATIVE and value <= 0:
        return f"{with_article(ask.key_unit.name)} is more than nothing"
    if ask.limit is not None and abs(value) > ask.limit * (1 + 1e-9):
        what = "current" if ask.key_unit.dimension == AMPERE.dimension else ask.key_unit.name
        return f"the supply cannot give such a {what}"
    if ask.possible:
        try:
            met = evaluate(read_expression(ask.possible), values)
        except ExpressionError:
            met = 0.0
        if not met:
            return "such a value cannot be in this circuit"
    return ""


def _trivial(value: float, typed: Mapping[str, float]) -> str:
    """Return why a step is no work any more with the member's own values, or ""."""
    if 0 in typed.values():
        return "nothing is left to work out from nothing"
    if value == 0:
        return "nothing is left of the step"
    return ""
