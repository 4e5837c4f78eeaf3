"""Safety: what holds more than 50 V ac or 120 V dc shows a caution."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.quantities import VOLT, Quantity, show
from tutor.questions.checking.findings import Evidence, Finding, finding

MOST_AC, MOST_DC = 50.0, 120.0
"""Volts up to which no caution is asked for.

Source: the limits of voltage band I in IEC 60449 (50 V ac, 120 V dc between conductors), from memory.
"""


def check_caution(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for a template with a dangerous voltage and without a caution."""
    template = evidence.template
    if template.caution:
        return
    most = MOST_AC if template.analysis == "ac" else MOST_DC
    for name, volts in _voltages(evidence):
        if volts > most:
            message = (
                f"{name} is up to {show(volts, VOLT)}; above {MOST_AC:g} V ac or {MOST_DC:g} V dc a caution is shown, "
                "such as `caution: high-voltage`"
            )
            yield finding("caution", ("caution",), message)
            return


def _voltages(evidence: Evidence) -> Iterator[tuple[str, float]]:
    """Yield every voltage of a template with its largest size over the draws."""
    import numpy as np

    template = evidence.template
    for name, unit in template.units.items():
        if unit.dimension == VOLT.dimension and name in evidence.batch.values and evidence.draws:
            yield name, float(np.abs(evidence.values(name)).max())
    if template.network is not None:
        for part, parameter in template.network.parameters().values():
            if parameter.unit == VOLT and isinstance(parameter.value, Quantity):
                yield part.reference, abs(parameter.value.magnitude)
