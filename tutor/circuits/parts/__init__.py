"""The kinds of parts; importing the package fills the table `KINDS`."""

from tutor.circuits.parts import controlled, controls, passive, sources, transformer, valves
from tutor.circuits.parts.base import KINDS, Definition, Description, Parameter, Part, Value

__all__ = [
    "KINDS",
    "Definition",
    "Description",
    "Parameter",
    "Part",
    "Value",
    "controlled",
    "controls",
    "passive",
    "sources",
    "transformer",
    "valves",
]
