"""A circuit with parts opened or shorted: what a fault or a thought experiment makes of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from tutor.circuits.network import Network
from tutor.circuits.parts import Part


def rewired(network: Network | None, changes: Mapping[str, str]) -> Network | None:
    """Return the network with some parts open or short.

    Args:
        network: The circuit, or None.
        changes: Reference → `open` or `short`.
    """
    if network is None:
        return None
    for reference, change in changes.items():
        network = network.without(reference) if change == "open" else _shorted(network, reference)
    return network


def _shorted(network: Network, reference: str) -> Network:
    """Take a part out and join its two nodes; earth keeps its name."""
    kept, gone = network.part(reference).terminals()
    if gone == "0":
        kept, gone = gone, kept
    parts: list[Part] = []
    for part in network.without(reference).parts:
        pins = {pin: kept if node == gone else node for pin, node in part.pins.items()}
        parts.append(_with_control(dataclasses.replace(part, pins=pins), kept, gone))
    return Network(tuple(parts))


def _with_control(part: Part, kept: str, gone: str) -> Part:
    control = getattr(part, "control", None)
    if isinstance(control, tuple) and gone in control:
        renamed = tuple(kept if node == gone else node for node in control)
        return dataclasses.replace(part, control=renamed)  # type: ignore[call-arg]  # only controlled sources get here
    return part
