"""The laws of valves: currents, and their slopes, for arrays of voltages.

Every law takes the voltages of its ports, counted from the cathode and stacked along the first axis (`voltages[0]` is
the anode's), and gives the currents into them in the same order. Shapes behind the first axis are free: (ports, draws),
(ports, curves, points) … Whatever is put in, nothing overflows and no anode below its cathode supplies current: beyond
±`FARTHEST` a voltage counts as that. NaN stays NaN.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from tutor.circuits.valves.errors import LawError

Array: TypeAlias = NDArray[np.float64]

FARTHEST = 1e9
"""Volts; no circuit holds more, and powers of it still fit a float."""


class Law(Protocol):
    """How the currents of a valve follow from its voltages."""

    ports: ClassVar[tuple[str, ...]]

    def currents(self, voltages: Array) -> Array:
        """Return the currents [A] into the ports, shape as the voltages [V]."""
        ...

    def slopes(self, voltages: Array) -> tuple[Array, Array]:
        """Return the currents [A], and their derivatives [A/V].

        The derivatives have shape (ports, ports, …): first the port of the current, then that of the voltage.
        """
        ...

    def scaled(self, factor: float) -> Law:
        """Return the law of a valve whose cathode gives so much of the current (0.6: low emission)."""
        ...


@dataclass(frozen=True, slots=True)
class GridCurrent:
    """Current into a control grid: a diode of 3/2-power law above an onset, and nothing below it.

    Attributes:
        perveance: In A/V^1.5.
        onset: Grid voltage at which it begins [V].

    Source:
        Shape and size after the three ECC83 measured by K. Dempwolf and U. Zölzer, A physically-motivated triode model
        for circuit simulations, DAFx-11 (2011), table 1: from 0 to 1 V this law, with `SHARE_OF_GRID` of the cathode's
        perveance, meets their curves within 20 % of the current and 20 µA more (tested). For other types the same share
        is a rule without a source. Real grids also draw fractions of a microampere down to about −1 V, which is left
        out.
    """

    perveance: float = 0.0
    onset: float = -0.1

    def slope(self, voltage: Array) -> tuple[Array, Array]:
        """Return current [A] and slope [A/V], shapes as the grid's voltage [V]."""
        above = np.clip(voltage - self.onset, 0.0, FARTHEST)
        root = self.perveance * np.sqrt(above)
        return root * above, 1.5 * root * (voltage < FARTHEST)

    def behind(self, open_voltage: Array, resistance: Array) -> Array:
        """Return the current [A] that the grid draws from a voltage [V] behind a resistance [Ω], shapes alike.

        With s = √(Vg − onset) it solves s² + A·s³ = d, from above, where Newton's steps go one way only.
        """
        a = np.maximum(resistance, 0.0) * self.perveance
        d = np.clip(open_voltage - self.onset, 0.0, FARTHEST)
        # Both s² ≤ d and A·s³ ≤ d hold at the solution.
        s = np.minimum(np.sqrt(d), np.where(a > 0, np.cbrt(d / np.where(a > 0, a, 1.0)), np.inf))
        for _ in range(12):
            s = s - (s * s * (1.0 + a * s) - d) / np.maximum(s * (2.0 + 3.0 * a * s), 1e-300)
        return self.perveance * s * s * s


SHARE_OF_GRID = 0.23
"""Perveance of the grid as a share of the cathode's; see `GridCurrent`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KorenTriode:
    """Triode: E = Va/kp·ln(1 + exp(kp·(1/mu + (Vg + vct)/√(kvb + Va²)))), Ia = 2·E^ex/kg1 where E > 0.

    Attributes:
        mu: Amplification factor of the law.
        ex: Exponent, more than 1.
        kg1: Current scale, in V^ex/A.
        kp: Sharpness of the cut-off.
        kvb: Bend at low anode voltage, in V².
        vct: Contact potential of the grid [V].
        grid: Its grid current.

    Source:
        N. Koren, Improved vacuum tube models for SPICE simulations, Glass Audio 8(5), 1996; `vct` as in later fits of
        the same form.
    """

    mu: float
    ex: float
    kg1: float
    kp: float
    kvb: float
    vct: float = 0.0
    grid: GridCurrent = GridCurrent()

    ports: ClassVar[tuple[str, ...]] = ("anode", "grid")

    def __post_init__(self) -> None:
        _require(self, "mu kg1 kp kvb", self.ex)

    def _drive(self, anode: Array, grid: Array) -> tuple[Array, Array, Array, Array]:
        """Return Va, 1/√(kvb + Va²), the grid's share of x, and x itself."""
        v = np.clip(anode, 0.0, FARTHEST)
        per_root = 1.0 / np.sqrt(self.kvb + v * v)
        t = (np.clip(grid, -FARTHEST, FARTHEST) + self.vct) * per_root
        return v, per_root, t, self.kp * (1.0 / self.mu + t)

    def currents(self, voltages: Array) -> Array:
        """See `Law.currents`."""
        anode, grid = voltages
        v, _, _, x = self._drive(anode, grid)
        found = np.empty_like(voltages)
        found[0] = (2.0 / self.kg1) * (v * _softplus(x) / self.kp) ** self.ex
        found[1] = self.grid.slope(grid)[0]
        return found

    def slopes(self, voltages: Array) -> tuple[Array, Array]:
        """See `Law.slopes`."""
        anode, grid = voltages
        v, per_root, t, x = self._drive(anode, grid)
        soft, share = _softplus_and_share(x)
        soft = soft / self.kp
        e = v * soft
        w = (2.0 / self.kg1) * e ** (self.ex - 1.0)
        found, slopes = np.empty_like(voltages), np.zeros((2, *voltages.shape))
        found[0] = w * e
        w = self.ex * w
        at = v * per_root
        # Where a voltage is held at its limit the current no longer follows it.
        slopes[0, 0] = w * (soft - share * t * at * at) * (anode < FARTHEST)
        slopes[0, 1] = w * share * at * (np.abs(grid) < FARTHEST)
        found[1], slopes[1, 1] = self.grid.slope(grid)
        return found, slopes

    def scaled(self, factor: float) -> KorenTriode:
        """See `Law.scaled`."""
        return replace(self, kg1=_per(self.kg1, factor), grid=_weaker(self.grid, factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerTriode:
    """Triode by a plain power law: Ia = k·(Va + mu·Vg + v0)^exponent where that is positive.

    The law of textbooks, for a negative grid. With a positive one its current does not go to nothing at the cathode's
    own voltage but ends there, so that a stage whose anode comes down so far has no operating point.

    Attributes:
        k: Perveance, in A/V^exponent.
        mu: Amplification factor.
        v0: Offset of the anode voltage [V].
        exponent: 3/2 for Child and Langmuir; more than 1.
        grid: Its grid current.

    Source:
        Child and Langmuir's law; with `v0` in W. M. Leach, SPICE models for vacuum-tube amplifiers, JAES 43 (1995).
    """

    k: float
    mu: float
    v0: float = 0.0
    exponent: float = 1.5
    grid: GridCurrent = GridCurrent()

    ports: ClassVar[tuple[str, ...]] = ("anode", "grid")

    def __post_init__(self) -> None:
        _require(self, "mu", self.exponent)

    def currents(self, voltages: Array) -> Array:
        """See `Law.currents`."""
        return self.slopes(voltages)[0]

    def slopes(self, voltages: Array) -> tuple[Array, Array]:
        """See `Law.slopes`."""
        anode, grid = voltages
        held = np.clip(grid, -FARTHEST, FARTHEST)
        drive = np.clip(anode, 0.0, FARTHEST) + self.mu * held + self.v0
        drive = np.maximum(drive, 0.0) * (anode > 0)
        w = self.k * drive ** (self.exponent - 1.0)
        found, slopes = np.empty_like(voltages), np.zeros((2, *voltages.shape))
        found[0] = w * drive
        slopes[0, 0] = self.exponent * w * (anode < FARTHEST)
        slopes[0, 1] = self.mu * self.exponent * w * (np.abs(grid) < FARTHEST)
        found[1], slopes[1, 1] = self.grid.slope(grid)
        return found, slopes

    def scaled(self, factor: float) -> PowerTriode:
        """See `Law.scaled`."""
        return replace(self, k=self.k * factor, grid=_weaker(self.grid, factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReefmanPentode:
    """Pentode or beam tetrode, anode and screen.

    The cathode gives Ik = 2·E^ex with E = Vs/kp·ln(1 + exp(kp·(1/mu + Vg/√(kvb + Vs²)))). With the knee S, which is
    1/(1 + beta·Va) for a pentode and exp(−(beta·Va)^1.5) for a beam tetrode, it is shared out as
    Ia = Ik·((1/kg1 − 1/kg2)·(1 − S) + a·Va/kg1) and Is = Ik·(1 + alpha_s·S)/kg2.

    Attributes:
        mu: Amplification factor from grid to screen.
        ex: Exponent, more than 1.
        kg1: Anode's current scale, in V^ex/A.
        kg2: Screen's current scale, in V^ex/A; more than kg1.
        kp: Sharpness of the cut-off.
        kvb: Bend at low screen voltage, in V².
        alpha_s: How much the screen gains where the anode stands at its cathode.
        a: Slope of the anode current above the knee, in 1/V.
        beta: Place of the knee, in 1/V.
        beam: Whether it has a beam tetrode's knee.
        grid: Its grid current.

    Source:
        D. Reefman, Spice models for vacuum tubes using the uTracer (2016), without secondary emission; the two terms
        of his anode current that hold S are gathered here. At the points of the sheets it meets slope, screen current
        and anode resistance at once, where Koren's form of 1996, whose screen ignores the anode, has to give up the
        knee for the anode resistance (tried on every pentode of the catalogue).
    """

    mu: float
    ex: float
    kg1: float
    kg2: float
    kp: float
    kvb: float
    alpha_s: float
    a: float
    beta: float
    beam: bool = False
    grid: GridCurrent = GridCurrent()

    ports: ClassVar[tuple[str, ...]] = ("anode", "grid", "screen")

    def __post_init__(self) -> None:
        _require(self, "mu kg1 kg2 kp kvb beta", self.ex)

    def currents(self, voltages: Array) -> Array:
        """See `Law.currents`."""
        return self.slopes(voltages)[0]

    def slopes(self, voltages: Array) -> tuple[Array, Array]:
        """See `Law.slopes`."""
        anode, grid, screen = voltages
        given, by_grid, by_screen = self._cathode(grid, screen)
        to_anode, to_anode_slope, to_screen, to_screen_slope = self._shares(anode)
        found, slopes = np.empty_like(voltages), np.zeros((3, *voltages.shape))
        found[0], found[2] = given * to_anode, given * to_screen
        slopes[0, 0], slopes[2, 0] = given * to_anode_slope, given * to_screen_slope
        slopes[0, 1], slopes[2, 1] = by_grid * to_anode, by_grid * to_screen
        slopes[0, 2], slopes[2, 2] = by_screen * to_anode, by_screen * to_screen
        found[1], slopes[1, 1] = self.grid.slope(grid)
        return found, slopes

    def _cathode(self, grid: Array, screen: Array) -> tuple[Array, Array, Array]:
        """Return Ik and its derivatives by the grid's and the screen's voltage."""
        v = np.clip(screen, 0.0, FARTHEST)
        per_root = 1.0 / np.sqrt(self.kvb + v * v)
        t = np.clip(grid, -FARTHEST, FARTHEST) * per_root
        soft, share = _softplus_and_share(self.kp * (1.0 / self.mu + t))
        soft = soft / self.kp
        e = v * soft
        w = 2.0 * e ** (self.ex - 1.0)
        slope, at = self.ex * w, v * per_root
        by_grid = slope * share * at * (np.abs(grid) < FARTHEST)
        by_screen = slope * (soft - share * t * at * at) * (screen < FARTHEST)
        return w * e, by_grid, by_screen

    def _shares(self, anode: Array) -> tuple[Array, Array, Array, Array]:
        """Return what anode and screen get of Ik, each with its derivative by the anode's voltage."""
        v = np.clip(anode, 0.0, FARTHEST)
        if self.beam:
            root = np.sqrt(self.beta * v)
            depth = np.minimum(root * self.beta * v, 700.0)
            # What the knee leaves: as a difference it would be noise where the anode stands at its cathode.
            knee, left = np.exp(-depth), -np.expm1(-depth)
            knee_slope = -1.5 * self.beta * root * knee
        else:
            knee = 1.0 / (1.0 + self.beta * v)
            left = self.beta * v * knee
            knee_slope = -self.beta * knee * knee
        follows = (anode > 0) & (anode < FARTHEST)
        most, lean = 1.0 / self.kg1 - 1.0 / self.kg2, self.a / self.kg1
        to_anode = most * left + lean * v
        to_screen = (1.0 + self.alpha_s * knee) / self.kg2
        knee_slope = knee_slope * follows
        return to_anode, lean * follows - most * knee_slope, to_screen, (self.alpha_s / self.kg2) * knee_slope

    def scaled(self, factor: float) -> ReefmanPentode:
        """See `Law.scaled`."""
        return replace(self, kg1=_per(self.kg1, factor), kg2=_per(self.kg2, factor), grid=_weaker(self.grid, factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """Vacuum diode: I = perveance·V^1.5 where V > 0; one anode of a rectifier.

    Attributes:
        perveance: In A/V^1.5.

    Source:
        Child and Langmuir's law.
    """

    perveance: float

    ports: ClassVar[tuple[str, ...]] = ("anode",)

    def currents(self, voltages: Array) -> Array:
        """See `Law.currents`."""
        return self.slopes(voltages)[0]

    def slopes(self, voltages: Array) -> tuple[Array, Array]:
        """See `Law.slopes`."""
        v = np.clip(voltages, 0.0, FARTHEST)
        root = self.perveance * np.sqrt(v)
        return root * v, (1.5 * root * (voltages < FARTHEST))[None]

    def drop(self, current: Array) -> Array:
        """Return the voltage [V] across it at a current [A], shape as the current."""
        if not self.perveance:
            return np.where(current > 0, np.inf, 0.0)
        return (np.clip(current, 0.0, None) / self.perveance) ** (2.0 / 3.0)

    def scaled(self, factor: float) -> Diode:
        """See `Law.scaled`."""
        return replace(self, perveance=self.perveance * factor)


def _softplus(x: Array) -> Array:
    """Return ln(1 + exp(x)) without overflow."""
    return np.maximum(x, 0.0) + np.log1p(np.exp(-np.abs(x)))


def _softplus_and_share(x: Array) -> tuple[Array, Array]:
    """Return ln(1 + exp(x)) and its derivative 1/(1 + exp(−x)), without overflow."""
    small = np.exp(-np.abs(x))
    return np.maximum(x, 0.0) + np.log1p(small), np.exp(np.minimum(x, 0.0)) / (1.0 + small)


def _weaker(grid: GridCurrent, factor: float) -> GridCurrent:
    return replace(grid, perveance=grid.perveance * factor)


def _per(scale: float, factor: float) -> float:
    """Return the current scale of a weaker cathode; none at all is an endless scale."""
    return scale / factor if factor else math.inf


def _require(law: object, positive: str, exponent: float = 1.5) -> None:
    """Refuse parameters that are not finite or positive where they must be, and an exponent that is not above 1."""
    for name in positive.split():
        value = getattr(law, name)
        if not value > 0 or value != value:
            raise LawError(type(law).__name__, name, f"it is {value}; it must be positive")
    if not 1 < exponent < 10:
        raise LawError(type(law).__name__, "the exponent", f"it is {exponent}; it must be more than 1 and less than 10")
