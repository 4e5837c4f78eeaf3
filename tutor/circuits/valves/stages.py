"""The usual stages of one or two valves, put into the form that `operating_point` wants.

Every value may be a number or an array of shape (draws,). Voltages are counted from earth (chassis), where the supply's
negative end is; the grid leak carries no current until the grid draws some.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tutor.circuits.valves.models import Array
from tutor.circuits.valves.operating_point import OperatingPoint, operating_point
from tutor.circuits.valves.valve import Valve


def cathode_bias(
    valve: Valve,
    ht: ArrayLike,
    anode_load: ArrayLike,
    cathode_resistor: ArrayLike,
    *,
    grid_leak: ArrayLike = 0.0,
    grid_voltage: ArrayLike = 0.0,
) -> OperatingPoint:
    """Return the operating point of a triode that makes its own bias.

    With an anode load of 0 it is a cathode follower.

    Args:
        valve: A triode.
        ht: Supply [V].
        anode_load: Between supply and anode [Ω].
        cathode_resistor: Between cathode and earth [Ω].
        grid_leak: Between grid and `grid_voltage` [Ω].
        grid_voltage: Where the leak ends, from earth [V].

    Raises:
        PortError: If the valve has a screen or no grid, or the arrays do not go together.
    """
    ht, ra, rk, rg, vg = _arrays(ht, anode_load, cathode_resistor, grid_leak, grid_voltage)
    return operating_point([valve], _rows([ht, vg]), _matrix([[ra + rk, rk], [rk, rk + rg]]))


def fixed_bias(
    valve: Valve, ht: ArrayLike, anode_load: ArrayLike, grid_voltage: ArrayLike, *, grid_leak: ArrayLike = 0.0
) -> OperatingPoint:
    """Return the operating point of a triode with an earthed cathode and a bias of its own on the grid.

    Args:
        valve: A triode.
        ht: Supply [V].
        anode_load: Between supply and anode [Ω].
        grid_voltage: Bias [V], negative as a rule.
        grid_leak: Between grid and bias [Ω].

    Raises:
        PortError: If the valve has a screen or no grid, or the arrays do not go together.
    """
    return cathode_bias(valve, ht, anode_load, 0.0, grid_leak=grid_leak, grid_voltage=grid_voltage)


def split_load(
    valve: Valve,
    ht: ArrayLike,
    load: ArrayLike,
    bias_resistor: ArrayLike,
    *,
    cathode_load: ArrayLike | None = None,
    grid_leak: ArrayLike = 0.0,
) -> OperatingPoint:
    """Return the operating point of a split-load phase splitter whose leak returns to the foot of its bias resistor.

    For one whose grid is joined to the anode before it, use `direct_coupled`.

    Args:
        valve: A triode.
        ht: Supply [V].
        load: Between supply and anode [Ω].
        bias_resistor: Between cathode and cathode load [Ω].
        cathode_load: Between bias resistor and earth [Ω]; as the anode's when left out.
        grid_leak: Between grid and the foot of the bias resistor [Ω].

    Raises:
        PortError: If the valve has a screen or no grid, or the arrays do not go together.
    """
    ht, ra, rb, rl, rg = _arrays(ht, load, bias_resistor, load if cathode_load is None else cathode_load, grid_leak)
    return operating_point([valve], _rows([ht, 0 * ht]), _matrix([[ra + rb + rl, rb], [rb, rb + rg]]))


def direct_coupled(
    first: Valve,
    second: Valve,
    ht: ArrayLike,
    loads: tuple[ArrayLike, ArrayLike],
    cathode_resistors: tuple[ArrayLike, ArrayLike],
    *,
    grid_leak: ArrayLike = 0.0,
) -> OperatingPoint:
    """Return the operating points of two triodes, the second grid joined to the first anode.

    With a second anode load of 0 the second is a cathode follower; with one equal to its cathode resistor it is a
    split-load phase splitter.

    Args:
        first: A triode.
        second: A triode.
        ht: Supply [V].
        loads: Between supply and the two anodes [Ω].
        cathode_resistors: Between the two cathodes and earth [Ω].
        grid_leak: Between the first grid and earth [Ω].

    Raises:
        PortError: If a valve has a screen or no grid, or the arrays do not go together.
    """
    ht, ra, rb, rk, rl, rg = _arrays(ht, *loads, *cathode_resistors, grid_leak)
    none = 0 * ht
    z = [
        [ra + rk, rk, none, ra],
        [rk, rk + rg, none, none],
        [none, none, rb + rl, rl],
        [ra, none, rl, ra + rl],
    ]
    return operating_point([first, second], _rows([ht, none, ht, ht]), _matrix(z))


def pentode_stage(
    valve: Valve,
    ht: ArrayLike,
    anode_load: ArrayLike,
    screen_resistor: ArrayLike,
    cathode_resistor: ArrayLike,
    *,
    screen_supply: ArrayLike | None = None,
    grid_voltage: ArrayLike = 0.0,
    grid_leak: ArrayLike = 0.0,
) -> OperatingPoint:
    """Return the operating point of a pentode with screen resistor and cathode bias.

    With a cathode resistor of 0 and a negative grid voltage it has fixed bias.

    Args:
        valve: A pentode.
        ht: Supply of the anode [V].
        anode_load: Between supply and anode [Ω].
        screen_resistor: Between supply and screen [Ω].
        cathode_resistor: Between cathode and earth [Ω].
        screen_supply: Supply of the screen [V]; the anode's when left out.
        grid_voltage: Where the leak ends, from earth [V].
        grid_leak: Between grid and `grid_voltage` [Ω].

    Raises:
        PortError: If the valve has no screen, or the arrays do not go together.
    """
    other = ht if screen_supply is None else screen_supply
    ht, hs, ra, rs, rk, vg, rg = _arrays(
        ht, other, anode_load, screen_resistor, cathode_resistor, grid_voltage, grid_leak
    )
    z = [[ra + rk, rk, rk], [rk, rk + rg, rk], [rk, rk, rs + rk]]
    return operating_point([valve], _rows([ht, vg, hs]), _matrix(z))


def _arrays(*values: ArrayLike) -> list[Array]:
    return list(np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=np.float64)) for value in values)))


def _rows(values: list[Array]) -> Array:
    return np.stack(values, axis=-1)


def _matrix(rows: list[list[Array]]) -> Array:
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
