"""The laws that several tests go through: one of each form, and every one of the catalogue."""

from __future__ import annotations

import numpy as np

from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.models import Array, Diode, GridCurrent, KorenTriode, Law, PowerTriode, ReefmanPentode
from tutor.circuits.valves.valve import Valve

GRID = GridCurrent(3e-4)
TRIODE = KorenTriode(mu=100, ex=1.4, kg1=1060, kp=600, kvb=300, grid=GRID)
PENTODE = ReefmanPentode(
    mu=20.0, ex=1.4, kg1=420, kg2=4400, kp=100, kvb=1900, alpha_s=7.4, a=4.5e-4, beta=0.15, grid=GRID
)
BEAM = ReefmanPentode(
    mu=10.0, ex=1.33, kg1=1370, kg2=13400, kp=49, kvb=2600, alpha_s=6.9, a=4.5e-4, beta=0.069, beam=True, grid=GRID
)
POWER = PowerTriode(k=1.089e-5, mu=20.43, grid=GRID)
DIODE = Diode(perveance=1.9e-3)
FORMS: dict[str, Law] = {"triode": TRIODE, "pentode": PENTODE, "beam": BEAM, "power": POWER, "diode": DIODE}

FITTED: dict[str, Valve] = {
    f"{name} {kind} {fit.name}": fit.valve(name)
    for name in known_types()
    for kind, system in valve_type(name).systems.items()
    for fit in system.fits
}
TRIODES = {key: valve for key, valve in FITTED.items() if valve.law.ports == ("anode", "grid")}
PENTODES = {key: valve for key, valve in FITTED.items() if "screen" in valve.law.ports}
LAWS: dict[str, Law] = FORMS | {key: valve.law for key, valve in FITTED.items()}


def grid_of_voltages(law: Law) -> Array:
    """Return voltages all over where a law is used, shape (ports, points)."""
    axes = {"anode": [0.5, 5.0, 30.0, 120.0, 250.0, 480.0], "grid": [-40.0, -8.0, -2.0, -0.5, 0.0, 3.0]}
    axes["screen"] = [20.0, 100.0, 250.0, 400.0]
    return np.stack([axis.ravel() for axis in np.meshgrid(*(axes[port] for port in law.ports), indexing="ij")])
