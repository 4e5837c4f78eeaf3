"""Meters: how they load a circuit, on which range they are read, and how far a reading can be trusted."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A voltmeter.

    Attributes:
        name: In words, for the question.
        resistance: Its own resistance [Ω] on every range; 0 where that goes with the range.
        ohms_per_volt: For a meter with a needle [Ω/V].
        ranges: Full scales [V], the largest first; none where it finds its range by itself.
        of_reading: Error as a share of the reading.
        of_range: Error as a share of the full scale.
        least: Error that is always there [V].
    """

    name: str
    resistance: float = 0.0
    ohms_per_volt: float = 0.0
    ranges: tuple[float, ...] = ()
    of_reading: float = 0.0
    of_range: float = 0.0
    least: float = 0.0

    def loading(self, full_scale: float) -> float:
        """Return its resistance [Ω] on a range [V]."""
        return self.resistance or self.ohms_per_volt * full_scale

    def error(self, reading: float, full_scale: float) -> float:
        """Return how far a reading may be from the truth [V]."""
        return max(abs(reading) * self.of_reading + full_scale * self.of_range, self.least)

    def shown(self, voltage: float, full_scale: float) -> float:
        """Return what it is read as: three figures, or half a division of a scale with fifty."""
        if self.ranges:
            step = full_scale / 100
            return round(voltage / step) * step
        if voltage == 0 or not math.isfinite(voltage):
            return voltage
        places = max(2 - math.floor(math.log10(abs(voltage))), 0)
        return round(voltage, min(places, self._places)) + 0.0

    @property
    def _places(self) -> int:
        """Figures behind the point that mean anything."""
        return max(0, -math.floor(math.log10(self.least))) if self.least else 12


INSTRUMENTS: dict[str, Instrument] = {
    "electronic": Instrument(name="an electronic meter of 10 MΩ", resistance=10e6, of_reading=0.01, least=0.02),
    "20 kΩ/V": Instrument(
        name="a 20 kΩ/V meter",
        ohms_per_volt=20e3,
        ranges=(500.0, 250.0, 50.0, 10.0, 2.5),
        of_range=0.03,
    ),
    "audio voltmeter": Instrument(name="an audio voltmeter of 1 MΩ", resistance=1e6, of_reading=0.03, least=20e-6),
}
"""By the name that templates use. Common practice, no source: 3 % of full scale is what good test meters with a needle
promised; 1 % and two hundredths of a volt is modest for an electronic one; 3 % of the reading an audio voltmeter's."""
