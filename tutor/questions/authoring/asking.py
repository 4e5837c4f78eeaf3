"""What can be asked of a circuit: every voltage, current, power, gain … with a name and a wording to begin with."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Any

from tutor.circuits.asked import CircuitAsk, read_circuit_ask
from tutor.circuits.network import Network
from tutor.circuits.parts.passive import Capacitor, Inductor
from tutor.circuits.parts.sources import CurrentSource, VoltageSource

MOST = 120


@dataclass(frozen=True, slots=True)
class Askable:
    """One thing to ask.

    Attributes:
        form: The `of circuit:` of the file.
        label: For a list.
        name: For the value.
        text: A wording to begin with.
    """

    form: Mapping[str, Any]
    label: str
    name: str
    text: str

    @property
    def key(self) -> str:
        """The form as one line of text, for a list in a page."""
        return key_of(self.form)

    @property
    def ask(self) -> CircuitAsk:
        """The form as the circuits know it."""
        return read_circuit_ask(self.form)


def key_of(form: Any) -> str:
    """Return a form as one line of text."""
    return json.dumps(form, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def askables(network: Network) -> tuple[Askable, ...]:
    """Return what can be asked of a circuit, the likeliest first."""
    return tuple(islice(_askables(network), MOST))


def _askables(network: Network) -> Iterator[Askable]:
    fixed = {node for p in network.parts if isinstance(p, VoltageSource) for node in p.pins.values()}
    nodes = [node for node in network.nodes if node != "0"]
    for node in (*(n for n in nodes if n not in fixed), *(n for n in nodes if n in fixed)):
        text = f"What voltage stands at {_the(node)}?"
        yield Askable({"voltage": node}, f"voltage of {node}", _name(f"v_{node}"), text)
    for part in network.parts:
        if part.pins and not isinstance(part, Capacitor):
            ref = part.reference
            yield Askable(
                {"current": ref}, f"current through {ref}", _name(f"i_{ref}"), f"What current flows through `{ref}`?"
            )
    for part in network.parts:
        if part.pins and not isinstance(part, VoltageSource | CurrentSource | Capacitor | Inductor):
            ref = part.reference
            yield Askable(
                {"power": ref}, f"power in {ref}", _name(f"p_{ref}"), f"What power is turned into heat in `{ref}`?"
            )
    for start in (*(n for n in nodes if n in fixed), *(n for n in nodes if n not in fixed)):
        for end in nodes:
            if start != end and end not in fixed:
                text = f"What is the gain from {_the(start)} to {_the(end)}?"
                form = {"gain": {"from": start, "to": end}}
                yield Askable(form, f"gain from {start} to {end}", "gain", text)
    for node in (n for n in nodes if n not in fixed):
        text = f"What resistance is seen at {_the(node)}, the sources dead?"
        yield Askable({"impedance": node}, f"impedance at {node}", _name(f"z_{node}"), text)
    stores = [part for part in network.parts if isinstance(part, Capacitor | Inductor)]
    if len(stores) == 1:
        ref = stores[0].reference
        yield Askable({"time constant": ref}, f"time constant of {ref}", "tau", "What is the time constant?")


def _the(node: str) -> str:
    return f"the {node}" if re.fullmatch(r"[a-z]{3,}", node) else f"node {node}"


def _name(text: str) -> str:
    return re.sub(r"\W", "_", text, flags=re.ASCII)[:40]
