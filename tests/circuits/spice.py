"""A second opinion from outside: the same circuit as a netlist for ngspice, where that is installed.

ngspice is an independent circuit simulator; what it prints is never looked at but by these tests.
"""

from __future__ import annotations

import cmath
import math
import os
import re
import shutil
import subprocess
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from tests.circuits.networks import Parts
from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.network import Network

PROGRAM = shutil.which("ngspice")
FIGURES = 15


def want_ngspice() -> None:
    """Skip without ngspice on a user's machine; fail where everything is meant to be tested."""
    if PROGRAM is None:
        if os.environ.get("CI") == "true":
            pytest.fail("ngspice is missing; install it where CI=true")
        pytest.skip("ngspice is not installed")


def _number(text: str) -> str:
    return text.split()[0].removesuffix("°")


def _netlist(parts: Parts, ac: bool) -> list[str]:
    """Return the cards; a part whose current controls another gets a source of 0 V in series to measure it."""
    measured = {part["control"] for part in parts.values() if isinstance(part.get("control"), str)}
    cards = []
    for name, part in parts.items():
        nodes = list(part.get("nodes", []))
        if name in measured:
            cards.append(f"Vmeasure_{name} {nodes[0]} {name}_in 0")
            nodes[0] = f"{name}_in"
        cards += _cards(name, part, nodes, ac)
    return cards


def _side(name: str, first: str, second: str, ohms: float) -> str:
    """Return one side of a control; turned fully it is a wire, which ngspice takes from a source of 0 V alone.

    A resistor of 0 ohms would be taken as one of 1 milliohm.
    """
    if first == second:
        return f"* {name}: both ends on one node"
    return f"R{name} {first} {second} {ohms!r}" if ohms else f"V{name} {first} {second} 0"


def _cards(name: str, part: Mapping[str, Any], nodes: list[str], ac: bool) -> list[str]:
    value = _number(part.get("value", "0"))
    between = " ".join(nodes)
    match part["kind"]:
        case "resistor" | "capacitor" | "inductor":
            return [f"{name} {between} {value}"]
        case "voltage source" | "current source":
            return [f"{name} {between} " + (f"dc 0 ac {value} {_number(part.get('phase', '0'))}" if ac else value)]
        case "coupling":
            return [f"{name} {' '.join(part['coils'])} {value}"]
        case "voltage-controlled voltage source" | "voltage-controlled current source":
            return [f"{name} {between} {' '.join(part['control'])} {value}"]
        case "current-controlled voltage source" | "current-controlled current source":
            return [f"{name} {between} Vmeasure_{part['control']} {value}"]
        case "potentiometer":
            (top, wiper, foot), track, turn = nodes, float(value), float(part["turn"])
            return [_side(f"{name}u", top, wiper, track * (1 - turn)), _side(f"{name}l", wiper, foot, track * turn)]
        case "triode":
            anode, grid, cathode = (part["nodes"][pin] for pin in ("anode", "grid", "cathode"))
            slope, resistance = float(part["mu"]) / float(_number(part["ra"])), _number(part["ra"])
            return [f"G{name} {anode} {cathode} {grid} {cathode} {slope!r}", f"R{name} {anode} {cathode} {resistance}"]
        case "meter":
            return [f"R{name} {between} {_number(part['resistance'])}"]
        case "transformer":
            (a, b), (c, d) = part["windings"].values()
            first, second = (float(turns) for turns in part["turns"].values())
            # v2 = (N2/N1)·v1 behind a measuring source, i1 = −(N2/N1)·i2.
            return [
                f"E{name} {name}_x {d} {a} {b} {second / first!r}",
                f"V{name} {c} {name}_x 0",
                f"F{name} {a} {b} V{name} {-second / first!r}",
            ]
    raise AssertionError(part["kind"])


def node_voltages(parts: Parts, nodes: tuple[str, ...], frequency: float | None) -> dict[str, complex]:
    """Return the voltages of some nodes as ngspice works them out."""
    analysis = "op" if frequency is None else f"ac lin 1 {frequency!r} {frequency!r}"
    return voltages_of(_netlist(parts, frequency is not None), nodes, analysis)


def voltages_of(cards: list[str], nodes: tuple[str, ...], analysis: str = "op") -> dict[str, complex]:
    """Return the voltages of some nodes of a netlist as ngspice works them out."""
    lines = ["* a circuit", *cards, ".options reltol=1e-6 abstol=1e-15 vntol=1e-9", ".control", f"set numdgt={FIGURES}"]
    lines += [analysis, *(f"print v({node})" for node in nodes), ".endc", ".end"]
    assert PROGRAM is not None
    done = subprocess.run(
        [PROGRAM, "-b"], input="\n".join(lines) + "\n", capture_output=True, text=True, timeout=60, check=False
    )
    found = dict(re.findall(r"^v\((\w+)\) = (\S+)", done.stdout, re.MULTILINE))
    assert set(found) == {node.lower() for node in nodes}, done.stdout + done.stderr
    return {node: complex(*(float(piece) for piece in found[node.lower()].split(","))) for node in nodes}


def cards_of(network: Network, values: Mapping[str, Any], analysis: Analysis) -> list[str]:
    """Return the cards of a circuit whose values are all known, by symbol.

    Raises:
        KeyError: If it holds a kind of part that no bank uses.
    """
    ac = analysis.kind == "ac"
    return [card for part in network.parts for card in _CARDS[part.kind](part, values, ac)]


def _plain(part: Any, values: Mapping[str, Any], _: bool) -> list[str]:
    letter = {"capacitor": "C", "inductor": "L"}.get(part.kind, "R")
    a, b = part.terminals()
    return [f"{letter}_{part.reference} {a} {b} {float(values[part.reference])!r}"]


def _source(part: Any, values: Mapping[str, Any], ac: bool) -> list[str]:
    amplitude = part.amplitude(AC if ac else DC)
    phasor = 0j if amplitude is None else complex(amplitude.value(values))
    a, b = part.terminals()
    angle = math.degrees(cmath.phase(phasor))
    size = f"dc 0 ac {abs(phasor)!r} {angle!r}" if ac else repr(phasor.real)
    return [f"{'V' if part.kind == 'voltage source' else 'I'}_{part.reference} {a} {b} {size}"]


def _track(part: Any, values: Mapping[str, Any], _: bool) -> list[str]:
    track = float(values[part.reference])
    share = float(values.get(f"share_{part.reference}", values[f"turn_{part.reference}"]))
    top, wiper, foot = (part.pins[pin] for pin in ("top", "wiper", "foot"))
    return [
        _side(f"_{part.reference}u", top, wiper, track * (1 - share)),
        _side(f"_{part.reference}l", wiper, foot, track * share),
    ]


def _valve(part: Any, values: Mapping[str, Any], _: bool) -> list[str]:
    mu, ra, gm = (values.get(f"{name}_{part.reference}") for name in ("mu", "ra", "gm"))
    slope = float(gm if gm is not None else mu / ra)
    resistance = float(ra if ra is not None else mu / gm)
    anode, grid, cathode = (part.pins[pin] for pin in ("anode", "grid", "cathode"))
    return [
        f"G_{part.reference} {anode} {cathode} {grid} {cathode} {slope!r}",
        f"R_{part.reference} {anode} {cathode} {resistance!r}",
    ]


def _amplifier(part: Any, values: Mapping[str, Any], _: bool) -> list[str]:
    letter = "E" if part.kind == "voltage-controlled voltage source" else "G"
    nodes = " ".join((*part.terminals(), *part.control))
    return [f"{letter}_{part.reference} {nodes} {float(values[part.reference])!r}"]


def _windings(part: Any, values: Mapping[str, Any], _: bool) -> list[str]:
    """Every winding hangs by a source on the first, whose current is the sum of theirs by the turns."""
    ends = {name: (part.pins[f"{name} start"], part.pins[f"{name} end"]) for name in part.windings}
    (first, (a, b)), *others = ends.items()
    cards = []
    for name, (c, d) in others:
        ratio = float(values[f"turns_{part.reference}_{name}"] / values[f"turns_{part.reference}_{first}"])
        tag = f"{part.reference}_{name}"
        cards += [
            f"E_{tag} {tag}_x {d} {a} {b} {ratio!r}",
            f"V_{tag} {c} {tag}_x 0",
            f"F_{tag} {a} {b} V_{tag} {-ratio!r}",
        ]
    return cards


_CARDS: dict[str, Callable[[Any, Mapping[str, Any], bool], list[str]]] = {
    "resistor": _plain, "meter": _plain, "capacitor": _plain, "inductor": _plain, "voltage source": _source,
    "current source": _source, "potentiometer": _track, "triode": _valve, "pentode": _valve, "transformer": _windings,
    "voltage-controlled voltage source": _amplifier, "voltage-controlled current source": _amplifier,
}  # fmt: skip
