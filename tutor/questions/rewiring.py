"""A circuit with parts opened or shorted: what a fault or a thought experiment makes of it."""

from __future__ import annotations

from collections.abc import Mapping

from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.sources import VoltageSource
from tutor.quantities import VOLT, Quantity


def rewired(network: Network | None, changes: Mapping[str, str]) -> Network | None:
    """Return the network with some parts open or short.

    Args:
        network: The circuit, or None.
        changes: Reference → `open` or `short`.

    Raises:
        NodeError: If a reference is no part of the circuit.
    """
    if network is None:
        return None
    for reference, change in changes.items():
        part = network.part(reference)
        network = network.without(reference)
        if change == "short":
            network = network.with_part(_wire(part))
    return network


def _wire(part: Part) -> Part:
    """Return a wire in the place of a part: a source of no volts, so that both its nodes can still be asked for."""
    first, second = part.terminals()
    # Its symbol must be none of the template's values, which begin with a letter.
    return VoltageSource(
        reference=f"0{part.reference}",
        pins={"a": first, "b": second},
        unit=VOLT,
        value=Quantity(0.0, VOLT),
        dc=None,
        ac=None,
        phase=None,
    )
