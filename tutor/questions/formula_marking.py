"""Marking a formula: the same as the key, a known wrong one, one that cannot be by its units, or another.

First numbers: both formulas at many points within the bounds of the drawn values; then exactly, as far as both are
quotients of polynomials (or roots of such).
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Expression, dimension_of, evaluate, names_in, read_expression
from tutor.circuits.expressions.identity import identical
from tutor.drawing.maths import plain
from tutor.quantities import coherent_unit, read_unit, show
from tutor.questions.generic_slips import GENERIC_SLIPS
from tutor.questions.question import DrawnAsk, DrawnSlip
from tutor.questions.text import Filled
from tutor.questions.typed_formula import listed
from tutor.questions.words import with_article

POINTS = 24
"""Points at which formulas are compared in numbers."""
FEWEST = 8
"""Of which the key must have a value at so many."""
AGREEMENT = 1e-8
BEYOND = 2.0
"""By what factor points may lie outside the drawn values: a formula is more than its serial."""


def names_of(ask: DrawnAsk) -> tuple[str, ...]:
    """Return the names that a formula may use."""
    return tuple(ask.detail["names"])


def same_formula(ask: DrawnAsk, one: Expression, other: Expression) -> bool:
    """Tell whether two formulas over the ask's names are the same."""
    pairs = [(_value(one, point), _value(other, point)) for point in points_of(ask.detail["names"])]
    compared = [(a, b) for a, b in pairs if b is not None]
    if len(compared) < FEWEST or not all(a is not None and _close(a, b) for a, b in compared):
        return False
    return identical(one, other) is not False


def points_of(names: Mapping[str, Mapping[str, float]]) -> Iterator[dict[str, float]]:
    """Yield the points at which formulas are compared; they hang on names and bounds only.

    Args:
        names: Name → its lowest and highest drawn value under `low` and `high`.
    """
    for number in range(POINTS):
        yield {name: _drawn(name, number, bounds["low"], bounds["high"]) for name, bounds in names.items()}


def _drawn(name: str, number: int, low: float, high: float) -> float:
    share = int.from_bytes(hashlib.sha256(f"{number}/{name}".encode()).digest()[:6], "big") / 2**48
    if low <= 0:
        return low + share * (high - low)
    low, high = low / BEYOND, high * BEYOND
    return low * math.exp(share * math.log(high / low))


def _value(expression: Expression, point: Mapping[str, float]) -> float | None:
    try:
        return evaluate(expression, point)
    except ExpressionError:
        return None


def _close(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=AGREEMENT)


def unit_fault(ask: DrawnAsk, expression: Expression) -> str:
    """Return what is wrong with a formula's units, as a sentence, or ""."""
    dimensions = {name: read_unit(row["unit"]).unit.dimension for name, row in ask.detail["names"].items()}
    try:
        found = dimension_of(expression, dimensions)
    except ExpressionError as error:
        return f"It cannot be, by its units: {error.reason}."
    wanted = ask.key_unit
    if found == wanted.dimension:
        return ""
    return f"By its units this is {with_article(found.name)}; {with_article(wanted.dimension.name)} is wanted."


def named_formula(ask: DrawnAsk, expression: Expression) -> tuple[str, Filled]:
    """Return name and sentence of a known wrong formula; two empty ones where it is none."""
    slip = _own_slip(ask, expression)
    if slip is not None:
        return slip.name, slip.says
    key = read_expression(str(ask.value))
    for generic in GENERIC_SLIPS:
        if not generic.fits(ask.key_unit):
            continue
        pairs = [(_value(key, p), _value(expression, p)) for p in points_of(ask.detail["names"])]
        if all(a is not None and b is not None and a != 0 and _close(generic.wrong(a), b) for a, b in pairs):
            return generic.name, (generic.says,)
    return "", ()


def _own_slip(ask: DrawnAsk, expression: Expression) -> DrawnSlip | None:
    for slip in ask.slips:
        if slip.tells and same_formula(ask, expression, read_expression(slip.formula)):
            return slip
    return None


def what_it_gives(ask: DrawnAsk, expression: Expression, values: Mapping[str, float]) -> str:
    """Return what to say of a wrong formula that nobody foresaw: what it leaves out, and what it gives."""
    says = []
    used = names_in(expression)
    missing = [name for name in names_in(read_expression(str(ask.value))) if name not in used]
    if missing:
        verb = "does" if len(missing) == 1 else "do"
        says.append(f"{listed(missing)} {verb} not come into it: can that be?")
    value = _value(expression, values)
    if value is not None:
        unit = coherent_unit(ask.key_unit.dimension)
        says.append(f"With the values given it makes {show(value, unit, 3)}; ask yourself whether the circuit could.")
    says.append("Try it with simple values, such as two equal ones, or with one of them nothing or endless.")
    return " ".join(says)


def read_back(expression: Expression) -> str:
    """Return a formula as it was read, on one line."""
    return plain(expression)
