"""Random supplies as the bench knows them, and single draws picked out of many."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np

from tutor.circuits.supply.description import (
    Ideal,
    Load,
    Rectifier,
    Section,
    Silicon,
    Supply,
    Topology,
    Vacuum,
    Winding,
)

RECTIFIERS = ("silicon", "vacuum", "ideal")
FILTERS = ("", "R", "L", "LR", "RR", "choke input", "choke input, R")
EVERY_KIND = [
    (topology, rectifier, filter_) for topology in Topology for rectifier in RECTIFIERS for filter_ in FILTERS
]


def random_supplies(topology: Topology, rectifier: str, filter_: str, draws: int, seed: int) -> Supply:
    """Return supplies of one kind with values as found in amplifiers."""
    source = np.random.default_rng(seed)

    def between(low: float, high: float) -> Any:
        return np.exp(source.uniform(np.log(low), np.log(high), draws))

    laws: dict[str, Rectifier] = {
        "silicon": Silicon(drop=between(0.6, 1.0), slope=between(0.1, 5.0)),
        "vacuum": Vacuum(perveance=between(3e-4, 4e-3)),
        "ideal": Ideal(resistance=between(1.0, 100.0)),
    }
    choke_input = filter_.startswith("choke")
    kinds = filter_.replace("choke input, ", "L").replace("choke input", "L")
    sections = [
        Section(resistance=between(100, 4000), capacitance=between(8e-6, 60e-6))
        if kind == "R"
        else Section(resistance=between(50, 500), inductance=between(2, 20), capacitance=between(8e-6, 60e-6))
        for kind in kinds
    ]
    return Supply(
        winding=Winding(
            emf=between(200, 400), resistance=between(20, 300), frequency=source.choice([50.0, 60.0], draws)
        ),
        topology=topology,
        rectifier=laws[rectifier],
        reservoir=0.0 if choke_input else between(8e-6, 60e-6),
        sections=tuple(sections),
        load=Load(resistance=between(2e3, 15e3), current=source.uniform(0.0, 0.02, draws)),
        bleeder=between(100e3, 500e3),
    )


def picked(part: Any, draw: int) -> Any:
    """Return one draw of a supply, as a supply of single numbers."""
    changes: dict[str, Any] = {}
    for each in fields(part):
        value = getattr(part, each.name)
        if is_dataclass(value):
            changes[each.name] = picked(value, draw)
        elif isinstance(value, tuple):
            changes[each.name] = tuple(picked(section, draw) for section in value)
        elif np.ndim(value):
            changes[each.name] = float(value[draw])
    return replace(part, **changes)


def plain(
    topology: Topology = Topology.BRIDGE,
    *,
    emf: Any = 250.0,
    resistance: Any = 50.0,
    reservoir: Any = 32e-6,
    load: Any = 4000.0,
    rectifier: Rectifier | None = None,
    sections: tuple[Section, ...] = (),
) -> Supply:
    """Return a supply that differs from a plain one only where a test says so."""
    return Supply(
        winding=Winding(emf=emf, resistance=resistance, frequency=50.0),
        topology=topology,
        rectifier=rectifier or Ideal(resistance=0.0),
        reservoir=reservoir,
        sections=sections,
        load=Load(resistance=load),
    )
