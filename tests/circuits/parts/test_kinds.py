"""Every kind of part as a file describes it: what is read, and the whole message for everything that is wrong."""

from __future__ import annotations

from typing import Any

import pytest

from tutor.circuits.errors import CircuitError, NodeError, PartError
from tutor.circuits.network import read_network
from tutor.circuits.parts import KINDS
from tutor.circuits.parts.base import LONGEST_NODE

ALL_KINDS = (
    "capacitor, coupling, current source, current-controlled current source, current-controlled voltage source, "
    "inductor, meter, pentode, potentiometer, resistor, transformer, triode, voltage source, voltage-controlled current "
    "source, voltage-controlled voltage source"
)
VALVE = {"anode": "a", "grid": "g", "cathode": "k"}
WINDINGS = {"primary": ["a", "0"], "secondary": ["b", "0"]}
NODES = ["a", "b"]

WRONG = [
    # kind
    ({"kind": "resitor", "nodes": NODES}, "kind", f"found 'resitor'; did you mean resistor?; known are {ALL_KINDS}"),
    ({"nodes": NODES}, "kind", f"found None; known are {ALL_KINDS}"),
    ({"kind": "x" * 100}, "kind", f"found {'x' * 59 + '…'!r}; known are {ALL_KINDS}"),
    ("220 kΩ", "", "found '220 kΩ'; a mapping with kind and nodes is wanted"),
    # keys
    ({"kind": "resistor", "nodes": NODES, "vaule": "1 Ω"}, "vaule",
     "a resistor has no such key; did you mean value?; it has at, kind, label, nodes, turned, value"),
    ({"kind": "inductor", "nodes": NODES, "turn": "1"}, "turn",
     "an inductor has no such key; did you mean turned?; it has at, initial, kind, label, nodes, turned, value"),
    ({"kind": "coupling", "coils": ["L1", "L2"], "nodes": NODES}, "nodes",
     "a coupling has no such key; it has at, coils, kind, label, turned, value"),
    # nodes
    ({"kind": "resistor"}, "nodes", "found None; a resistor wants a list of 2 nodes [a, b]"),
    ({"kind": "inductor", "nodes": ["a"]}, "nodes", "found ['a']; an inductor wants a list of 2 nodes [a, b]"),
    ({"kind": "resistor", "nodes": ["a", ""]}, "nodes", "found ''; a node is a short name, and '0' is chassis"),
    ({"kind": "resistor", "nodes": ["a", None]}, "nodes", "found None; a node is a short name, and '0' is chassis"),
    ({"kind": "resistor", "nodes": ["a", ["b"]]}, "nodes", "found ['b']; a node is a short name, and '0' is chassis"),
    ({"kind": "resistor", "nodes": ["a", "x" * 41]}, "nodes",
     f"found {'x' * 41!r}; a node is a short name, and '0' is chassis"),
    ({"kind": "resistor", "nodes": ["a", "b\x07"]}, "nodes",
     "found 'b\\x07'; a node is a short name, and '0' is chassis"),
    ({"kind": "potentiometer", "nodes": NODES}, "nodes",
     "found ['a', 'b']; a potentiometer wants a list of 3 nodes [top, wiper, foot]"),
    ({"kind": "triode", "nodes": NODES}, "nodes", "found ['a', 'b']; a triode wants {anode: …, grid: …, cathode: …}"),
    ({"kind": "triode", "nodes": {**VALVE, "gird": "x"}}, "nodes",
     "found the pin 'gird'; did you mean grid?; known are anode, grid, cathode"),
    ({"kind": "pentode", "nodes": {**VALVE, "plate": "x"}}, "nodes",
     "found the pin 'plate'; known are anode, grid, screen, cathode, suppressor"),
    ({"kind": "triode", "nodes": {"anode": "a", "cathode": "k"}}, "nodes",
     "the grid is not connected; write grid: and its node"),
    # values
    ({"kind": "resistor", "nodes": NODES, "value": "220"}, "value",
     "found '220', without a unit; a resistance is wanted, such as 220 kΩ"),
    ({"kind": "resistor", "nodes": NODES, "value": "220 nF"}, "value",
     "found '220 nF', a capacitance; a resistance is wanted, such as 220 kΩ"),
    ({"kind": "capacitor", "nodes": NODES, "value": "3 H"}, "value",
     "found '3 H', an inductance; a capacitance is wanted, such as 47 nF"),
    ({"kind": "inductor", "nodes": NODES, "value": "ten"}, "value",
     "found 'ten': expected a number, then a unit; an inductance is wanted, such as 10 H"),
    ({"kind": "voltage source", "nodes": NODES, "value": "6.3 volt peak"}, "value",
     "found '6.3 volt peak', a peak value; ac values are rms here"),
    ({"kind": "voltage source", "nodes": NODES, "value": "10 Vpp"}, "value",
     "found '10 Vpp', a peak to peak value; ac values are rms here"),
    ({"kind": "resistor", "nodes": NODES, "value": {"dc": "1 Ω"}}, "value",
     "found {'dc': '1 Ω'}; one value is wanted, such as 220 kΩ"),
    ({"kind": "resistor", "nodes": NODES, "value": "0 Ω"}, "value", "found 0 Ω; it must be more than nothing"),
    ({"kind": "capacitor", "nodes": NODES, "value": "-47 nF"}, "value", "found −47 nF; it must be more than nothing"),
    ({"kind": "inductor", "nodes": NODES, "value": "0 H"}, "value", "found 0 H; it must be more than nothing"),
    ({"kind": "resistor", "nodes": NODES, "value": "R1"}, "value",
     "found 'R1', which is also a part of this circuit; write a number with its unit"),
    ({"kind": "capacitor", "nodes": NODES, "value": "1 µF", "initial": "3 A"}, "initial",
     "found '3 A', a current; a voltage is wanted, such as 250 V"),
    ({"kind": "inductor", "nodes": NODES, "value": "1 H", "initial": "3 V"}, "initial",
     "found '3 V', a voltage; a current is wanted, such as 2 mA"),
    # potentiometers
    ({"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "1.2"}, "turn",
     "found 1.2; it must be 1 or less"),
    ({"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "-10 %"}, "turn",
     "found −0.1; it must be 0 or more"),
    ({"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "30°"}, "turn",
     "found '30°', an angle in degrees; a plain number is wanted, such as 0.5"),
    ({"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "0.5", "law": "lin"}, "law",
     "found 'lin'; known are linear and log"),
    ({"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "0.5", "law": "log", "half": "60 %"},
     "half", "found 0.6; it must be 0.49 or less"),
    # meters
    ({"kind": "meter", "nodes": NODES}, "resistance",
     "its loading is missing; give `resistance: 10 MΩ`, or `range: 250 V` and `ohms per volt: 20 kΩ/V`"),
    ({"kind": "meter", "nodes": NODES, "range": "250 V"}, "resistance",
     "its loading is missing; give `resistance: 10 MΩ`, or `range: 250 V` and `ohms per volt: 20 kΩ/V`"),
    ({"kind": "meter", "nodes": NODES, "range": "250 V", "ohms per volt": "20 kΩ"}, "ohms per volt",
     "found '20 kΩ', a resistance; a sensitivity is wanted, such as 20 kΩ/V"),
    ({"kind": "meter", "nodes": NODES, "resistance": "1 MΩ", "range": "9 V", "ohms per volt": "20 kΩ/V"}, "resistance",
     "its loading is given twice; give `resistance: 10 MΩ`, or `range: 250 V` and `ohms per volt: 20 kΩ/V`"),
    # sources
    ({"kind": "voltage source", "nodes": NODES, "value": {}}, "value",
     "it is empty; write {dc: 250 V, ac: 1 V} or one value"),
    ({"kind": "voltage source", "nodes": NODES, "value": {"rms": "1 V"}}, "value.rms",
     "a source's value has the keys dc and ac"),
    ({"kind": "voltage source", "nodes": NODES, "value": {"dc": "1 A"}}, "value.dc",
     "found '1 A', a current; a voltage is wanted, such as 250 V"),
    ({"kind": "current source", "nodes": NODES, "value": "5 V"}, "value",
     "found '5 V', a voltage; a current is wanted, such as 2 mA"),
    ({"kind": "voltage source", "nodes": NODES, "value": "5 V", "phase": "30"}, "phase",
     "found '30', without a unit; an angle in degrees is wanted, such as 30°"),
    ({"kind": "voltage source", "nodes": NODES, "value": "5 V", "phase": "1 rad"}, "phase",
     "found '1 rad', an angle in radians; an angle in degrees is wanted, such as 30°"),
    # controlled sources
    ({"kind": "voltage-controlled voltage source", "nodes": NODES, "control": "R1", "value": "10"}, "control",
     "found 'R1'; two nodes in brackets are wanted, such as [a, b]"),
    ({"kind": "voltage-controlled voltage source", "nodes": NODES, "control": NODES, "value": "20 dB"}, "value",
     "found '20 dB', a level in decibels; a plain number is wanted, such as 0.5"),
    ({"kind": "voltage-controlled current source", "nodes": NODES, "control": NODES, "value": "10"}, "value",
     "found '10', without a unit; a conductance is wanted, such as 1.6 mS"),
    ({"kind": "current-controlled current source", "nodes": NODES, "control": NODES, "value": "10"}, "control",
     "found ['a', 'b']; the reference of the part whose current controls is wanted, such as R1"),
    ({"kind": "current-controlled voltage source", "nodes": NODES, "control": "X1", "value": "10 Ω"}, "control",
     "a source cannot be controlled by its own current"),
    # couplings
    ({"kind": "coupling", "coils": ["L1"], "value": "0.9"}, "coils",
     "found ['L1']; two inductors are wanted, such as [L1, L2]"),
    ({"kind": "coupling", "coils": ["L1", "L1"], "value": "0.9"}, "coils",
     "found ['L1', 'L1']; two inductors are wanted, such as [L1, L2]"),
    ({"kind": "coupling", "coils": ["L1", "L2"], "value": "1.2"}, "value", "found 1.2; it must be 1 or less"),
    ({"kind": "coupling", "coils": ["L1", "L2"], "value": "-1.2"}, "value", "found −1.2; it must be −1 or more"),
    # transformers
    ({"kind": "transformer", "windings": {"primary": ["a", "0"]}, "turns": {"primary": "10"}}, "windings",
     "found {'primary': ['a', '0']}; two windings or more are wanted, such as {primary: [a, b], secondary: [c, d]}"),
    ({"kind": "transformer", "windings": WINDINGS, "turns": {"primary": "10"}}, "turns",
     "found {'primary': '10'}; the turns of each winding are wanted: primary, secondary"),
    ({"kind": "transformer", "windings": {**WINDINGS, "primary": ["a"]}, "turns": dict.fromkeys(WINDINGS, "1")},
     "windings.primary", "found ['a']; its two nodes are wanted: [a, b]"),
    ({"kind": "transformer", "windings": {"p/q": NODES, "s": NODES}, "turns": {"p/q": "1", "s": "1"}}, "windings",
     "found 'p/q'; a winding is called by plain words"),
    ({"kind": "transformer", "windings": {"a+__import__('os')": NODES, "s": NODES}, "turns": {}}, "windings",
     'found "a+__import__(\'os\')"; a winding is called by plain words'),
    ({"kind": "transformer", "windings": WINDINGS, "turns": {"primary": "0", "secondary": "1"}}, "turns.primary",
     "found 0; it must be more than nothing"),
    ({"kind": "transformer", "windings": WINDINGS, "turns": {"primary": "10 V", "secondary": "1"}}, "turns.primary",
     "found '10 V', a voltage; a plain number is wanted, such as 0.5"),
    # valves
    ({"kind": "triode", "nodes": VALVE}, "mu",
     "a triode in a linear circuit wants two of mu, ra and gm (for example `mu: 100` and `ra: 62.5 kΩ`)"),
    ({"kind": "triode", "nodes": VALVE, "mu": "100", "ra": "62.5 kΩ", "gm": "1.6 mA/V"}, "mu",
     "mu, ra and gm are all given; two of them fix the third"),
    ({"kind": "triode", "nodes": VALVE, "mu": "100", "ra": "62.5 kΩ", "gain": "5"}, "gain",
     "a triode has no such key; it has at, gm, kind, label, mu, nodes, ra, turned, type"),
    ({"kind": "triode", "nodes": VALVE, "mu": "-100", "ra": "62.5 kΩ"}, "mu",
     "found −100; it must be more than nothing"),
    ({"kind": "triode", "nodes": VALVE, "gm": "1.6", "ra": "62.5 kΩ"}, "gm",
     "found '1.6', without a unit; a conductance is wanted, such as 1.6 mA/V"),
]  # fmt: skip


def wrong_part(description: Any) -> PartError:
    parts = {"R1": {"kind": "resistor", "nodes": ["a", "0"], "value": "1 Ω"}, "X1": description}
    with pytest.raises(PartError) as caught:
        read_network(parts)
    return caught.value


@pytest.mark.parametrize(("description", "key", "reason"), WRONG)
def test_what_is_wrong_with_a_part_is_told_with_its_key_and_cure(description: Any, key: str, reason: str) -> None:
    error = wrong_part(description)
    plain = str(error).replace("\N{NO-BREAK SPACE}", " ")
    assert plain == f"part X1{'.' if key else ''}{key}: {reason}"
    assert (error.part, error.key) == ("X1", key)


def test_every_kind_has_been_described_wrongly_above() -> None:
    assert {row[0].get("kind") for row in WRONG if isinstance(row[0], dict)} >= set(KINDS)


def test_a_node_of_forty_characters_will_do() -> None:
    network = read_network({"R1": {"kind": "resistor", "nodes": ["a" * LONGEST_NODE, "0"], "value": "1 Ω"}})
    assert network.nodes == ("a" * 40, "0")


@pytest.mark.parametrize(
    ("reference", "message"),
    [
        ("1R", "part 1R: a reference is a letter, then letters, digits or _ (R1, VR2, C_k)"),
        ("R-1", "part R-1: a reference is a letter, then letters, digits or _ (R1, VR2, C_k)"),
        ("R1\n", "part R1\n: a reference is a letter, then letters, digits or _ (R1, VR2, C_k)"),
        ("Rµ", "part Rµ: a reference is a letter, then letters, digits or _ (R1, VR2, C_k)"),
        ("s", "part s: s has a meaning of its own in formulas; call the part otherwise"),
        ("j", "part j: j has a meaning of its own in formulas; call the part otherwise"),
        ("omega", "part omega: omega has a meaning of its own in formulas; call the part otherwise"),
        ("pi", "part pi: pi has a meaning of its own in formulas; call the part otherwise"),
        ("sqrt", "part sqrt: sqrt has a meaning of its own in formulas; call the part otherwise"),
        ("or", "part or: or has a meaning of its own in formulas; call the part otherwise"),
    ],
)
def test_a_reference_is_a_plain_name_of_its_own(reference: str, message: str) -> None:
    with pytest.raises(PartError) as caught:
        read_network({reference: {"kind": "resistor", "nodes": ["a", "0"], "value": "1 Ω"}})
    assert str(caught.value) == message


L1 = {"kind": "inductor", "nodes": ["a", "0"], "value": "1 H"}
R1 = {"kind": "resistor", "nodes": ["a", "0"], "value": "1 Ω"}
P1 = {"kind": "potentiometer", "nodes": ["a", "w", "0"], "value": "1 MΩ", "turn": "0.5"}

LINKS = [
    ({"L1": L1, "K1": {"kind": "coupling", "coils": ["L1", "L2"], "value": "0.9"}}, NodeError,
     "the circuit has no part 'L2'; it has L1, K1"),
    ({"L1": L1, "R1": R1, "K1": {"kind": "coupling", "coils": ["L1", "R1"], "value": "0.9"}}, PartError,
     "part K1.coils: R1 is a resistor; a coupling joins two inductors"),
    ({"R1": R1, "F1": {"kind": "current-controlled current source", "nodes": NODES, "control": "R9", "value": "1"}},
     NodeError, "the circuit has no part 'R9'; it has R1, F1"),
    ({"P1": P1, "turn_P1": R1}, PartError,
     "part turn_P1: turn_P1 would stand for a figure of P1 and for another of turn_P1; rename one of them"),
    ({"T1": {"kind": "transformer", "windings": {"a b": ["a", "0"], "a-b": ["b", "0"]},
             "turns": {"a b": "1", "a-b": "2"}}}, PartError,
     "part T1: turns_T1_a_b would stand for a figure of T1 and for another of T1; rename one of them"),
    ({}, CircuitError, "parts: found {}; a mapping of references to parts is wanted, such as R1: {kind: …}"),
    (["R1"], CircuitError, "parts: found ['R1']; a mapping of references to parts is wanted, such as R1: {kind: …}"),
    ({f"R{n}": R1 for n in range(401)}, CircuitError, "parts: 401 parts; 400 are the most that is read"),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "kind", "message"), LINKS)
def test_parts_must_fit_together(parts: Any, kind: type[CircuitError], message: str) -> None:
    with pytest.raises(kind) as caught:
        read_network(parts)
    assert str(caught.value) == message
