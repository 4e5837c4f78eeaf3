"""Types of valves by name.

>>> valve_type("12AX7").name
'ECC83'
>>> valve_type("EL84").system().ratings.anode_dissipation
12.0
"""

from __future__ import annotations

from functools import cache

from tutor.circuits.valves.errors import UnknownValveError
from tutor.circuits.valves.sheet import ValveType
from tutor.circuits.valves.type_file import read_types


@cache
def _types() -> dict[str, ValveType]:
    return read_types()


@cache
def _by_spelling() -> dict[str, ValveType]:
    return {_spelling(name): found for found in _types().values() for name in (found.name, *found.aliases)}


def _spelling(name: str) -> str:
    return "".join(name.split()).replace("-", "").upper()


def known_types() -> tuple[str, ...]:
    """Return the names of all types, as their sheets write them."""
    return tuple(_types())


def valve_type(name: str) -> ValveType:
    """Return a type by its designation or by that of the same valve elsewhere.

    Args:
        name: "ECC83", "12AX7", "ecc 83" …

    Raises:
        UnknownValveError: If the catalogue has no such type; says what is near, and of a relative in what it differs.
    """
    found = _by_spelling().get(_spelling(name))
    if found is not None:
        return found
    relative = ""
    for other in _types().values():
        for relation, differs in other.relatives.items():
            if _spelling(relation) == _spelling(name):
                relative = f"the {relation} is {differs}" if differs.startswith("like") else f"it is {differs}"
    raise UnknownValveError(name, "valve type", known_types(), relative)
