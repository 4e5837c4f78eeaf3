"""What can go wrong with a part: each kind of fault makes another circuit of a circuit.

The sizes that stand for "open" and "short" are common practice, no source: carbonised or cracked parts still leak a
little, and a burnt-through capacitor has a small resistance left.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

from tutor.circuits.errors import did_you_mean, with_article
from tutor.circuits.expressions import Binary, Number
from tutor.circuits.faults.errors import FaultError
from tutor.circuits.network import Network
from tutor.circuits.parts import Part, Value
from tutor.circuits.parts.controls import Potentiometer
from tutor.circuits.parts.passive import Capacitor, Inductor, Resistor
from tutor.circuits.parts.sources import CurrentSource
from tutor.circuits.parts.transformer import Transformer
from tutor.circuits.parts.valves import Pentode, Triode
from tutor.quantities import AMPERE, OHM, RATIO, Quantity, Unit

OPEN = 1e10
SHORT = 1.0
"""Ohms of a part that is open or short."""

MOST_WEAKENING = 1e-6
"""Share of its current that a small-signal valve without emission is left with: none at all would divide by nothing."""


@dataclass(frozen=True, slots=True)
class KindOfFault:
    """One way of going wrong.

    Attributes:
        name: As files and members name it.
        of: Kinds of parts that can have it; nothing for any part with a value.
        by: Unit of its size, or None where it has none.
        wanted: What its size is, for messages.
        make: Makes the faulty circuit.
    """

    name: str
    of: tuple[str, ...]
    by: Unit | None
    wanted: str
    make: Callable[[Network, Part, float], Network]


@dataclass(frozen=True, slots=True)
class Fault:
    """A part and what is wrong with it.

    Attributes:
        part: The part's reference.
        kind: Name of the kind of fault.
        by: Its size in SI units: the factor of a drift, the ohms of a leak, the share of emission left, the amperes of
            grid current; 0 where the kind has none.
    """

    part: str
    kind: str
    by: float = 0.0

    @property
    def words(self) -> str:
        """What is wrong, in words: a drift says which way."""
        if self.kind == "drifted":
            return "drifted high" if self.by > 1 else "drifted low"
        return self.kind

    def applied(self, network: Network) -> Network:
        """Return the circuit with this fault in it.

        Raises:
            NodeError: If the circuit has no such part.
            FaultError: If the part cannot have this fault.
        """
        part = network.part(self.part)
        refuse_misfit(part, self.kind)
        return KINDS_OF_FAULT[self.kind].make(network, part, self.by)


def refuse_misfit(part: Part, kind: str) -> None:
    """Raise FaultError for a fault that a part of this kind cannot have."""
    found = KINDS_OF_FAULT.get(kind)
    if found is None:
        near = did_you_mean(kind, KINDS_OF_FAULT)
        raise FaultError(part.reference, kind, f"it is no kind of fault{near}; known are {', '.join(KINDS_OF_FAULT)}")
    if found.of and part.kind not in found.of:
        reason = f"{with_article(part.kind)} cannot be that; it is a fault of: {', '.join(found.of)}"
        raise FaultError(part.reference, kind, reason)
    if not found.of and not part.valued:
        raise FaultError(part.reference, kind, f"{with_article(part.kind)} has no single value that could drift")


def _replaced(network: Network, part: Part, *others: Part) -> Network:
    """Return the network with other parts in the place of one, at its place in the order."""
    kept: list[Part] = []
    for one in network.parts:
        kept.extend(others if one is part else (one,))
    return Network(tuple(kept))


def _resistor(part: Part, ohms: float) -> Resistor:
    first, second = part.terminals()
    return Resistor(reference=part.reference, pins={"a": first, "b": second}, value=Quantity(ohms, OHM))


def _open(network: Network, part: Part, _by: float) -> Network:
    return _replaced(network, part, _resistor(part, OPEN))


def _short(network: Network, part: Part, _by: float) -> Network:
    return _replaced(network, part, _resistor(part, SHORT))


def _drifted(network: Network, part: Part, by: float) -> Network:
    value = part.parameters()[0].value
    if value is None:
        raise FaultError(part.reference, "drifted", "it has no value that could drift; give one")
    return _replaced(network, part, part.bound_to(_times(value, by)))


def _times(value: Value, factor: float) -> Value:
    if isinstance(value, Quantity):
        return Quantity(value.magnitude * factor, value.unit)
    return Binary("*", Number(factor, RATIO, repr(factor)), value)


def _leaky(network: Network, part: Part, by: float) -> Network:
    first, second = part.terminals()
    # A nought in front: no part of a file is called so.
    leak = Resistor(reference=f"0leak {part.reference}", pins={"a": first, "b": second}, value=Quantity(by, OHM))
    return _replaced(network, part, part, leak)


def _weak(network: Network, part: Part, by: float) -> Network:
    assert isinstance(part, Triode | Pentode)
    if part.is_at_rest:
        return _replaced(network, part, dataclasses.replace(part, emission=part.emission * by))
    # At one voltage all currents shrink alike: the slope with them, the anode resistance the other way, mu stays.
    share = max(by, MOST_WEAKENING)
    ra = None if part.ra is None else _times(part.ra, 1 / share)
    gm = None if part.gm is None else _times(part.gm, share)
    return _replaced(network, part, dataclasses.replace(part, ra=ra, gm=gm))


def _dead(network: Network, part: Part, _by: float) -> Network:
    return _weak(network, part, 0.0)


def _gassy(network: Network, part: Part, by: float) -> Network:
    """Let the grid give current to what is connected to it.

    Ions of the gas reach the grid and take electrons from it; the current goes with the anode's in a real valve and is
    taken as constant here.
    """
    source = CurrentSource(
        reference=f"0gas {part.reference}",
        pins={"a": part.pins["cathode"], "b": part.pins["grid"]},
        unit=AMPERE,
        value=Quantity(by, AMPERE),
        dc=None,
        ac=None,
        phase=None,
    )
    return _replaced(network, part, part, source)


def _worn(network: Network, part: Part, _by: float) -> Network:
    """Lift the wiper off its track."""
    assert isinstance(part, Potentiometer)
    lifted = f"0wiper of {part.reference}"
    track = dataclasses.replace(part, pins={**part.pins, "wiper": lifted})
    gap = Resistor(
        reference=f"0gap {part.reference}",
        pins={"a": lifted, "b": part.pins["wiper"]},
        value=Quantity(OPEN, OHM),
    )
    return _replaced(network, part, track, gap)


def _shorted(network: Network, part: Part, by: float) -> Network:
    """Let some turns of a transformer's first winding lie in short circuit.

    What is left of the winding has fewer turns, so that the ratio changes; the shorted turns are a winding of their own
    whose current is limited by the short alone, so that a small resistance is reflected to all others.
    """
    assert isinstance(part, Transformer)
    if not 0 < by < 1:
        raise FaultError(part.reference, "shorted turns", f"found a share of {by:g}; give one between 0 and 1")
    first, *others = part.turns
    if first is None:
        raise FaultError(part.reference, "shorted turns", "its first winding has no turns given")
    hot = f"0turns of {part.reference}"
    broken = dataclasses.replace(
        part,
        pins={**part.pins, "shorted start": hot, "shorted end": "0"},
        windings=(*part.windings, "shorted"),
        turns=(_times(first, 1 - by), *others, _times(first, by)),
    )
    loop = Resistor(reference=f"0loop {part.reference}", pins={"a": hot, "b": "0"}, value=Quantity(SHORT, OHM))
    return _replaced(network, part, broken, loop)


_ENDS = (Resistor.kind, Inductor.kind)
_STORES = (Capacitor.kind,)
_VALVES = (Triode.kind, Pentode.kind)

KINDS_OF_FAULT: dict[str, KindOfFault] = {
    kind.name: kind
    for kind in (
        KindOfFault("open", (*_ENDS, *_STORES), None, "", _open),
        KindOfFault("short", (*_ENDS, *_STORES), None, "", _short),
        KindOfFault("drifted", (), RATIO, "a factor, such as `by: 2.2`", _drifted),
        KindOfFault("leaky", _STORES, OHM, "a resistance, such as `by: 10 MΩ`", _leaky),
        KindOfFault("low emission", _VALVES, RATIO, "the share that is left, such as `by: 0.4`", _weak),
        KindOfFault("no emission", _VALVES, None, "", _dead),
        KindOfFault("gassy", _VALVES, AMPERE, "a grid current, such as `by: 3 µA`", _gassy),
        KindOfFault("shorted turns", (Transformer.kind,), RATIO, "a share of its turns, such as `by: 0.05`", _shorted),
        KindOfFault("wiper open", (Potentiometer.kind,), None, "", _worn),
    )
}
"""By name. A valve whose heater is open has no emission."""
