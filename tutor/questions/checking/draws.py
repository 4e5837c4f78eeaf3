"""Draws and answers: that values can be drawn, and that the keys are finite, sensible and not always the same."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.quantities import (
    AMPERE,
    FARAD,
    HENRY,
    HERTZ,
    OHM,
    SECOND,
    SIEMENS,
    VOLT,
    WATT,
    Dimension,
    show,
)
from tutor.questions.checking.findings import Evidence, Finding, finding

MOST_REFUSED = 0.9
"""Share of draws that `require` may refuse."""
FEWEST_DISTINCT = 5

SENSIBLE: dict[Dimension, tuple[float, float]] = {
    VOLT.dimension: (1e-7, 1e5),
    AMPERE.dimension: (1e-12, 1e3),
    OHM.dimension: (1e-3, 1e12),
    WATT.dimension: (1e-15, 1e5),
    HERTZ.dimension: (1e-3, 1e9),
    FARAD.dimension: (1e-14, 1.0),
    HENRY.dimension: (1e-9, 1e4),
    SECOND.dimension: (1e-10, 1e6),
    SIEMENS.dimension: (1e-9, 1e3),
}
"""What can occur in valve audio, generously; common practice, no source."""


def check_draws(evidence: Evidence) -> Iterator[Finding]:
    """Yield findings about conditions that refuse too much, and draws without a value."""
    batch = evidence.batch
    failed = int((~evidence.admitted).sum())
    if failed:
        first = int(evidence.serials[~evidence.admitted][0])
        message = (
            f"{failed} serials find no values in 200 draws (the first is {first}); widen the values or the conditions"
        )
        yield finding("draws", ("require",), message)
    elif batch.refused_share > MOST_REFUSED:
        message = (
            f"{batch.refused_share:.0%} of the draws are refused; {MOST_REFUSED:.0%} are the most; narrow the values"
        )
        yield finding("draws", ("require",), message)
    if batch.valueless:
        message = f"{batch.valueless} draws have a value that is not finite; exclude them with a condition"
        yield finding("draws", ("require",), message)


def check_answers(evidence: Evidence) -> Iterator[Finding]:
    """Yield findings about keys out of any sensible range, or hardly ever different."""
    import numpy as np

    for ask in evidence.template.asks:
        if ask.options or ask.name not in evidence.batch.values:
            continue
        values = evidence.values(ask.name)
        if not len(values):
            continue
        path = ("ask", ask.name)
        if ask.kind == "change":
            continue
        low, high = SENSIBLE.get(ask.unit.dimension, (1e-9, 1e9))
        outside = values[(values != 0) & ((np.abs(values) < low) | (np.abs(values) > high))]
        if len(outside):
            message = (
                f"{len(outside)} of {len(values)} keys are like {show(float(outside[0]), ask.unit)}; is the unit right?"
            )
            yield finding("answers", path, message)
        distinct = len(np.unique([float(f"{value:.3g}") for value in values]))
        wanted = min(FEWEST_DISTINCT, len(values))
        if distinct < wanted and ask.kind in ("number", "reading"):
            message = f"only {distinct} different keys in {len(values)} draws; widen the values"
            yield finding("answers", path, message)
