"""Circuits for the tests: short spellings of parts, and random circuits that always have a solution."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.linear import solve
from tutor.circuits.network import Network, read_network

Parts = dict[str, dict[str, Any]]


def number(value: float, unit: str = "") -> str:
    return f"{value!r} {unit}".strip()


def two_terminal(kind: str, unit: str, a: str, b: str, value: float, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "nodes": [a, b], "value": number(value, unit), **more}


def resistor(a: str, b: str, value: float) -> dict[str, Any]:
    return two_terminal("resistor", "Ω", a, b, value)


def capacitor(a: str, b: str, value: float, **more: Any) -> dict[str, Any]:
    return two_terminal("capacitor", "F", a, b, value, **more)


def inductor(a: str, b: str, value: float, **more: Any) -> dict[str, Any]:
    return two_terminal("inductor", "H", a, b, value, **more)


def coupling(first: str, second: str, value: float) -> dict[str, Any]:
    return {"kind": "coupling", "coils": [first, second], "value": number(value)}


def voltage(a: str, b: str, value: float, phase: float | None = None) -> dict[str, Any]:
    more = {} if phase is None else {"phase": f"{phase!r}°"}
    return two_terminal("voltage source", "V", a, b, value, **more)


def current(a: str, b: str, value: float, phase: float | None = None) -> dict[str, Any]:
    more = {} if phase is None else {"phase": f"{phase!r}°"}
    return two_terminal("current source", "A", a, b, value, **more)


def amplifier(a: str, b: str, control: tuple[str, str], value: float) -> dict[str, Any]:
    return two_terminal("voltage-controlled voltage source", "", a, b, value, control=list(control))


def transconductance(a: str, b: str, control: tuple[str, str], value: float) -> dict[str, Any]:
    return two_terminal("voltage-controlled current source", "A/V", a, b, value, control=list(control))


def transresistance(a: str, b: str, control: str, value: float) -> dict[str, Any]:
    return two_terminal("current-controlled voltage source", "Ω", a, b, value, control=control)


def current_amplifier(a: str, b: str, control: str, value: float) -> dict[str, Any]:
    return two_terminal("current-controlled current source", "", a, b, value, control=control)


def potentiometer(top: str, wiper: str, foot: str, value: float, turn: float, **more: Any) -> dict[str, Any]:
    nodes = [top, wiper, foot]
    return {"kind": "potentiometer", "nodes": nodes, "value": number(value, "Ω"), "turn": number(turn), **more}


def triode(anode: str, grid: str, cathode: str, mu: float, ra: float) -> dict[str, Any]:
    nodes = {"anode": anode, "grid": grid, "cathode": cathode}
    return {"kind": "triode", "nodes": nodes, "mu": number(mu), "ra": number(ra, "Ω")}


def transformer(windings: Mapping[str, tuple[str, str, float]]) -> dict[str, Any]:
    return {
        "kind": "transformer",
        "windings": {name: [a, b] for name, (a, b, _) in windings.items()},
        "turns": {name: number(turns) for name, (_, _, turns) in windings.items()},
    }


def answer(parts: Mapping[str, Any] | Network, ask: Any, frequency: float | None = None) -> complex:
    """Return what is asked of a circuit: at ac where a frequency is given, at dc otherwise."""
    network = parts if isinstance(parts, Network) else read_network(parts)
    asked = read_circuit_ask(ask).asked
    return complex(solve(network, asked, DC if frequency is None else AC, frequency).value)


def analysis_of(frequency: float | None) -> Analysis:
    return DC if frequency is None else AC


DC_KINDS = (
    "resistor", "vcvs", "vccs", "ccvs", "cccs", "current", "voltage", "transformer", "potentiometer", "triode", "meter",
)  # fmt: skip
AC_KINDS = (*DC_KINDS, "capacitor", "inductor", "coils")
RECIPROCAL = ("resistor", "capacitor", "inductor", "coils", "transformer")


class RandomCircuit:
    """Draws a circuit: a tree of resistors from earth, and more parts across it.

    What fixes a voltage stands behind a node and a resistor of its own, so that nothing floats and no loop closes.
    """

    def __init__(self, seed: int, kinds: tuple[str, ...], nodes: int = 4, extra: int = 6) -> None:
        self._lots = random.Random(seed)
        self.parts: Parts = {}
        self._nodes = ["0"]
        for _ in range(nodes):
            self._new_node()
        self.named = tuple(self._nodes[1:])
        self.kinds = kinds
        for _ in range(extra):
            self._add(self._lots.sample(kinds, 1)[0])

    def size(self, low: float, high: float) -> float:
        """Return a value spread evenly over the decades, with four figures as in a file."""
        return float(f"{low * (high / low) ** self._lots.uniform(0, 1):.4g}")

    def _name(self, letter: str) -> str:
        return f"{letter}{len(self.parts) + 1}"

    def _put(self, letter: str, part: dict[str, Any]) -> str:
        name = self._name(letter)
        self.parts[name] = part
        return name

    def _pair(self) -> tuple[str, str]:
        first, second = self._lots.sample(self._nodes, 2)
        return first, second

    def _new_node(self) -> str:
        node = f"n{len(self._nodes)}"
        self._put("R", resistor(node, self._lots.sample(self._nodes, 1)[0], self.size(1e3, 1e5)))
        self._nodes.append(node)
        return node

    def _resistor(self) -> str:
        return self._lots.sample([name for name in self.parts if name.startswith("R")], 1)[0]

    def _add(self, kind: str) -> None:
        a, b = self._pair()
        match kind:
            case "resistor":
                self._put("R", resistor(a, b, self.size(1e3, 1e5)))
            case "capacitor":
                self._put("C", capacitor(a, b, self.size(1e-9, 1e-7)))
            case "inductor":
                self._put("L", inductor(self._new_node(), b, self.size(0.1, 20)))
            case "coils":
                first = self._put("L", inductor(self._new_node(), b, self.size(0.1, 20)))
                second = self._put("L", inductor(self._new_node(), a, self.size(0.1, 20)))
                self._put("K", coupling(first, second, round(self._lots.uniform(-0.95, 0.95), 3)))
            case "transformer":
                primary = (self._new_node(), b, float(self._lots.randint(1, 50)))
                secondary = (self._new_node(), a, float(self._lots.randint(1, 50)))
                self._put("T", transformer({"primary": primary, "secondary": secondary}))
            case "potentiometer":
                turn = round(self._lots.uniform(0.05, 0.95), 3)
                self._put("P", potentiometer(a, self._new_node(), b, self.size(1e4, 1e6), turn))
            case "triode":
                grid = self._lots.sample(self._nodes, 1)[0]
                self._put("X", triode(a, grid, b, self.size(5, 100), self.size(5e3, 1e5)))
            case "meter":
                self._put("M", {"kind": "meter", "nodes": [a, b], "resistance": number(self.size(1e4, 1e7), "Ω")})
            case "vccs":
                self._put("G", transconductance(a, b, self._pair(), self.size(1e-6, 1e-4)))
            case "cccs":
                self._put("F", current_amplifier(a, b, self._resistor(), self.size(0.1, 0.7)))
            case "vcvs":
                control = self._pair()
                self._put("E", amplifier(self._new_node(), b, control, self.size(0.1, 5)))
            case "ccvs":
                control_part = self._resistor()
                self._put("H", transresistance(self._new_node(), b, control_part, self.size(100, 1e4)))
            case "current":
                self._put("I", current(a, b, self.size(1e-4, 1e-2), self._phase()))
            case "voltage":
                self._put("V", voltage(self._new_node(), b, self.size(0.1, 100), self._phase()))
            case _:
                raise AssertionError(kind)

    def _phase(self) -> float | None:
        return float(self._lots.randint(-170, 180)) if "capacitor" in self.kinds else None

    def with_source(self) -> RandomCircuit:
        """Return the circuit with one independent source at least."""
        if not any(name[0] in "VI" for name in self.parts):
            self._put("V", voltage(self._new_node(), "0", self.size(1, 100), self._phase()))
        return self
