from __future__ import annotations

from typing import Any

import pytest

from tests.questions.templates import asking, question_of


def part_of(
    parts: str, values: str, text: str = "A text.", analysis: str = "dc", reference: str = "X1"
) -> dict[str, Any]:
    """Return one drawn part of a circuit around the given parts."""
    circuit = "circuit:\n  V9: {kind: voltage source, nodes: [in, 0], value: 10 V}\n"
    circuit += "  R9: {kind: resistor, nodes: [in, '0'], value: 1 kΩ}\n"
    before = f"analysis: {analysis}\n" + ("frequency: 1 kHz\n" if analysis == "ac" else "") + circuit + f"  {parts}\n"
    question = question_of(asking("{formula: k*2}", f"k: 3\n{values}", before=before, text=text))
    return next(dict(part) for part in question.parts if part["reference"] == reference)


@pytest.mark.parametrize(
    ("parts", "values", "text", "value"),
    [
        ("X1: {kind: resistor, nodes: [in, '0'], value: 4k7}", "a: 1", "A text.", "4.7 kΩ"),
        ("X1: {kind: resistor, nodes: [in, '0']}", "X1: 62.5 kΩ", "A text.", "62.5 kΩ"),
        ("X1: {kind: resistor, nodes: [in, '0'], value: R}", "R: 10 kΩ", "A text.", "10 kΩ"),
        ("X1: {kind: resistor, nodes: [in, '0'], value: 2*R}", "R: 10 kΩ", "'`R=`'", "20 kΩ"),
        # What the member is not told is not shown either.
        ("X1: {kind: resistor, nodes: [in, '0'], value: 2*R}", "R: 10 kΩ", "A text.", "?"),
        ("X1: {kind: resistor, nodes: [in, '0'], value: R}", "R: {formula: k*1 kΩ}", "A text.", "?"),
        ("X1: {kind: resistor, nodes: [in, '0'], value: R}", "R: {formula: k*1 kΩ}", "'`R=`'", "3 kΩ"),
        ("X1: {kind: capacitor, nodes: [in, '0']}", "a: 1", "A text.", ""),
        ("X1: {kind: inductor, nodes: [in, '0'], value: 10 H}", "a: 1", "A text.", "10 H"),
        ("X1: {kind: current source, nodes: [in, '0'], value: 2 mA}", "a: 1", "A text.", "2 mA"),
        (
            "X1: {kind: voltage source, nodes: [a, in], value: {dc: 250 V, ac: 1 V}}",
            "a: 1",
            "A text.",
            "250 V dc + 1 V ac",
        ),
        ("X1: {kind: voltage source, nodes: [a, in], value: {ac: V1}}", "V1: 2 mV", "A text.", "2 mV"),
        ("X1: {kind: meter, nodes: [in, '0'], resistance: 10 MΩ}", "a: 1", "A text.", "10 MΩ"),
        ("X1: {kind: meter, nodes: [in, '0'], range: 250 V, ohms per volt: 20 kΩ/V}", "a: 1", "A text.", None),
        ("X1: {kind: potentiometer, nodes: [in, w, '0'], value: 1 MΩ, turn: 0.5}", "a: 1", "A text.", "1 MΩ"),
    ],
)
def test_a_part_shows_its_value_as_a_member_may_see_it(parts: str, values: str, text: str, value: str | None) -> None:
    found = part_of(parts, values, text)["value"].replace("\N{NO-BREAK SPACE}", " ")
    assert found == (value if value is not None else found)
    if value is None:
        assert found.endswith(" range")
        assert "250 V" in found


def test_a_valve_shows_its_type() -> None:
    nodes = "{anode: in, grid: in, cathode: '0'}"
    given = "X1: {kind: triode, nodes: " + nodes + ", type: ECC83, mu: 100, ra: 62.5 kΩ}"
    assert part_of(given, "a: 1")["value"] == "ECC83"
    drawn = "X1: {kind: triode, nodes: " + nodes + ", type: valve, mu: mu, ra: ra}"
    rows = "valve: {rows: [{label: ECC82, mu: 17, ra: 7.7 kΩ}]}"
    assert part_of(drawn, rows)["value"] == "ECC82"


def test_a_transformer_shows_its_turns() -> None:
    parts = "X1: {kind: transformer, windings: {primary: [in, '0'], secondary: [s, '0']}, turns: {primary: 50, secondary: 1}}"
    assert part_of(parts, "a: 1")["value"] == "50 : 1"


def test_a_coupling_names_its_coils() -> None:
    parts = (
        "L1: {kind: inductor, nodes: [in, '0'], value: 1 H}\n  L2: {kind: inductor, nodes: [s, '0'], value: 1 H}\n"
        "  X1: {kind: coupling, coils: [L1, L2], value: 0.9}"
    )
    assert part_of(parts, "a: 1", analysis="ac")["coils"] == ["L1", "L2"]


@pytest.mark.parametrize(
    ("value", "analysis", "flavour"),
    [
        ("10 V", "dc", "dc"),
        ("10 V", "ac", "ac"),
        ("{dc: 10 V}", "ac", "dc"),
        ("{ac: 1 V}", "dc", "ac"),
        ("{dc: 9 V, ac: 1 V}", "dc", "ac"),
    ],
)
def test_a_source_is_drawn_as_what_it_is(value: str, analysis: str, flavour: str) -> None:
    parts = f"X1: {{kind: voltage source, nodes: [a, in], value: {value}}}"
    assert part_of(parts, "a: 1", analysis=analysis)["flavour"] == flavour


def test_places_are_kept() -> None:
    found = part_of("X1: {kind: resistor, nodes: [in, '0'], value: 1 kΩ, at: [3, 4], turned: 90}", "a: 1")
    assert (found["at"], found["turned"]) == ([3, 4], 90)


def test_a_controlled_source_shows_what_controls_it() -> None:
    by_nodes = "X1: {kind: voltage-controlled voltage source, nodes: [o, '0'], control: [in, '0'], value: 10}"
    nodes = part_of(by_nodes, "a: 1")["nodes"]
    assert (nodes["control a"], nodes["control b"]) == ("in", "0")
    by_part = "X1: {kind: current-controlled current source, nodes: [in, '0'], control: R9, value: 10}"
    assert part_of(by_part, "a: 1")["control"] == "R9"


def test_a_question_without_circuit_has_no_parts() -> None:
    assert question_of(asking("{formula: V1}")).parts == ()
