"""Curves, load lines, swing, power and distortion of a valve, as arrays ready to plot.

Voltages are counted from the cathode. A pentode's screen is held at a fixed voltage.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tutor.circuits.valves.models import Array
from tutor.circuits.valves.operating_point import operating_point
from tutor.circuits.valves.valve import Valve

HALVINGS = 60


@dataclass(frozen=True, slots=True)
class LoadLine:
    """A straight line of anode voltage against anode current: `voltage = supply − resistance·current`.

    Attributes:
        supply: Where it meets the voltage axis [V].
        resistance: Its slope [Ω].
    """

    supply: float
    resistance: float

    @classmethod
    def through(cls, voltage: float, current: float, resistance: float) -> LoadLine:
        """Return the line of a load for signals [Ω] through an operating point [V], [A]."""
        return cls(voltage + current * resistance, resistance)

    def current(self, voltage: ArrayLike) -> Array:
        """Return the current [A] at a voltage [V], shape as the voltage."""
        return (self.supply - np.asarray(voltage, dtype=np.float64)) / self.resistance


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """How far a valve can be driven along its load line.

    Attributes:
        grid: Where grid current begins, the rest, and where the valve is cut off [V].
        voltage: The anode's there [V].
        current: The anode's there [A].
    """

    grid: tuple[float, float, float]
    voltage: tuple[float, float, float]
    current: tuple[float, float, float]

    @property
    def largest_drive(self) -> float:
        """The peak of the largest sine [V] at the grid that reaches neither end."""
        high, rest, low = self.grid
        return max(0.0, min(high - rest, rest - low))


@dataclass(frozen=True, slots=True, kw_only=True)
class Harmonics:
    """The anode current under a sine at the grid, by a few of its points; peak values in A.

    Attributes:
        mean: Its mean.
        first: Fundamental.
        second: Second harmonic.
        third: Third harmonic.
        fourth: Fourth harmonic.
    """

    mean: float
    first: float
    second: float
    third: float = 0.0
    fourth: float = 0.0

    @property
    def ratios(self) -> tuple[float, float, float]:
        """Second, third and fourth harmonic over the fundamental, as sizes."""
        return abs(self.second / self.first), abs(self.third / self.first), abs(self.fourth / self.first)

    @property
    def distortion(self) -> float:
        """Total harmonic distortion as a ratio."""
        return float(np.sqrt(sum(ratio * ratio for ratio in self.ratios)))

    def power(self, resistance: float) -> float:
        """Return the power of the fundamental [W] in a load [Ω]."""
        return self.first**2 * resistance / 2


def anode_characteristics(
    valve: Valve, grid_voltages: ArrayLike, anode_voltages: ArrayLike, screen_voltage: float = 0.0
) -> Array:
    """Return the anode current [A] for every grid voltage and anode voltage.

    Args:
        valve: A triode or pentode.
        grid_voltages: One per curve [V], shape (curves,).
        anode_voltages: Along the curves [V], shape (points,).
        screen_voltage: Of a pentode [V].

    Returns:
        Array of shape (curves, points).
    """
    grid, anode = np.meshgrid(
        np.asarray(grid_voltages, dtype=np.float64), np.asarray(anode_voltages, dtype=np.float64), indexing="ij"
    )
    return _anode_current(valve, anode, grid, screen_voltage)


def along(valve: Valve, line: LoadLine, grid_voltages: ArrayLike, screen_voltage: float = 0.0) -> tuple[Array, Array]:
    """Return where a load line crosses the curves of grid voltages: anode voltages [V] and currents [A].

    Args:
        valve: A triode or pentode.
        line: The load line.
        grid_voltages: In V, shape (points,).
        screen_voltage: Of a pentode [V].

    Returns:
        Two arrays of shape (points,).
    """
    grid = np.asarray(grid_voltages, dtype=np.float64)
    ports = len(valve.law.ports)
    e = np.full((len(grid), ports), screen_voltage)
    e[:, 0], e[:, 1] = line.supply, grid
    z = np.zeros((ports, ports))
    z[0, 0] = line.resistance
    point = operating_point([valve], e, z).of()
    return point.voltages[0], point.currents[0]


def bias_line(
    valve: Valve, cathode_resistor: float, grid_voltages: ArrayLike, screen_voltage: float = 0.0
) -> tuple[Array, Array]:
    """Return the line on which a cathode resistor holds a triode: anode voltages [V] and currents [A].

    On the curve of a grid voltage the cathode resistor lets through its drop over its resistance.

    Args:
        valve: A triode; of a pentode the screen's current is left out.
        cathode_resistor: In Ω.
        grid_voltages: Negative [V], shape (points,).
        screen_voltage: Of a pentode [V].

    Returns:
        Two arrays of shape (points,); the voltage is NaN where no anode voltage up to 100 kV would do.
    """
    grid = np.asarray(grid_voltages, dtype=np.float64)
    current = -grid / cathode_resistor
    low, high = np.zeros_like(grid), np.full_like(grid, 1e5)
    reached = _anode_current(valve, high, grid, screen_voltage) >= current
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        above = _anode_current(valve, middle, grid, screen_voltage) > current
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.where(reached, (low + high) / 2, np.nan), current


def dissipation_hyperbola(power: float, anode_voltages: ArrayLike) -> Array:
    """Return the current [A] at which an anode turns a power [W] into heat, for voltages [V]; shape as these."""
    return power / np.asarray(anode_voltages, dtype=np.float64)


def swing(valve: Valve, line: LoadLine, grid_voltage: float, screen_voltage: float = 0.0) -> Swing:
    """Return how far a valve can be driven from its rest, up to grid current and down to cut-off.

    Args:
        valve: A triode or pentode; its limits say what counts as cut off.
        line: The load line of the signal.
        grid_voltage: At rest [V].
        screen_voltage: Of a pentode [V].
    """
    grid_current = valve.law.grid.onset if hasattr(valve.law, "grid") else 0.0
    low = _cut_off(valve, line, grid_voltage, screen_voltage)
    grid = (max(grid_current, grid_voltage), grid_voltage, min(low, grid_voltage))
    voltage, current = along(valve, line, grid, screen_voltage)
    return Swing(grid=grid, voltage=_three(voltage), current=_three(current))


def _cut_off(valve: Valve, line: LoadLine, grid_voltage: float, screen_voltage: float) -> float:
    """Return the grid voltage [V] at which the anode current falls to the limit of cut-off along a line."""
    wanted = valve.limits.cut_off
    anode = np.array([line.supply - wanted * line.resistance])
    high, low = grid_voltage, grid_voltage - 1.0
    while low > -1e5 and _anode_current(valve, anode, np.array([low]), screen_voltage)[0] > wanted:
        low = 2 * low - grid_voltage
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _anode_current(valve, anode, np.array([middle]), screen_voltage)[0] > wanted:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def driven(
    valve: Valve, line: LoadLine, grid_voltage: float, drive: float, screen_voltage: float = 0.0
) -> tuple[Harmonics, Array]:
    """Return the harmonics of the anode current under a sine at the grid, by the five-point method.

    Args:
        valve: A triode or pentode.
        line: The load line of the signal.
        grid_voltage: At rest [V].
        drive: Peak of the sine [V].
        screen_voltage: Of a pentode [V].

    Returns:
        The harmonics, and the five currents that they come from [A]: at the whole drive, at half of it, at rest, at
        half and at the whole drive the other way.
    """
    _, currents = along(valve, line, grid_voltage + drive * np.array([1.0, 0.5, 0.0, -0.5, -1.0]), screen_voltage)
    return five_point(*(float(current) for current in currents)), currents


def three_point(largest: float, rest: float, least: float) -> Harmonics:
    """Return fundamental and second harmonic by three currents [A]: at one peak of the drive, at rest, at the other.

    Source:
        F. Langford-Smith, Radiotron Designer's Handbook, 4th ed. (1952), ch. 13 (from memory; checked against the
        spectrum of a current that is a square of the drive).
    """
    second = (largest + least - 2 * rest) / 4
    return Harmonics(mean=rest + second, first=(largest - least) / 2, second=second)


def five_point(largest: float, upper: float, rest: float, lower: float, least: float) -> Harmonics:
    """Return the harmonics up to the fourth by five currents [A]: at the peaks of the drive, at their halves, at rest.

    Source:
        F. Langford-Smith, Radiotron Designer's Handbook, 4th ed. (1952), ch. 13, after D. C. Espley (1933) (from
        memory; checked against the spectrum of a current that is a fourth power of the drive).
    """
    return Harmonics(
        mean=(largest + least + 2 * (upper + lower)) / 6,
        first=(largest - least + upper - lower) / 3,
        second=(largest + least - 2 * rest) / 4,
        third=(largest - least - 2 * (upper - lower)) / 6,
        fourth=(largest + least - 4 * (upper + lower) + 6 * rest) / 12,
    )


def _anode_current(valve: Valve, anode: Array, grid: Array, screen_voltage: float) -> Array:
    ports = [anode, grid]
    if "screen" in valve.law.ports:
        ports.append(np.full_like(anode, screen_voltage))
    found: Array = valve.law.currents(np.stack(ports))[0]
    return found


def _three(values: Array) -> tuple[float, float, float]:
    first, second, third = (float(value) for value in values)
    return first, second, third
