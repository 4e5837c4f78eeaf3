from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.networks import capacitor, potentiometer, resistor, triode, voltage
from tutor.circuits.analysis import DC
from tutor.circuits.errors import NodeError, PartError
from tutor.circuits.expressions import Name, read_expression
from tutor.circuits.network import Network, read_network, read_parts
from tutor.circuits.parts.controls import Potentiometer
from tutor.circuits.parts.passive import Resistor
from tutor.circuits.parts.sources import VoltageSource
from tutor.circuits.parts.valves import Triode
from tutor.quantities import AMPERE, OHM, RATIO, VOLT, Quantity

DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}


def test_nodes_come_in_the_order_of_the_file_controls_included() -> None:
    parts = {"R1": resistor("b", "a", 1.0), "E1": {"kind": "voltage-controlled voltage source", "nodes": ["c", "0"],
             "control": ["d", "b"], "value": "2"}}  # fmt: skip
    assert read_network(parts).nodes == ("b", "a", "c", "0", "d")


def test_a_part_is_found_by_its_reference_or_missed_with_the_others_named() -> None:
    network = read_network(DIVIDER)
    assert network.part("R2").terminals() == ("out", "0")
    with pytest.raises(NodeError) as caught:
        network.part("R12")
    assert str(caught.value) == "the circuit has no part 'R12'; did you mean R2?; it has V1, R1, R2"
    assert (caught.value.name, caught.value.what, caught.value.known) == ("R12", "part", ("V1", "R1", "R2"))


def test_many_known_names_are_not_all_listed() -> None:
    network = read_network({f"R{n}": resistor("a", "0", 1.0) for n in range(50)})
    with pytest.raises(NodeError) as caught:
        network.part("C1")
    listed = ", ".join(f"R{n}" for n in range(40))
    assert str(caught.value) == f"the circuit has no part 'C1'; it has {listed} and 10 more"


def test_taking_a_part_out_leaves_the_network_as_it_was() -> None:
    network = read_network(DIVIDER)
    assert [part.reference for part in network.without("R1").parts] == ["V1", "R2"]
    assert len(network.parts) == 3
    with pytest.raises(NodeError):
        network.without("R3")


def test_values_are_in_si_units_by_symbol() -> None:
    parts = {
        "V1": voltage("in", "0", 9.0, 30.0),
        "VR1": potentiometer("in", "out", "0", 1e6, 0.25),
        "X1": triode("in", "out", "0", 100.0, 62.5e3),
    }
    assert read_network(parts).values() == {
        "V1": 9.0, "phase_V1": 30.0, "VR1": 1e6, "turn_VR1": 0.25, "mu_X1": 100.0, "ra_X1": 62.5e3,
    }  # fmt: skip


def test_a_value_left_open_is_missed_when_numbers_are_wanted() -> None:
    network = read_network({"R1": {"kind": "resistor", "nodes": ["a", "0"]}})
    with pytest.raises(PartError) as caught:
        network.values()
    assert str(caught.value) == "part R1.value: its value is missing; give one with its unit"


# -- values of a template ----------------------------------------------------------------------------------------------
UNITS = {"R1": OHM, "R2": OHM, "V1": VOLT, "k": RATIO, "ht": VOLT, "I1": AMPERE}


def part_of(description: Any, reference: str = "RX") -> Any:
    return read_network({reference: description}, UNITS).parts[0]


def test_a_part_without_a_value_takes_the_templates_value_of_its_name() -> None:
    part = part_of({"kind": "resistor", "nodes": ["a", "0"]}, "R1")
    assert isinstance(part, Resistor)
    assert part.value == Name("R1")


def test_the_templates_value_wins_over_what_a_shared_circuit_says() -> None:
    assert part_of(resistor("a", "0", 220e3), "R1").value == Name("R1")


def test_a_value_may_be_an_expression_over_the_templates_values() -> None:
    assert part_of({"kind": "resistor", "nodes": ["a", "0"], "value": "k*R1"}).value == read_expression("k*R1")


def test_a_name_of_the_template_comes_before_a_code() -> None:
    assert part_of({"kind": "resistor", "nodes": ["a", "0"], "value": "R2"}).value == Name("R2")
    assert part_of({"kind": "resistor", "nodes": ["a", "0"], "value": "R47"}).value == Quantity(0.47, OHM)


def test_a_source_binds_the_one_value_that_it_tells_apart() -> None:
    dead = part_of({"kind": "voltage source", "nodes": ["a", "0"], "value": {"ac": "1 V"}}, "V1")
    assert isinstance(dead, VoltageSource)
    assert (dead.dc, dead.ac, dead.value) == (None, Name("V1"), None)
    both = part_of({"kind": "voltage source", "nodes": ["a", "0"], "value": {"dc": "V1", "ac": "1 V"}}, "V1")
    assert (both.dc, both.ac) == (Name("V1"), Quantity(1.0, VOLT))


def test_kinds_without_a_main_figure_are_bound_by_their_keys_only() -> None:
    part = part_of(
        {"kind": "triode", "nodes": {"anode": "a", "grid": "g", "cathode": "0"}, "mu": "k", "ra": "R1"}, "V1"
    )
    assert isinstance(part, Triode)
    assert (part.mu, part.ra, part.gm) == (Name("k"), Name("R1"), None)
    control = part_of({"kind": "potentiometer", "nodes": ["a", "b", "0"], "value": "R1", "turn": "k"})
    assert isinstance(control, Potentiometer)
    assert (control.value, control.turn) == (Name("R1"), Name("k"))


UNFIT = [
    ("RX", {"kind": "resistor", "nodes": ["a", "0"], "value": "k*R22"},
     "part RX.value: found 'k*R22': 'R22' is no value of this template; did you mean R2?"),
    ("RX", {"kind": "resistor", "nodes": ["a", "0"], "value": "ht/k"},
     "part RX.value: found 'ht/k', a voltage; a resistance is wanted, such as 220 kΩ"),
    ("RX", {"kind": "resistor", "nodes": ["a", "0"], "value": "ht +"},
     "part RX.value: cannot read 'ht +' as an expression at character 5: it ends where a value was expected"),
    ("RX", {"kind": "resistor", "nodes": ["a", "0"], "value": "R1 + ht"},
     "part RX.value: cannot read 'R1 + ht' as an expression: R1 is a resistance and ht a voltage: they can be neither "
     "added nor compared"),
    ("V1", {"kind": "resistor", "nodes": ["a", "0"]},
     "part V1.value: the template's value V1 is a voltage; a resistor wants a resistance"),
    ("I1", {"kind": "inductor", "nodes": ["a", "0"]},
     "part I1.value: the template's value I1 is a current; an inductor wants an inductance"),
    ("V1", {"kind": "voltage source", "nodes": ["a", "0"], "value": {"dc": "250 V", "ac": "1 V"}},
     "part V1.value: it has a dc and an ac value; say which is meant, such as `value: {dc: V1, ac: 1 V}`"),
    ("R1", {"kind": "resistor", "nodes": ["a", "0"], "value": "R1*k"},
     "part R1: R1 stands for a figure of this part; give the template's value R1 another name"),
]  # fmt: skip


@pytest.mark.parametrize(("reference", "description", "message"), UNFIT)
def test_a_template_and_its_circuit_must_fit(reference: str, description: Any, message: str) -> None:
    with pytest.raises(PartError) as caught:
        read_network({reference: description}, UNITS)
    assert str(caught.value).replace("\N{NO-BREAK SPACE}", " ") == message


def test_a_templates_value_must_not_have_the_name_of_a_figure_of_a_part() -> None:
    with pytest.raises(PartError) as caught:
        read_network({"VR1": potentiometer("a", "w", "0", 1e6, 0.5)}, {"turn_VR1": RATIO, "x": RATIO})
    assert str(caught.value) == (
        "part VR1: turn_VR1 stands for a figure of this part; give the template's value turn_VR1 another name"
    )
    bound = {"VR1": {**potentiometer("a", "w", "0", 1e6, 0.5), "turn": "turn_VR1"}}
    assert read_network(bound, {"turn_VR1": RATIO}).parts[0].parameters()[1].value == Name("turn_VR1")


def test_all_that_is_wrong_is_told_and_what_is_right_is_kept() -> None:
    network, errors = read_parts(
        {"R1": resistor("a", "0", 1.0), "R2": {"kind": "resistor"}, "C1": {"kind": "capacitator"}}
    )
    assert [part.reference for part in network.parts] == ["R1"]
    assert [error.part for error in errors if isinstance(error, PartError)] == ["R2", "C1"]


def test_equations_are_written_anew_for_each_analysis() -> None:
    network = Network(read_network({**DIVIDER, "C1": capacitor("out", "0", 1e-6)}).parts)
    equations = network.equations(DC)
    assert [str(unknown) for unknown in equations.unknowns] == [
        "the current of V1", "the voltage of node 'in'", "the voltage of node 'out'",
    ]  # fmt: skip
    assert network.equations(DC).matrix == equations.matrix
