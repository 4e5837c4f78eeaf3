"""What generated programs call for plots: currents of triodes, a reservoir's trace, and readings off curves.

Each works on single numbers and on arrays of draws, so that a question drawn alone has the key that was checked among
many. NumPy is loaded only when a valve is asked, or many draws are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any

from tutor.circuits.valves.catalogue import valve_type

STATIONS = 49
"""Places along the paper between which a crossing is looked for."""

HALVINGS = 50
THIRDS = 90
MOST_STEPS = 60
Function = Callable[[Any], Any]
Paper = tuple[float, float, bool, str]
"""Where the paper begins and ends across, whether it is logarithmic, and from which side crossings count."""


@cache
def _law(name: str) -> Any:
    return valve_type(name).valve().law


def valve_current(name: str, anode_voltage: Any, grid_voltage: Any) -> Any:
    """Return a triode's anode current [A] at an anode and a grid voltage [V]; numbers, or arrays that fit together."""
    import numpy as np

    voltages = np.stack(np.broadcast_arrays(np.asarray(anode_voltage, float), np.asarray(grid_voltage, float)))
    found = _law(name).currents(voltages)[0]
    return float(found) if found.ndim == 0 else found


def bias_current(name: str, anode_voltage: Any, cathode_resistor: Any) -> Any:
    """Return a triode's current [A] with the bias that its cathode resistor [Ω] makes, at an anode voltage [V].

    Newton's steps from no current upwards: the law bends one way only, so that none of them oversteps.
    """
    import numpy as np

    anode, resistor = np.broadcast_arrays(np.asarray(anode_voltage, float), np.asarray(cathode_resistor, float))
    found = np.zeros(anode.shape)
    for _ in range(MOST_STEPS):
        currents, slopes = _law(name).slopes(np.stack([anode, -found * resistor]))
        step = (currents[0] - found) / (1.0 + slopes[0, 1] * resistor)
        found = found + step
        if np.all(np.abs(step) <= 1e-15 * found):
            break
    return float(found) if found.ndim == 0 else found


def reservoir_scalar(time: float, peak: float, fall: float, frequency: float) -> float:
    """Return the voltage [V] on a reservoir: full-wave rectified without loss, a steady current drawn from it.

    Args:
        time: Since a crest of the rectified mains [s].
        peak: Of the mains [V].
        fall: What the load's current takes in a second [V/s]: current over capacitance.
        frequency: Of the mains [Hz].

    Source:
        Charge balance: the rectifier lets go where the sine falls as steeply as the load discharges, and takes hold
        where the next half cycle meets the falling line; common practice.
    """
    omega = 2 * math.pi * frequency
    after = math.fmod(time, 0.5 / frequency)
    let_go = math.asin(min(1.0, fall / (omega * peak))) / omega
    sine = peak * abs(math.cos(omega * after))
    return sine if after <= let_go else max(sine, peak * math.cos(omega * let_go) - fall * (after - let_go))


def reservoir_array(time: Any, peak: Any, fall: Any, frequency: Any) -> Any:
    """Return the same for arrays that fit together."""
    import numpy as np

    omega = 2 * np.pi * frequency
    after = np.fmod(time, 0.5 / frequency)
    let_go = np.arcsin(np.minimum(1.0, fall / (omega * peak))) / omega
    sine = peak * np.abs(np.cos(omega * after))
    line = peak * np.cos(omega * let_go) - fall * (after - let_go)
    return np.where(after <= let_go, sine, np.maximum(sine, line))


def _stations(paper: Paper) -> list[float]:
    low, high, logarithmic, _ = paper
    shares = [n / (STATIONS - 1) for n in range(STATIONS)]
    if logarithmic:
        return [low * (high / low) ** share for share in shares]
    return [low + (high - low) * share for share in shares]


# -- single numbers --------------------------------------------------------------------------------------------------
def crossing_scalar(paper: Paper, difference: Function) -> float:
    """Return where a difference of two curves changes its sign; nan where it does not."""
    xs = _stations(paper)
    signs = [difference(x) > 0 for x in xs]
    found = [index for index in range(1, STATIONS) if signs[index] != signs[index - 1]]
    if not found:
        return math.nan
    index = found[-1 if paper[3] == "right" else 0]
    low, high, was_above = xs[index - 1], xs[index], signs[index - 1]
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if (difference(middle) > 0) == was_above:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def extreme_scalar(paper: Paper, sign: float, curve: Function) -> float:
    """Return the largest height of a curve for the sign 1, the least for −1."""
    xs = _stations(paper)
    heights = [sign * curve(x) for x in xs]
    index = heights.index(max(heights))
    low, high = xs[max(index - 1, 0)], xs[min(index + 1, STATIONS - 1)]
    for _ in range(THIRDS):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        if sign * curve(a) < sign * curve(b):
            low = a
        else:
            high = b
    return float(curve((low + high) / 2))


# -- arrays of draws -------------------------------------------------------------------------------------------------
def crossing_array(paper: Paper, difference: Function) -> Any:
    """Return the same for arrays: one place for every draw."""
    import numpy as np

    xs = np.array(_stations(paper))
    above = np.atleast_2d(difference(xs[:, None]) > 0)
    changes = above[1:] != above[:-1]
    index = np.argmax(changes, axis=0) if paper[3] == "left" else len(changes) - 1 - np.argmax(changes[::-1], axis=0)
    low, high = xs[index], xs[index + 1]
    was_above = np.take_along_axis(above, index[None, :], axis=0)[0]
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        same = (difference(middle) > 0) == was_above
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return np.where(changes.any(axis=0), (low + high) / 2, np.nan)


def extreme_array(paper: Paper, sign: float, curve: Function) -> Any:
    """Return the same for arrays: one height for every draw."""
    import numpy as np

    xs = np.array(_stations(paper))
    index = np.argmax(np.atleast_2d(sign * curve(xs[:, None])), axis=0)
    low, high = xs[np.maximum(index - 1, 0)], xs[np.minimum(index + 1, STATIONS - 1)]
    for _ in range(THIRDS):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        rising = sign * curve(a) < sign * curve(b)
        low, high = np.where(rising, a, low), np.where(rising, high, b)
    return curve((low + high) / 2)


def plot_scalars() -> dict[str, Any]:
    """Return the namespace for single numbers."""
    return {
        "valve_current_": valve_current,
        "bias_current_": bias_current,
        "reservoir_": reservoir_scalar,
        "crossing_": crossing_scalar,
        "extreme_": extreme_scalar,
    }


def plot_arrays() -> dict[str, Any]:
    """Return the namespace for arrays of draws."""
    return {
        "valve_current_": valve_current,
        "bias_current_": bias_current,
        "reservoir_": reservoir_array,
        "crossing_": crossing_array,
        "extreme_": extreme_array,
    }
