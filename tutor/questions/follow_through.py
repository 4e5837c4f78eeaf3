"""Follow-through: a later value worked out again from the member's own earlier ones.

One slip costs one mark, not five: what was done rightly with a wrong figure is right. The member's figure is taken as
typed and anywhere within its last place, so that a rounded intermediate costs nothing. Refused when the figure is
impossible or makes the step trivial.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Expression, evaluate, read_expression
from tutor.quantities import AMPERE, FARAD, HENRY, HERTZ, OHM, SECOND, Reading, Tolerance
from tutor.questions.question import DrawnAsk, Question

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
        refused: Why they are not carried on, or "".
    """

    low: float
    high: float
    value: float
    values: Mapping[str, float]
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
        None when the ask uses no earlier answer of the member's.
    """
    used = [name for name in question.uses(ask) if name in own]
    if not used or ask.expression is None:
        return None
    values = dict(question.values) | {name: own[name].quantity.magnitude for name in used}
    refused = next((reason for name in used if (reason := _impossible(question.ask(name), values))), "")
    try:
        value = evaluate(ask.expression, values)
        ends = [value, *_corners(ask.expression, values, used, own)]
    except ExpressionError:
        return Carried(math.nan, math.nan, math.nan, values, "no value follows from it")
    if not refused:
        refused = _trivial(value, values, used)
    return Carried(min(ends), max(ends), value, values, refused)


def _corners(
    expression: Expression, values: Mapping[str, float], used: list[str], own: Mapping[str, Reading]
) -> list[float]:
    found = []
    for signs in itertools.product((-0.5, 0.5), repeat=min(len(used), MOST_CORNERS)):
        moved = dict(values)
        for name, sign in zip(used, signs, strict=False):
            moved[name] = values[name] + sign * own[name].last_figure
        try:
            found.append(evaluate(expression, moved))
        except ExpressionError:
            continue
    return found


def _impossible(ask: DrawnAsk, values: Mapping[str, float]) -> str:
    """Return why a member's own value cannot be, or ""."""
    value = values[ask.name]
    if ask.key_unit.dimension in _NEVER_NEGATIVE and value <= 0:
        return f"a {ask.key_unit.dimension.name} is more than nothing"
    if ask.limit is not None and abs(value) > ask.limit * (1 + 1e-9):
        what = "current" if ask.key_unit.dimension == AMPERE.dimension else ask.key_unit.dimension.name
        return f"the supply cannot give such a {what}"
    if ask.possible:
        try:
            met = evaluate(read_expression(ask.possible), values)
        except ExpressionError:
            met = 0.0
        if not met:
            return "such a value cannot be in this circuit"
    return ""


def _trivial(value: float, values: Mapping[str, float], used: list[str]) -> str:
    """Return why a step is no work any more with the member's own values, or ""."""
    if any(values[name] == 0 for name in used):
        return "nothing is left to work out from nothing"
    if value == 0:
        return "nothing is left of the step"
    return ""
