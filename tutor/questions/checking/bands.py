"""Tolerances and slips: wide enough for honest rounding, narrow enough to tell a slip from the truth."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tutor.quantities import DECIBEL, DEGREE
from tutor.questions.arrays import array_value
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.compiling import preferred_array
from tutor.questions.template import Ask

NARROWEST, WIDEST = 0.005, 0.10
"""Relative half-widths: three-figure rounding needs 0.5 %; 10 % is for values read off a curve."""
NARROWEST_DECIBELS, WIDEST_DECIBELS = 0.1, 1.0
NARROWEST_DEGREES, WIDEST_DEGREES = 0.5, 5.0
FEWEST_TELLING = 0.5
"""Share of draws on which a slip must lie two half-widths or more from the key."""


def check_tolerances(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every tolerance that no honest answer meets, or that lets wrong ones pass."""
    import numpy as np

    for ask in evidence.template.asks:
        if ask.tolerance is None or ask.kind in ("change", "preferred", "formula"):
            continue
        values = evidence.values(ask.name)
        widths = np.array([ask.tolerance.half_width(float(value)) for value in values])
        if not len(values):
            continue
        low, high, shown = _limits(ask)
        sizes = widths if ask.unit.kind else widths / np.maximum(np.abs(values), 1e-300)
        path = ("ask", ask.name, "tolerance")
        # How finely paper can be read is no matter of rounding: a reading is as near as half a small division.
        if ask.kind != "reading" and sizes.min() < low * (1 - 1e-9):
            yield finding(
                "tolerance", path, f"{ask.tolerance} is too narrow for rounded figures; {shown[0]} is the least"
            )
        # An absolute band near zero is wide against the value; the median tells whether that is the rule.
        if float(np.median(sizes)) > high * (1 + 1e-9):
            yield finding("tolerance", path, f"{ask.tolerance} lets wrong answers pass; {shown[1]} is the most")


def _limits(ask: Ask) -> tuple[float, float, tuple[str, str]]:
    if ask.unit == DECIBEL:
        return NARROWEST_DECIBELS, WIDEST_DECIBELS, ("0.1 dB", "1 dB")
    if ask.unit == DEGREE:
        return NARROWEST_DEGREES, WIDEST_DEGREES, ("0.5°", "5°")
    return NARROWEST, WIDEST, ("0.5 %", "10 %")


def check_slips(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every slip that is seldom told from the key or from another slip."""
    for ask in evidence.template.asks:
        if ask.kind == "change":
            continue
        for name, told in telling_shares(evidence, ask).items():
            if told < FEWEST_TELLING:
                message = (
                    f"its value can be told from the key and the other slips on {told:.0%} of the draws only; "
                    f"{FEWEST_TELLING:.0%} is the least; narrow the values or drop it"
                )
                yield finding("slips", ("ask", ask.name, "slips", name), message)


def telling_shares(evidence: Evidence, ask: Ask) -> dict[str, float]:
    """Return for each slip of an ask the share of draws on which it is named."""
    return {name: float(told.mean()) for name, told in telling_draws(evidence, ask).items()}


def telling_draws(evidence: Evidence, ask: Ask) -> dict[str, Any]:
    """Return for each slip of an ask on which draws it is named, shape (draws,); the twin of `telling` over arrays."""
    import numpy as np

    formulas = [(slip.name, slip.formula) for slip in ask.slips if slip.formula is not None]
    if not formulas or ask.tolerance is None or ask.name not in evidence.batch.values or not evidence.draws:
        return {}
    key = evidence.values(ask.name)
    values = evidence.all_values()
    wrong = {name: _slip_values(ask, array_value(formula, values, evidence.draws)) for name, formula in formulas}
    telling: dict[str, Any] = {}
    for name, value in wrong.items():
        width = _half_widths(ask, key)
        with np.errstate(invalid="ignore"):
            apart = np.isfinite(value) & (np.abs(value - key) >= 2 * np.maximum(width, np.abs(key) * 1e-9))
            for other, rival in wrong.items():
                if other != name:
                    band = np.maximum(_half_widths(ask, value), _half_widths(ask, rival))
                    apart &= ~(np.abs(value - rival) <= band)
        telling[name] = apart
    return telling


def _slip_values(ask: Ask, values: Any) -> Any:
    """Return what slips give, shape (draws,): for a preferred ask the preferred value that would be chosen."""
    if ask.kind != "preferred":
        return values
    return preferred_array(ask.series, ask.rounding, values)


def _half_widths(ask: Ask, values: Any) -> Any:
    import numpy as np

    assert ask.tolerance is not None
    return np.maximum(ask.tolerance.relative * np.abs(values), ask.tolerance.absolute)
