"""Names that stand for a circuit's own quantities in conditions and texts: `power_R1`, `current_R1`, `voltage_tap`."""

from __future__ import annotations

from tutor.quantities import AMPERE, VOLT, WATT, Unit

IMPLICIT_UNITS: dict[str, Unit] = {"power": WATT, "current": AMPERE, "voltage": VOLT}
"""First word of such a name → its unit."""
