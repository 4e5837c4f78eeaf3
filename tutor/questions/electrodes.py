"""Pin numbers of the electrodes of valves, by their bases; of sheets that were seen, and not from memory."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tutor.circuits.errors import CircuitError
from tutor.circuits.valves.catalogue import valve_type

ELECTRODES = ("anode", "grid", "screen", "suppressor", "cathode")
_FROM_MEMORY = "memory"


def pin_numbers(types: Iterable[tuple[str, str]]) -> dict[str, dict[str, str]]:
    """Return electrode → pin number for each valve, by its reference; nothing for a type that is not known.

    Two valves of a twin type are taken to be the two systems of one envelope, in order.

    Args:
        types: Reference and type of each valve of a circuit, in order.
    """
    found: dict[str, dict[str, str]] = {}
    count: dict[str, int] = {}
    for reference, name in types:
        try:
            valve = valve_type(name)
        except CircuitError:
            continue
        if valve.pins_seen != _FROM_MEMORY:
            before = count.get(valve.name, 0)
            count[valve.name] = before + 1
            found[reference] = _of_system(valve.pins, before % 2 + 1)
    return found


def _of_system(pins: Mapping[int, str], system: int) -> dict[str, str]:
    twin = any(what.endswith(" 2") for what in pins.values())
    numbers: dict[str, str] = {}
    for pin, what in pins.items():
        for electrode in ELECTRODES:
            wanted = f"{electrode} {system}" if twin else electrode
            if what == wanted or (not twin and electrode in what.split(" and ")):
                numbers[electrode] = str(pin)
    return numbers
