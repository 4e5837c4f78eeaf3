"""The words of the trade as this site uses them, with what others call the same thing.

From memory of the trade's usage, British words first; a definition is as short as a beginner can bear.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Term:
    """One word.

    Attributes:
        word: As it stands on this site.
        says: What it is.
        also: What others call it.
    """

    word: str
    says: str
    also: tuple[str, ...] = ()

    @property
    def anchor(self) -> str:
        """The name of its place on the page."""
        return self.word.lower().replace(" ", "-").replace("(", "").replace(")", "")


GLOSSARY: tuple[Term, ...] = (
    Term(
        "Anode", "The electrode of a valve that collects the electrons; its current flows in from outside.", ("plate",)
    ),
    Term(
        "Anode resistance",
        "How much the anode voltage must change for a small change of anode current, "
        "the grid held still; rₐ in formulas.",
        ("plate resistance",),
    ),
    Term(
        "Bias",
        "The standing voltage between grid and cathode that sets the working point; it is negative at the grid "
        "in most stages, or made by a cathode resistor.",
        ("grid bias",),
    ),
    Term(
        "Bleeder",
        "A resistor across a reservoir that discharges it after switching off and steadies its voltage. It may "
        "have failed: prove by meter that a reservoir is empty, and leave it to a qualified person when unsure.",
    ),
    Term("Cathode", "The electrode that gives off the electrons when it is hot.", ()),
    Term(
        "Cathode follower",
        "A stage whose output is taken from the cathode: gain a little below one, low output resistance.",
    ),
    Term("Chassis", "The metal frame, and in most drawings the point from which voltages are measured; node 0."),
    Term(
        "Coupling capacitor",
        "It passes the signal from one stage to the next and holds the HT back.",
        ("blocking capacitor",),
    ),
    Term(
        "Decoupling",
        "A resistor and a capacitor that keep the signal of one stage out of the supply of another.",
        ("bypassing",),
    ),
    Term(
        "Earth",
        "The reference of all voltages; in drawings often the chassis. The protective earth of the mains is "
        "something that must never be taken off.",
        ("ground",),
    ),
    Term("Grid", "The electrode between cathode and anode whose voltage steers the current.", ("control grid",)),
    Term(
        "Grid leak",
        "The resistor from grid to earth (or to the bias) that holds the grid’s standing voltage.",
        ("grid resistor",),
    ),
    Term("Heater", "The wire that heats the cathode, or is one itself.", ("filament",)),
    Term("HT", "High tension: the direct voltage that feeds the anodes. It kills.", ("B+", "plate supply")),
    Term("Load", "Whatever takes the output: a resistor, the next grid leak, a loudspeaker through its transformer."),
    Term("LT", "Low tension: the supply of the heaters.", ("A supply", "filament supply")),
    Term(
        "Mutual conductance",
        "Change of anode current for a change of grid voltage, in mA/V; gₘ in formulas.",
        ("transconductance", "mho and µmho for its old units"),
    ),
    Term("Peak inverse voltage", "The most that stands across a rectifier while it does not conduct."),
    Term("Phase splitter", "A stage with two outputs of opposite phase, for a push-pull output.", ("phase inverter",)),
    Term(
        "Potential divider",
        "Two resistors in series across a voltage; the tap between them has a share of it.",
        ("voltage divider",),
    ),
    Term(
        "Reflected load",
        "What a transformer makes of the load on its secondary, seen from the primary: the load times "
        "the square of the turns ratio.",
    ),
    Term(
        "Reservoir",
        "The first capacitor after the rectifier. It stays charged after switching off, and some of the charge "
        "can come back after it was emptied.",
        ("filter capacitor", "first electrolytic"),
    ),
    Term(
        "Ripple",
        "What is left of the mains’ alternation on a supply; at twice the mains frequency after full-wave "
        "rectification.",
        ("hum voltage",),
    ),
    Term(
        "Screen", "The second grid of a tetrode or pentode, held at a steady positive voltage.", ("screen grid", "g2")
    ),
    Term("Smoothing", "Chokes or resistors with capacitors that take the ripple out of the HT.", ("filter",)),
    Term("Valve", "A bulb without air in which a hot cathode sends electrons to an anode.", ("tube", "vacuum tube")),
)
