"""What is seen without solving: floating nodes and loops of sources, each with its whole message."""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.networks import (
    amplifier,
    capacitor,
    current,
    current_amplifier,
    inductor,
    resistor,
    transconductance,
    transformer,
    transresistance,
    triode,
    voltage,
)
from tutor.circuits.analysis import AC, DC, Analysis
from tutor.circuits.errors import FloatingNodeError, SourceLoopError
from tutor.circuits.network import read_network
from tutor.circuits.topology import Tree

V1, R1 = voltage("in", "0", 1.0), resistor("in", "0", 1e3)
CURE = "give it a path, or ask at another analysis"


def floating(node: str, touching: str, analysis: str = "dc") -> str:
    return (
        f"floating node {node!r}: at {analysis} nothing but {touching} touches it and no path leads from it to node '0'; "
        f"{CURE}"
    )


FLOATING = [
    ("dc behind a capacitor", {"V1": V1, "C1": capacitor("in", "out", 1e-6)}, DC, "out", floating("out", "C1")),
    ("between two capacitors",
     {"V1": V1, "C1": capacitor("in", "x", 1e-6), "C2": capacitor("x", "0", 1e-6)}, DC, "x", floating("x", "C1 and C2")),
    ("a current source only", {"I1": current("0", "x", 1e-3), "R1": R1, "V1": V1}, DC, "x", floating("x", "I1")),
    ("two current sources in a row, at ac",
     {"I1": current("0", "x", 1e-3), "I2": current("x", "0", 1e-3), "R1": R1}, AC, "x", floating("x", "I1 and I2", "ac")),
    ("a bare grid", {"X1": triode("a", "g", "0", 100.0, 1e5), "R1": resistor("a", "0", 1.0)}, DC, "g",
     floating("g", "X1")),
    ("a grid behind its coupling capacitor",
     {"C1": capacitor("in", "g", 1e-6), "V1": V1, "X1": triode("a", "g", "0", 100.0, 1e5), "R1": resistor("a", "0", 1.0)},
     DC, "g", floating("g", "C1 and X1")),
    ("what only controls", {"R1": R1, "E1": amplifier("in", "0", ("a", "b"), 2.0)}, DC, "a", floating("a", "E1")),
    ("the output of a controlled current source",
     {"R1": R1, "G1": transconductance("x", "0", ("in", "0"), 1.0)}, DC, "x", floating("x", "G1")),
    ("a secondary that is nowhere earthed",
     {"V1": V1, "T1": transformer({"p": ("in", "0", 1.0), "s": ("a", "b", 1.0)}), "R2": resistor("a", "b", 1.0)}, AC, "a",
     floating("a", "T1 and R2", "ac")),
    ("an island of two resistors",
     {"V1": V1, "R2": resistor("a", "b", 1.0), "R3": resistor("b", "a", 1.0)}, DC, "a", floating("a", "R2 and R3")),
    ("no earth at all", {"R2": resistor("a", "b", 1.0)}, DC, "0",
     "no part is connected to node '0' (chassis); connect one, for example a foot of R2"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "parts", "analysis", "node", "message"), FLOATING, ids=[row[0] for row in FLOATING])
def test_a_floating_node_is_named_with_the_parts_at_it(
    name: str, parts: Any, analysis: Analysis, node: str, message: str
) -> None:
    with pytest.raises(FloatingNodeError) as caught:
        read_network(parts).equations(analysis)
    assert str(caught.value) == message
    assert (caught.value.node, caught.value.analysis) == (node, analysis.kind)


def loop(parts: str, analysis: str = "dc", verb: str = "close") -> str:
    return (
        f"loop of voltage sources: at {analysis} {parts} {verb} a loop in which each fixes its own voltage; put a "
        "resistor into the loop or take one of them out"
    )


LOOPS = [
    ("two sources in parallel", {"V1": V1, "V2": voltage("in", "0", 2.0)}, DC, loop("V1, V2")),
    ("three in a ring",
     {"V1": voltage("a", "0", 1.0), "V2": voltage("b", "a", 1.0), "R1": resistor("a", "b", 1.0),
      "V3": voltage("b", "0", 1.0)}, DC, loop("V2, V1, V3")),
    ("a source that is shorted", {"V1": voltage("a", "a", 1.0), "R1": resistor("a", "0", 1.0)}, DC,
     loop("V1", verb="closes")),
    ("a coil across a source, at dc", {"V1": V1, "L1": inductor("in", "0", 1.0)}, DC, loop("V1, L1")),
    ("two coils in parallel, at dc",
     {"V1": V1, "R1": resistor("in", "a", 1.0), "L1": inductor("a", "0", 1.0), "L2": inductor("a", "0", 1.0)}, DC,
     loop("L1, L2")),
    ("a controlled source across a source", {"V1": V1, "E1": amplifier("in", "0", ("in", "0"), 1.0)}, AC,
     loop("V1, E1", "ac")),
    ("two controlled sources",
     {"R1": R1, "H1": transresistance("in", "0", "R1", 1.0), "E1": amplifier("0", "in", ("in", "0"), 1.0)}, AC,
     loop("H1, E1", "ac")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "parts", "analysis", "message"), LOOPS, ids=[row[0] for row in LOOPS])
def test_a_loop_of_voltage_sources_is_named_in_order(name: str, parts: Any, analysis: Analysis, message: str) -> None:
    with pytest.raises(SourceLoopError) as caught:
        read_network(parts).equations(analysis)
    assert str(caught.value) == message
    assert all(part in message for part in caught.value.parts)


SOUND = [
    ("a coil across a source, at ac", {"V1": V1, "L1": inductor("in", "0", 1.0)}, AC),
    ("a capacitor in series, at ac", {"V1": V1, "C1": capacitor("in", "out", 1e-6)}, AC),
    ("a current source into a resistor", {"I1": current("0", "in", 1.0), "R1": R1}, DC),
    ("a controlled current source into a resistor", {"R1": R1, "F1": current_amplifier("0", "in", "R1", 0.5)}, DC),
]  # fmt: skip


@pytest.mark.parametrize(("name", "parts", "analysis"), SOUND, ids=[row[0] for row in SOUND])
def test_a_sound_circuit_passes(name: str, parts: Any, analysis: Analysis) -> None:
    assert read_network(parts).equations(analysis).unknowns


def test_a_path_tells_which_way_each_part_is_passed() -> None:
    tree = Tree()
    tree.join("a", "b", "V1")
    tree.join("c", "b", "V2")
    assert tree.path("a", "c") == (("V1", 1), ("V2", -1))
    assert tree.path("a", "a") == ()
    assert tree.path("a", "d") is None
