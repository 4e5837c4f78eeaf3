"""Rounding: who reckons on with the figures that are shown must still be right.

Earlier asks are no matter here: the member's own figures are carried on. Derived values are shown with three figures,
in the question or in its steps, and an answer made from those figures has to lie within the tolerance.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tutor.circuits.expressions import Expression, Name, names_in
from tutor.questions.arrays import array_value
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.showing import FIGURES
from tutor.questions.template import Ask, Template
from tutor.questions.text import spans_in


def check_rounding(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every ask that the figures shown for derived values would carry out of its tolerance."""
    import numpy as np

    template, values = evidence.template, evidence.all_values()
    shown = values | {name: rounded(values[name], FIGURES) for name in template.derived}
    for ask in template.asks:
        if ask.kind != "number" or ask.tolerance is None or not evidence.draws:
            continue
        key = evidence.values(ask.name)
        width = np.maximum(ask.tolerance.relative * np.abs(key), ask.tolerance.absolute) * (1 + 1e-9)
        for way in _ways(template, ask):
            outside = np.abs(array_value(way, shown, evidence.draws) - key) > width
            if outside.any():
                yield finding("tolerance", ("ask", ask.name, "tolerance"), _message(evidence, way, outside))
                break


def _message(evidence: Evidence, way: Expression, outside: Any) -> str:
    names = ", ".join(name for name in names_in(way) if name in evidence.template.derived)
    serial = int(evidence.serials[evidence.admitted][outside][0])
    return (
        f"with {names} rounded to {FIGURES} figures, as shown, a right answer is marked wrong on {int(outside.sum())} "
        f"of {evidence.draws} draws (the first is serial {serial}); exclude them by a condition or widen the tolerance"
    )


def _ways(template: Template, ask: Ask) -> Iterator[Expression]:
    """Yield the formulas by which an ask may be worked out from derived values: its own, and those of its steps."""
    ways = [ask.formula] if ask.formula is not None else []
    for step in template.solution:
        for span in spans_in(step):
            if Name(ask.name) in span.members:
                ways.extend(member for member in span.members if member != Name(ask.name))
    yield from (way for way in ways if any(name in template.derived for name in names_in(way)))


def rounded(values: Any, figures: int) -> Any:
    """Return an array rounded to significant figures, shape (draws,)."""
    import numpy as np

    with np.errstate(all="ignore"):
        size = np.where(values != 0, np.floor(np.log10(np.abs(np.where(values != 0, values, 1.0)))), 0.0)
        scale = 10.0 ** (size - figures + 1)
        return np.round(values / scale) * scale
