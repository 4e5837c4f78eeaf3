"""A magnitude with its unit: the form in which every value travels between the parts of the program."""

from dataclasses import dataclass

from tutor.quantities.units import Unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """A magnitude in a coherent unit.

    Attributes:
        magnitude: Number of coherent units: 4.7 kΩ is held as 4700.0.
        unit: Coherent, never a prefixed one.
    """

    magnitude: float
    unit: Unit
