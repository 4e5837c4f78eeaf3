"""The table of parts: what is typed comes back, and what is wrong is said at its row."""

from __future__ import annotations

from tests.questions.authoring.drafts import DIVIDER, STAGE, divider, rows, table
from tutor.questions.authoring.differences import differences
from tutor.questions.authoring.reading_drafts import Bench, no_circuit, read_bench, read_draft
from tutor.questions.authoring.rows import free_reference, moved, rows_of, with_rows


def bench(*parts: tuple[str, str, tuple[str, ...], dict[str, str]]) -> Bench:
    return read_bench(table(*parts), no_circuit)


def test_what_is_typed_comes_back() -> None:
    for parts in (DIVIDER, STAGE):
        again = rows_of(table(*parts))
        assert [(r.reference, r.kind, r.nodes, dict(r.figures)) for r in again] == [
            (r, k, n, f) for r, k, n, f in parts
        ]
        assert with_rows(table(*parts), again) == table(*parts)
        assert read_bench(table(*parts), no_circuit).sound


def test_taking_a_part_out_takes_its_values_along() -> None:
    kept = [row for row in rows_of(table(*STAGE)) if row.reference != "V2"]
    data = with_rows(table(*STAGE), kept)
    assert set(data["values"]) == {"V1", "Ra", "Rk", "Rg"}


def test_a_second_valve_does_not_take_the_figures_of_the_first() -> None:
    second = rows(("V3", "triode", ("out", "anode", "0"), {"mu": "17", "ra": "7.7 kΩ"}))
    data = with_rows(table(*STAGE), [*rows_of(table(*STAGE)), *second])
    assert data["values"]["mu"] == "100"
    assert data["values"]["mu_V3"] == "17"
    assert data["circuit"]["V3"]["mu"] == "mu_V3"


def test_parts_that_the_table_does_not_know_are_kept_as_they_are() -> None:
    winding = {"kind": "transformer", "windings": {"p": ["a", "0"], "s": ["b", "0"]}, "turns": {"p": "10", "s": "1"}}
    data = table(*DIVIDER)
    data["circuit"]["T1"] = winding
    (row,) = [row for row in rows_of(data) if row.reference == "T1"]
    assert not row.known
    assert with_rows(data, rows_of(data))["circuit"]["T1"] == winding


def test_a_floating_node_is_said_at_its_row() -> None:
    found = bench(*DIVIDER[:3], ("C1", "capacitor", ("tap", "out"), {"value": "22 nF"}))
    assert list(found.at_row) == ["C1"]
    assert "floating node 'out'" in found.at_row["C1"][0]


def test_a_loop_of_sources_is_said_at_both_rows() -> None:
    found = bench(*DIVIDER, ("V2", "voltage source", ("in", "0"), {"value": "9 V"}))
    assert set(found.at_row) == {"V1", "V2"}


def test_units_that_do_not_fit_name_both_dimensions() -> None:
    found = bench(*DIVIDER[:2], ("R2", "resistor", ("tap", "0"), {"value": "22 nF"}))
    assert found.at_row["R2"] == ("the template's value R2 is a capacitance; a resistor wants a resistance",)


def test_a_value_that_cannot_be_read_is_said_at_its_row_and_hides_no_other() -> None:
    found = bench(
        ("R1", "resistor", ("in", "tap"), {"value": "ten kilohms"}),
        ("R2", "resistor", ("tap", "0"), {"value": "E12, 47 kΩ to 470 nF"}),
    )
    assert set(found.at_row) == {"R1", "R2"}


def test_three_hundred_parts_are_read_in_time_and_four_hundred_and_one_refused() -> None:
    ladder = [(f"R{n}", "resistor", (f"n{n}", f"n{n + 1}"), {"value": "1 kΩ"}) for n in range(300)]
    ladder += [
        ("V1", "voltage source", ("n0", "0"), {"value": "1 V"}),
        ("RE", "resistor", ("n300", "0"), {"value": "1 kΩ"}),
    ]
    assert bench(*ladder).sound
    many = [(f"R{n}", "resistor", ("a", "0"), {"value": "1 kΩ"}) for n in range(401)]
    assert "400 are the most" in bench(*many).overall[0]


def test_a_formula_with_an_unknown_name_offers_the_nearest() -> None:
    reading = read_draft(divider(formula="V1*R2/(R1 + R22)"), no_circuit)
    assert reading.template is None
    assert "'R22'" in reading.at("ask.v_tap.formula")[0]
    assert "did you mean R2?" in reading.at("ask.v_tap.formula")[0]


def test_references_are_counted_on_by_kind() -> None:
    assert free_reference("triode", ["V1", "R1"]) == "V2"
    assert free_reference("potentiometer", []) == "P1"


def test_a_part_is_put_on_the_grid_and_set_free_again() -> None:
    data = table(*DIVIDER)
    there = moved(data, "R1", (3, 4), 90)
    assert there["circuit"]["R1"] == {"kind": "resistor", "nodes": ["in", "tap"], "at": ["3", "4"], "turned": "90"}
    assert moved(there, "R1", None) == data
    assert with_rows(there, rows_of(there)) == there


def test_differences_are_told_in_words() -> None:
    before = divider()
    after = divider(tolerance="3 %")
    after["values"] = dict(after["values"]) | {"R1": "100 kΩ"}
    after["circuit"] = {name: part for name, part in after["circuit"].items() if name != "RL"}
    assert differences(before, after) == (
        "Part RL was taken out.",
        "Value R1: “E12, 47 kΩ to 470 kΩ” became “100 kΩ”.",
        "Ask v_tap, tolerance was given: “3 %”.",
    )
