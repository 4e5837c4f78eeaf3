"""The words: could the circuit be built from them alone?"""

import re

import pytest

from tests.drawing.schematic.circuits import CIRCUITS, EVERYTHING, C, R, can, controlled, pot, signal, source, triode
from tutor.drawing.schematic import DrawnPart, draw_schematic
from tutor.drawing.schematic.netlist import read_netlist
from tutor.drawing.schematic.words import describe


def words_of(*parts: DrawnPart, **labels: str) -> str:
    return describe(read_netlist(parts), labels)


def test_one_sentence_sums_up_and_one_stands_for_each_part() -> None:
    words = words_of(
        source("V1", "top", "0", "250 V", "dc"),
        R("R1", "top", "tap", "220 kΩ"),
        R("R2", "tap", "0", "47 kΩ"),
        tap="tap",
    )
    assert words == (
        "3 parts between 3 junctions: 1 voltage source and 2 resistors. "
        "Voltage source V1, 250 V, positive to node top, negative to earth. "
        "Resistor R1, 220 kΩ, from node top to the tap. "
        "Resistor R2, 47 kΩ, from the tap to earth."
    )


@pytest.mark.parametrize(
    ("part", "sentence"),
    [
        (can("C1", "k", "0", "25 µF"), "Electrolytic capacitor C1, 25 µF, positive to node k, negative to earth."),
        (
            DrawnPart(reference="D1", kind="diode", nodes={"a": "s", "b": "h"}),
            "Diode D1, anode to node s, cathode to node h.",
        ),
        (
            DrawnPart(reference="I1", kind="current source", nodes={"a": "0", "b": "a"}, value="2 mA"),
            "Current source I1, 2 mA, its current flowing through it from earth to node a.",
        ),
        (
            triode("V1", "a", "g", "k"),
            "Triode V1, ECC83, anode to node a, grid to node g, cathode to node k.",
        ),
        (
            pot("VR1", "in", "w", "0"),
            "Potentiometer VR1, 1 MΩ, top to node in, wiper to node w, foot to earth.",
        ),
        (
            controlled("E1", "o", "0", "s", "f", "50"),
            "Voltage-controlled voltage source E1, 50, positive to node o, negative to earth, "
            "controlled by the voltage of node s against node f.",
        ),
        (
            DrawnPart(reference="F1", kind="current-controlled current source", nodes={"a": "x", "b": "y"}, of=("R1",)),
            "Current-controlled current source F1, its current flowing through it from node x to node y, "
            "controlled by the current of R1.",
        ),
        (
            DrawnPart(reference="K1", kind="coupling", of=("L1", "L2"), value="0.98"),
            "Coupling K1, 0.98, of the coils L1 and L2.",
        ),
        (
            DrawnPart(
                reference="T1",
                kind="transformer",
                nodes={"primary start": "ht", "primary end": "a", "heater start": "h", "heater end": "0"},
            ),
            "Transformer T1, winding primary from node ht (start) to node a (end); "
            "winding heater from node h (start) to earth (end).",
        ),
        (
            DrawnPart(reference="X1", kind="relay", nodes={"coil": "x", "contact": "0"}),
            "Relay X1, coil to node x, contact to earth.",
        ),
    ],
)
def test_a_part_says_where_each_of_its_pins_goes(part: DrawnPart, sentence: str) -> None:
    assert words_of(part).endswith(sentence)


@pytest.mark.parametrize("name", EVERYTHING)
def test_every_pin_can_be_found_in_the_words(name: str) -> None:
    words = draw_schematic(EVERYTHING[name], title=name, uid="d").words
    for part in EVERYTHING[name]:
        sentence = next(s for s in re.split(r"(?<=\.) (?=[A-Z])", words) if f" {part.reference}," in s)
        for node in part.nodes.values():
            assert ("earth" if node == "0" else f"node {node}") in sentence
    assert words.count(". ") >= len(EVERYTHING[name])


def test_nodes_called_in_and_out_are_the_input_and_the_output() -> None:
    words = words_of(R("R1", "x", "y"), x="in", y="out")
    assert words.endswith("from the input to the output.")


def test_supplies_come_first_and_then_the_way_of_the_signal() -> None:
    words = draw_schematic(CIRCUITS["triode-stage"], title="t", uid="u").words
    order = [words.index(f" {reference},") for reference in ("V9", "VS", "C1", "Rg", "V1", "C2", "Rg2")]
    assert order == sorted(order)


def test_a_part_without_a_value_has_no_empty_place_for_it() -> None:
    assert words_of(C("C1", "x", "0", "")).endswith("Capacitor C1, from node x to earth.")


def test_one_part_is_not_called_parts() -> None:
    assert words_of(signal("x")).startswith("1 part between 2 junctions: 1 voltage source.")
