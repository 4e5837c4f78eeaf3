"""What is known of a type of valve: the facts of its sheets, and the laws fitted to them.

Everything is in SI units. `seen` says how far a figure can be trusted: `transcription` (read in public transcriptions
of the sheet, not on the sheet itself), `curve` (read there off a printed curve) or `memory`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tutor.circuits.valves.errors import UnknownValveError
from tutor.circuits.valves.limits import Limits

if TYPE_CHECKING:
    from tutor.circuits.valves.models import Law
    from tutor.circuits.valves.valve import Valve


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPoint:
    """One column of a sheet's typical characteristics, or one drop of a rectifier.

    Attributes:
        name: Its name in errors of fits, unique in its system.
        anode_voltage: Cathode to anode [V]; of a rectifier the drop.
        anode_current: In A.
        grid_voltage: Cathode to grid [V], None for a rectifier.
        screen_voltage: Cathode to screen [V], None without screen.
        screen_current: In A.
        gm: Mutual conductance [A/V].
        ra: Anode resistance [Ω].
        mu: Amplification factor.
        inner_mu: Amplification factor from grid to screen.
        cathode_resistor: The cathode resistor that the sheet gives with it [Ω].
        source: The sheet.
        seen: See the module's head.
        left_out: Why no law is fitted to it, or "".
    """

    name: str
    anode_voltage: float
    anode_current: float
    grid_voltage: float | None = None
    screen_voltage: float | None = None
    screen_current: float | None = None
    gm: float | None = None
    ra: float | None = None
    mu: float | None = None
    inner_mu: float | None = None
    cathode_resistor: float | None = None
    source: str
    seen: str
    left_out: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStage:
    """One row of a printed table of resistance-coupled stages, cathode bypassed.

    Attributes:
        ht: Supply [V].
        anode_load: In Ω.
        cathode_resistor: In Ω.
        next_leak: Grid leak of the next stage [Ω], None when the table leaves it open.
        screen_resistor: From the supply to the screen [Ω], None for a triode.
        anode_current: In A, or None.
        screen_current: In A, or None.
        cathode_current: In A, or None.
        gain: Size of the voltage gain, or None.
        table: The table's name.
        source: The sheet.
        seen: See the module's head.
        note: What to know before using it.
        left_out: Why no law is fitted to it, or "".
    """

    ht: float
    anode_load: float
    cathode_resistor: float
    next_leak: float | None = None
    screen_resistor: float | None = None
    anode_current: float | None = None
    screen_current: float | None = None
    cathode_current: float | None = None
    gain: float | None = None
    table: str
    source: str
    seen: str
    note: str = ""
    left_out: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitError:
    """How far a fitted law is from one printed figure.

    Attributes:
        place: The point's name, or the table's with the row's number from 1.
        figure: What is compared: "anode current", "gm", "ra", "mu", "screen current", "inner mu", "gain" …
        per_cent: Law's value over the printed one, less one, in per cent.
        fitted: Whether the law was fitted to this figure.
    """

    place: str
    figure: str
    per_cent: float
    fitted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A law fitted to printed figures, by `fitting`.

    Attributes:
        name: "sheet points" or "table".
        law: The law's name, see `valve.law_called`.
        parameters: Its parameters.
        limits: Where it may be asked.
        errors: How far it is from each printed figure.
        rms: Root mean square of the errors that it was fitted to, in per cent.
    """

    name: str
    law: str
    parameters: Mapping[str, float]
    limits: Limits
    errors: tuple[FitError, ...]
    rms: float

    def make_law(self) -> Law:
        """Return the law, ready for arrays."""
        from tutor.circuits.valves.valve import law_called

        return law_called(self.law, self.parameters)

    def valve(self, name: str = "") -> Valve:
        """Return the law with its limits."""
        from tutor.circuits.valves.valve import Valve

        return Valve(self.make_law(), self.limits, name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratings:
    """What a valve may bear; None is not known. In SI units.

    Attributes:
        system: "design centre", "design maximum" …
        anode_voltage: From cathode to anode, running.
        cold_anode_voltage: The same before it draws current.
        anode_dissipation: Heat of the anode.
        screen_voltage: From cathode to screen.
        screen_dissipation: Heat of the screen.
        cathode_current: Mean current of the cathode.
        heater_cathode_voltage: Between heater and cathode.
        grid_leak: Largest grid leak, with cathode bias.
        grid_leak_fixed: Largest grid leak, with fixed bias.
        peak_inverse_voltage: Of a rectifier.
        direct_current: Of a rectifier, both anodes.
        peak_current: Of a rectifier, each anode.
        reservoir: Largest first capacitor of a rectifier.
        source: Where they are printed.
        seen: See the module's head.
        note: What to know beside them.
    """

    system: str = ""
    anode_voltage: float | None = None
    cold_anode_voltage: float | None = None
    anode_dissipation: float | None = None
    screen_voltage: float | None = None
    screen_dissipation: float | None = None
    cathode_current: float | None = None
    heater_cathode_voltage: float | None = None
    grid_leak: float | None = None
    grid_leak_fixed: float | None = None
    peak_inverse_voltage: float | None = None
    direct_current: float | None = None
    peak_current: float | None = None
    reservoir: float | None = None
    source: str = ""
    seen: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitances:
    """Capacitances between electrodes [F]; None is not known.

    Attributes:
        grid_anode: Between grid and anode.
        grid_cathode: Between grid and cathode, of a triode.
        anode_cathode: Between anode and cathode, of a triode.
        input: Grid to all but the anode, of a pentode.
        output: Anode to all but the grid, of a pentode.
        seen: See the module's head.
        note: What to know beside them.
    """

    grid_anode: float | None = None
    grid_cathode: float | None = None
    anode_cathode: float | None = None
    input: float | None = None
    output: float | None = None
    seen: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One kind of electrode system in a bulb.

    Attributes:
        kind: "triode", "pentode" or "rectifier"; a beam tetrode counts as a pentode.
        beam: Whether it is a beam tetrode.
        alike: How many alike there are in the bulb: 2 in a double triode.
        ratings: Of each.
        capacitances: Of one.
        points: Of the sheets.
        stages: Of printed tables.
        fits: Laws, the one to the sheets' points first.
    """

    kind: str
    beam: bool = False
    alike: int = 1
    ratings: Ratings
    capacitances: Capacitances = Capacitances()
    points: tuple[SheetPoint, ...] = ()
    stages: tuple[SheetStage, ...] = ()
    fits: tuple[Fit, ...] = ()

    def fit(self, name: str = "") -> Fit:
        """Return a fit by its name; the first one when left out.

        Raises:
            UnknownValveError: If there is no such fit.
        """
        for fit in self.fits:
            if name in ("", fit.name):
                return fit
        raise UnknownValveError(name, f"fit of this {self.kind}", [fit.name for fit in self.fits])


@dataclass(frozen=True, slots=True, kw_only=True)
class Heater:
    """How a valve is heated.

    Attributes:
        voltage: In V.
        current: In A.
        direct: Whether the filament is the cathode.
        other: Another way to connect it, in words, or "".
        seen: See the module's head.
    """

    voltage: float
    current: float
    direct: bool = False
    other: str = ""
    seen: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveType:
    """A type of valve.

    Attributes:
        name: Its designation.
        aliases: Other designations of the same valve.
        relatives: Designations of valves that differ, and in what.
        description: What it is, in words.
        base: Its base.
        pins: What each pin is joined to; empty when not known.
        pins_seen: See the module's head.
        heater: How it is heated.
        systems: By their kind.
        remarks: Contradictions between sources, and other things to know.
    """

    name: str
    aliases: tuple[str, ...] = ()
    relatives: Mapping[str, str] = field(default_factory=dict)
    description: str
    base: str
    pins: Mapping[int, str] = field(default_factory=dict)
    pins_seen: str = ""
    heater: Heater
    systems: Mapping[str, System]
    remarks: tuple[str, ...] = ()

    def system(self, kind: str = "") -> System:
        """Return the system of a kind; where there is one only, the kind may be left out.

        Raises:
            UnknownValveError: If there is no such system, or several and none was named.
        """
        if not kind and len(self.systems) == 1:
            return next(iter(self.systems.values()))
        if kind not in self.systems:
            raise UnknownValveError(kind, f"system of the {self.name}", self.systems)
        return self.systems[kind]

    def valve(self, kind: str = "", fit: str = "") -> Valve:
        """Return a valve of this type, ready for `operating_point`.

        Args:
            kind: The system; may be left out where there is one only.
            fit: "sheet points" (when left out) or "table".

        Raises:
            UnknownValveError: If there is no such system or fit.
        """
        return self.system(kind).fit(fit).valve(self.name)
