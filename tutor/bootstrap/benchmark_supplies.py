"""The supplies that the benchmark solves: of one kind, with values as amplifiers have them."""

from __future__ import annotations

from typing import Any

import numpy as np

from tutor.circuits.supply.description import Load, Section, Supply, Topology, Vacuum, Winding


def supplies(draws: int) -> Supply:
    """Return bi-phase supplies with a rectifier valve, a reservoir, a choke section and an R-C section."""
    random = np.random.default_rng(11)

    def between(low: float, high: float) -> Any:
        return random.uniform(low, high, draws)

    choke = Section(resistance=between(100, 400), inductance=between(5, 15), capacitance=between(16e-6, 50e-6))
    resistor = Section(resistance=between(1e3, 5e3), capacitance=between(8e-6, 32e-6))
    return Supply(
        winding=Winding(emf=between(250, 350), resistance=between(50, 250), frequency=50.0),
        topology=Topology.BI_PHASE,
        rectifier=Vacuum(perveance=between(1e-3, 4e-3)),
        reservoir=between(16e-6, 50e-6),
        sections=(choke, resistor),
        load=Load(current=between(0.02, 0.05)),
        bleeder=220e3,
    )
