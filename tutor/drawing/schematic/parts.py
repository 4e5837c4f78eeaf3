"""What a drawing is asked to show: one `DrawnPart` per part of the circuit.

The drawing knows no circuit layer: whoever has a circuit translates it into drawn parts. Node names are the
circuit's own; node ``"0"`` is chassis or earth.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

EARTH = "0"

Flavour = Literal["dc", "ac", ""]

_VOLTAGE_SOURCES = (
    "voltage source",
    "voltage-controlled voltage source",
    "current-controlled voltage source",
)
_CURRENT_SOURCES = (
    "current source",
    "voltage-controlled current source",
    "current-controlled current source",
)
VALVES = ("triode", "pentode")
CONTROLLED = (*_VOLTAGE_SOURCES[1:], *_CURRENT_SOURCES[1:])

TWO_TERMINAL = (
    "resistor",
    "capacitor",
    "electrolytic capacitor",
    "inductor",
    "diode",
    "meter",
    "voltage source",
    "current source",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPart:
    """One part as the drawing sees it.

    Attributes:
        reference: The part's name, such as ``R1``.
        kind: The part's kind, as circuit files spell it; ``electrolytic capacitor`` is a capacitor whose first
            pin is the positive one. A kind without a symbol of its own is drawn as a box with its pins.
        nodes: Pin name → node name, in the order of the pins. Two-terminal parts have ``a`` and ``b``;
            a potentiometer ``top``, ``wiper``, ``foot``; a valve ``anode``, ``grid``, ``screen``, ``cathode``
            and perhaps ``suppressor``; a transformer ``<winding> start`` and ``<winding> end`` for each winding;
            a controlled source ``a``, ``b`` and, when a voltage controls it, ``control a`` and ``control b``.
        value: Plain text shown under the reference; may be empty.
        at: Where the part is put by hand, in grid units: the first pin of a part that lies between two pins
            (or of a transformer), the centre of a valve. ``None`` leaves the place to the drawing.
        turn: Quarter turns clockwise, in degrees (0, 90, 180 or 270), heeded together with ``at``. Unturned,
            a two-terminal part lies with its first pin at the left and a valve stands with its anode up.
        polarised: Whether a capacitor's first pin is marked as the positive one.
        flavour: Whether a source is drawn as a battery (``dc``), with a sine (``ac``) or neutrally.
        of: References of the parts that this one acts on: the coils of a coupling, or the part whose current
            controls a source.
        pins: Electrode of a valve → its number on the base, written beside the electrode where there is room.
    """

    reference: str
    kind: str
    nodes: Mapping[str, str] = field(default_factory=dict)
    value: str = ""
    at: tuple[int, int] | None = None
    turn: int = 0
    polarised: bool = False
    flavour: Flavour = ""
    of: tuple[str, ...] = ()
    pins: Mapping[str, str] = field(default_factory=dict)

    def main_pins(self, node: str) -> tuple[str, str]:
        """Return the pin on the node and the pin at the other end of the part's main path.

        The main path of a potentiometer is its track, that of a valve runs from its anode to its cathode.
        """
        first, last = ("top", "foot") if self.is_potentiometer else ("a", "b")
        if self.is_valve:
            first, last = "anode", "cathode"
        return (first, last) if self.nodes[first] == node else (last, first)

    def through(self, node: str) -> str:
        """Return the node at the other end of the part's main path."""
        return self.nodes[self.main_pins(node)[1]]

    @property
    def is_potentiometer(self) -> bool:
        """Whether the part has a track and a wiper."""
        return set(self.nodes) == {"top", "wiper", "foot"}

    @property
    def is_valve(self) -> bool:
        """Whether the part is a valve with the electrodes of one."""
        return self.kind in VALVES and {"anode", "grid", "cathode"} <= set(self.nodes)

    @property
    def is_polarised(self) -> bool:
        """Whether the part is a capacitor with a positive pin."""
        return self.kind == "electrolytic capacitor" or (self.kind == "capacitor" and self.polarised)

    @property
    def windings(self) -> tuple[str, ...]:
        """Names of a transformer's windings in order of appearance.

        >>> DrawnPart(reference="T1", kind="transformer", nodes={"p start": "a", "p end": "0"}).windings
        ('p',)
        """
        starts = [pin.removesuffix(" start") for pin in self.nodes if pin.endswith(" start")]
        return tuple(name for name in starts if self.kind == "transformer" and f"{name} end" in self.nodes)
