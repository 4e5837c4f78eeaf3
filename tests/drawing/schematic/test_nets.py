"""Reading nets back from lines: what is joined, what merely crosses, and that a wrong drawing is told."""

from dataclasses import replace

import pytest

from tests.drawing.schematic.circuits import CIRCUITS, EVERYTHING, R, signal
from tutor.drawing.schematic import lay_out
from tutor.drawing.schematic.netlist import read_netlist
from tutor.drawing.schematic.nets import drawn_nets, net_faults
from tutor.drawing.schematic.plan import Mark, Wire

LEFT, RIGHT, TOP, FOOT = ("L", "a"), ("R", "a"), ("T", "a"), ("F", "a")
CROSS = {LEFT: (0, 5), RIGHT: (10, 5), TOP: (5, 0), FOOT: (5, 10)}


def test_wires_that_cross_are_not_joined() -> None:
    nets = drawn_nets(CROSS, [Wire("x", ((0, 5), (10, 5))), Wire("y", ((5, 0), (5, 10)))], [])
    assert nets[LEFT] == nets[RIGHT]
    assert nets[TOP] == nets[FOOT]
    assert nets[LEFT] != nets[TOP]


def test_a_wire_that_ends_on_another_is_joined_with_it() -> None:
    nets = drawn_nets(CROSS, [Wire("x", ((0, 5), (10, 5))), Wire("x", ((5, 0), (5, 5)))], [])
    assert nets[LEFT] == nets[RIGHT] == nets[TOP]
    assert nets[FOOT] != nets[TOP]


def test_a_wire_goes_round_its_corners() -> None:
    nets = drawn_nets(CROSS, [Wire("x", ((0, 5), (0, 10), (5, 10)))], [])
    assert nets[LEFT] == nets[FOOT]


def test_marks_of_one_name_are_joined_and_others_are_not() -> None:
    marks = [Mark("0", (0, 5)), Mark("0", (10, 5)), Mark("ht", (5, 0))]
    nets = drawn_nets(CROSS, [], marks)
    assert nets[LEFT] == nets[RIGHT]
    assert nets[TOP] not in (nets[LEFT], nets[FOOT])


@pytest.mark.parametrize("name", EVERYTHING)
def test_a_sound_drawing_has_no_faults(name: str) -> None:
    assert net_faults(read_netlist(EVERYTHING[name]), lay_out(EVERYTHING[name])) == []


def test_a_wire_taken_away_is_told() -> None:
    netlist, layout = read_netlist(CIRCUITS["ladder"]), lay_out(CIRCUITS["ladder"])
    faults = net_faults(netlist, replace(layout, wires=layout.wires[1:]))
    assert faults
    assert all(fault.endswith("are joined in the circuit, not in the drawing") for fault in faults)


def test_a_wire_too_many_is_told() -> None:
    netlist, layout = read_netlist(CIRCUITS["ladder"]), lay_out(CIRCUITS["ladder"])
    short = Wire("s", ((layout.spots["VS"].x, layout.spots["VS"].y), layout.earths[-1].point))
    across = Wire("s", (short.points[0], (short.points[1][0], short.points[0][1]), short.points[1]))
    faults = net_faults(netlist, replace(layout, wires=(*layout.wires, across)))
    assert any(fault.endswith("are joined in the drawing, not in the circuit") for fault in faults)


def test_a_part_or_mark_left_out_is_told() -> None:
    parts = [R("R1", "x", "0"), signal("x")]
    netlist, layout = read_netlist(parts), lay_out(parts)
    spots = {"VS": layout.spots["VS"]}
    assert "R1 is missing" in net_faults(netlist, replace(layout, spots=spots))
    assert "node 0 has no mark" in net_faults(netlist, replace(layout, earths=()))
