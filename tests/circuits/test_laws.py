"""Laws that every linear circuit obeys, over random ones: none of them knows how the program solves anything."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import AC_KINDS, DC_KINDS, RECIPROCAL, Parts, RandomCircuit, answer, current
from tutor.circuits.network import read_network

SEEDS = st.integers(0, 10**6)
FREQUENCIES = st.one_of(st.none(), st.floats(10.0, 20e3))
CLOSE = 1e-9


def drawn(seed: int, frequency: float | None, **more: Any) -> RandomCircuit:
    kinds = DC_KINDS if frequency is None else AC_KINDS
    return RandomCircuit(seed, kinds, **more).with_source()


def terminals(name: str, part: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Return (what to ask for, first node, second node) of every current that a part carries between two nodes."""
    match part["kind"]:
        case "transformer":
            return [(f"{name}.{winding}", *nodes) for winding, nodes in part["windings"].items()]
        case "triode":
            return [(name, part["nodes"]["anode"], part["nodes"]["cathode"])]
        case "coupling" | "potentiometer":
            return []
    return [(name, *part["nodes"])]


@given(SEEDS, FREQUENCIES)
@settings(max_examples=25)
def test_the_currents_at_every_node_add_up_to_nothing(seed: int, frequency: float | None) -> None:
    kinds = tuple(kind for kind in (DC_KINDS if frequency is None else AC_KINDS) if kind != "potentiometer")
    parts = RandomCircuit(seed, kinds).with_source().parts
    network = read_network(parts)
    sums: dict[str, complex] = {}
    largest = 0.0
    for name, part in parts.items():
        for asked, a, b in terminals(name, part):
            flow = answer(network, {"current": asked}, frequency)
            sums[a], sums[b] = sums.get(a, 0) + flow, sums.get(b, 0) - flow
            largest = max(largest, abs(flow))
    assert all(abs(total) <= CLOSE * largest for total in sums.values()), sums


@given(SEEDS, FREQUENCIES)
@settings(max_examples=25)
def test_as_much_power_is_given_as_is_taken(seed: int, frequency: float | None) -> None:
    """Tellegen's theorem."""
    parts = drawn(seed, frequency).parts
    network = read_network(parts)
    powers = [answer(network, {"power": name}, frequency).real for name in parts if parts[name]["kind"] != "coupling"]
    assert abs(sum(powers)) <= CLOSE * sum(abs(power) for power in powers)


@given(SEEDS, FREQUENCIES)
@settings(max_examples=25)
def test_a_transfer_impedance_is_the_same_both_ways(seed: int, frequency: float | None) -> None:
    """Reciprocity: without valves and controlled sources, source and meter may change places."""
    kinds = ("resistor", "transformer", "potentiometer", "meter") if frequency is None else RECIPROCAL
    circuit = RandomCircuit(seed, kinds)
    first, second = circuit.named[0], circuit.named[-1]
    there = answer({**circuit.parts, "I1": current("0", first, 1e-3)}, {"voltage": second}, frequency)
    back = answer({**circuit.parts, "I1": current("0", second, 1e-3)}, {"voltage": first}, frequency)
    assert abs(there - back) <= CLOSE * max(abs(there), 1e-6)


@given(SEEDS, FREQUENCIES)
@settings(max_examples=20)
def test_sources_together_do_what_they_do_alone(seed: int, frequency: float | None) -> None:
    """Superposition."""
    parts = drawn(seed, frequency, extra=8).parts
    sources = [name for name, part in parts.items() if part["kind"] in ("voltage source", "current source")]

    def alone(only: str) -> Parts:
        dead = {
            name: {**parts[name], "value": "0 " + parts[name]["value"].split()[1]} for name in sources if name != only
        }
        return {**parts, **dead}

    for node in ("n1", "n3"):
        together = answer(parts, {"voltage": node}, frequency)
        singly = [answer(alone(source), {"voltage": node}, frequency) for source in sources]
        assert abs(together - sum(singly)) <= CLOSE * max(1e-9, *(abs(value) for value in singly))


def renamed(parts: Parts, names: dict[str, str]) -> Parts:
    """Return the parts with their nodes called otherwise."""

    def of(value: Any) -> Any:
        if isinstance(value, list):
            return [names.get(node, node) for node in value]
        return {pin: of(nodes) if isinstance(nodes, list) else names.get(nodes, nodes) for pin, nodes in value.items()}

    return {
        name: {key: of(value) if key in ("nodes", "windings") or (key == "control" and isinstance(value, list)) else value
               for key, value in part.items()}
        for name, part in parts.items()
    }  # fmt: skip


@given(SEEDS, FREQUENCIES)
@settings(max_examples=20)
def test_names_of_nodes_and_the_order_of_parts_change_nothing(seed: int, frequency: float | None) -> None:
    parts = drawn(seed, frequency).parts
    nodes = [node for node in read_network(parts).nodes if node != "0"]
    lots = random.Random(seed)
    names = dict(zip(nodes, lots.sample([f"m{place}" for place in range(len(nodes))], len(nodes)), strict=True))
    order = lots.sample(sorted(parts), len(parts))
    other = renamed({name: parts[name] for name in order}, names)
    for node in nodes[:3]:
        plain = answer(parts, {"voltage": node}, frequency)
        assert abs(answer(other, {"voltage": names[node]}, frequency) - plain) <= CLOSE * max(abs(plain), 1e-6)


SCALED = {  # exponent of the impedance scale in each value
    "resistor": 1, "inductor": 1, "capacitor": -1, "voltage-controlled current source": -1,
    "current-controlled voltage source": 1, "current source": -1, "potentiometer": 1, "meter": 1, "triode": 1,
}  # fmt: skip


def scaled(parts: Parts, kinds: dict[str, int], factor: float) -> Parts:
    """Return the parts with the values of some kinds multiplied by a power of the factor."""
    changed: Parts = {}
    for name, part in parts.items():
        key = {"meter": "resistance", "triode": "ra"}.get(part["kind"], "value")
        changed[name] = part
        if part["kind"] in kinds:
            number, unit = part[key].split()
            changed[name] = {**part, key: f"{float(number) * factor ** kinds[part['kind']]!r} {unit}"}
    return changed


@given(SEEDS, FREQUENCIES, st.floats(0.01, 100.0))
@settings(max_examples=20)
def test_scaling_every_impedance_keeps_the_voltages(seed: int, frequency: float | None, factor: float) -> None:
    parts = drawn(seed, frequency).parts
    for node in ("n1", "n2"):
        plain = answer(parts, {"voltage": node}, frequency)
        assert abs(answer(scaled(parts, SCALED, factor), {"voltage": node}, frequency) - plain) <= CLOSE * max(
            abs(plain), 1e-6
        )


@given(SEEDS, st.floats(50.0, 5e3), st.floats(0.05, 20.0))
@settings(max_examples=15)
def test_scaling_the_frequency_is_scaling_coils_and_capacitors(seed: int, frequency: float, factor: float) -> None:
    parts = drawn(seed, frequency).parts
    moved = scaled(parts, {"inductor": -1, "capacitor": -1}, factor)
    plain = answer(parts, {"voltage": "n1"}, frequency)
    assert abs(answer(moved, {"voltage": "n1"}, frequency * factor) - plain) <= CLOSE * max(abs(plain), 1e-6)


@given(SEEDS, FREQUENCIES)
@settings(max_examples=15)
def test_thevenin_and_the_loaded_circuit_agree(seed: int, frequency: float | None) -> None:
    """Open voltage and impedance say what any load gets."""
    parts = drawn(seed, frequency).parts
    open_voltage = answer(parts, {"voltage": ["n1", "n2"]}, frequency)
    impedance = answer(parts, {"impedance": ["n1", "n2"]}, frequency)
    load = 3.3e3
    loaded = {**parts, "RX": {"kind": "resistor", "nodes": ["n1", "n2"], "value": "3.3 kΩ"}}
    expected = open_voltage * load / (load + impedance)
    assert abs(answer(loaded, {"voltage": ["n1", "n2"]}, frequency) - expected) <= 1e-8 * max(abs(expected), 1e-6)


@pytest.mark.parametrize("seed", range(10))
def test_no_passive_circuit_gives_power_away(seed: int) -> None:
    circuit = RandomCircuit(seed, RECIPROCAL)
    for node in circuit.named:
        assert answer(circuit.parts, {"impedance": node}, 1e3).real > 0


@given(SEEDS, SEEDS)
@settings(max_examples=20)
def test_voltages_of_one_circuit_and_currents_of_another_of_the_same_shape_make_no_power(seed: int, other: int) -> None:
    """Tellegen's theorem in full: only Kirchhoff's laws count, not what the parts are."""
    first = RandomCircuit(seed, ("resistor", "voltage", "current"), nodes=4).with_source().parts
    lots = random.Random(other)
    second = {
        name: {**part, "value": f"{lots.uniform(1, 1e4)!r} {part['value'].split()[1]}"} for name, part in first.items()
    }
    powers = [
        answer(first, {"voltage": part["nodes"]}) * answer(second, {"current": name}) for name, part in first.items()
    ]
    assert abs(sum(powers)) <= CLOSE * sum(abs(power) for power in powers)
