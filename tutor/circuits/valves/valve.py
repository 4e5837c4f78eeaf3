"""A valve for the solver: its law and its limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tutor.circuits.valves.errors import UnknownValveError
from tutor.circuits.valves.limits import Limits
from tutor.circuits.valves.models import (
    SHARE_OF_GRID,
    Diode,
    GridCurrent,
    KorenTriode,
    Law,
    PowerTriode,
    ReefmanPentode,
)

LAWS: dict[str, type[KorenTriode] | type[PowerTriode] | type[ReefmanPentode] | type[Diode]] = {
    "Koren triode": KorenTriode,
    "power triode": PowerTriode,
    "Reefman pentode": ReefmanPentode,
    "diode": Diode,
}


WITHOUT_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve at work.

    Attributes:
        law: How its currents follow from its voltages.
        limits: Where valve and law may be asked; without them no rating is ever exceeded.
        name: Its designation, for messages.
    """

    law: Law
    limits: Limits = WITHOUT_LIMITS
    name: str = ""

    def with_emission(self, factor: float) -> Valve:
        """Return the valve with a cathode that gives so much of its current: 1 when new, 0 with its heater open."""
        return replace(self, law=self.law.scaled(factor))


def law_called(name: str, parameters: Mapping[str, float]) -> Law:
    """Return a law by its name; a fitted triode or pentode gets the grid current that goes with its cathode.

    Raises:
        UnknownValveError: If there is no law of this name.
        LawError: If a parameter is none that a valve could have.
    """
    if name not in LAWS:
        raise UnknownValveError(name, "law of a valve", LAWS)
    values = dict(parameters)
    kind = LAWS[name]
    if kind is Diode:
        return Diode(**values)
    if kind is PowerTriode:
        return PowerTriode(**values, grid=GridCurrent(SHARE_OF_GRID * values["k"] * values["mu"] ** 1.5))
    grid = GridCurrent(SHARE_OF_GRID * 2.0 / values["kg1"])
    if kind is KorenTriode:
        return KorenTriode(**values, grid=grid)
    beam = bool(values.pop("beam"))
    return ReefmanPentode(beam=beam, grid=grid, **values)
