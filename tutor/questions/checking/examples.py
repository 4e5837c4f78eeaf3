"""Worked examples from outside: with the values pinned, the template must give the printed answers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tutor.quantities import QuantityError, Reading, read_quantity, show
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.compiling import ADMITTED
from tutor.questions.draw import DIRECTION_OF
from tutor.questions.template import Ask, Example


def check_examples(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every example that does not come out as printed."""
    for index, example in enumerate(evidence.template.examples):
        yield from _check(evidence, index, example)


def _check(evidence: Evidence, index: int, example: Example) -> Iterator[Finding]:
    path = ("examples", index)
    compiled = evidence.compiled
    missing = [name for name in compiled.base if name not in example.values]
    if missing:
        yield finding(
            "examples", (*path, "values"), f"{', '.join(missing)} is not pinned; an example pins every drawn value"
        )
        return
    try:
        results = compiled.function("values")(*(example.values[name].magnitude for name in compiled.base))
    except (ArithmeticError, ValueError) as error:
        yield finding("examples", path, f"the values give no answer ({error})")
        return
    computed = dict(zip(compiled.outputs, results, strict=True))
    computed.pop(ADMITTED)
    for name, printed in example.answers.items():
        message = _differs(evidence.template.ask(name), computed.get(name), printed)
        if message:
            yield finding("examples", (*path, "answers", name), f"{message} (source: {example.source})")


def _differs(ask: Ask, value: float | None, printed: str) -> str:
    """Return how a computed value differs from the printed one, or "" when it rounds to it."""
    if value is None:
        return "this ask has no value that an example could pin"
    if ask.kind == "change":
        return "" if DIRECTION_OF[value] == printed else f"it {DIRECTION_OF[value]}, and {printed!r} is printed"
    try:
        reading = read_quantity(printed, ask.printed)
    except QuantityError as error:
        return str(error)
    if reading.quantity.unit.dimension != ask.unit.dimension:
        return f"found {printed!r}, a {reading.quantity.unit.dimension.name}; a {ask.unit.dimension.name} is asked"
    if not rounds_to(value, reading):
        return f"it gives {show(value, ask.unit, 6)}, and {printed} is printed"
    return ""


def rounds_to(value: float, reading: Reading) -> bool:
    """Tell whether a value rounds to a printed figure: within half of its last place."""
    return math.isfinite(value) and abs(value - reading.quantity.magnitude) <= 0.5 * reading.last_figure * (1 + 1e-6)
