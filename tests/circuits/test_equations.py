from __future__ import annotations

import pytest

from tutor.circuits.analysis import AC, DC, STEP
from tutor.circuits.equations import Equations, Unknown
from tutor.circuits.polynomial import ONE, symbol

A, B = Unknown("voltage", "a"), Unknown("voltage", "b")
G = symbol("R1", -1)


def test_earth_has_no_unknown_and_other_nodes_have_one() -> None:
    equations = Equations(DC)
    assert equations.node("0") is None
    assert equations.node("a") is equations.unknowns[0] or equations.node("a") == A
    assert equations.node("a") == A
    assert equations.unknowns == [A]


def test_an_admittance_stands_in_four_places() -> None:
    equations = Equations(DC)
    equations.admittance("a", "b", G)
    assert equations.matrix == {(A, A): G, (B, B): G, (A, B): -G, (B, A): -G}


def test_an_admittance_to_earth_stands_in_one() -> None:
    equations = Equations(DC)
    equations.admittance("a", "0", G)
    assert equations.matrix == {(A, A): G}


def test_what_cancels_leaves_no_entry() -> None:
    equations = Equations(DC)
    equations.admittance("a", "a", G)
    assert equations.matrix == {}


def test_a_branch_carries_its_current_from_its_first_node() -> None:
    equations = Equations(DC)
    current = equations.branch("V1")
    equations.carries(current, "a", "b")
    equations.excite("V1", current, symbol("V1"))
    assert equations.matrix == {(A, current): ONE, (current, A): ONE, (B, current): -ONE, (current, B): -ONE}
    assert equations.sources == {"V1": {current: symbol("V1")}}


def test_a_driven_current_has_its_size_in_its_own_row() -> None:
    equations = Equations(DC)
    current = equations.branch("I1")
    equations.drives(current, "a", "0")
    assert equations.matrix == {(A, current): ONE, (current, current): ONE}


def test_a_controlled_current_flows_out_of_its_first_node() -> None:
    equations = Equations(AC)
    equations.controlled_current("a", "0", equations.difference("b", "0"), symbol("gm"))
    assert equations.matrix == {(A, B): symbol("gm")}


@pytest.mark.parametrize(
    ("unknown", "text"),
    [
        (A, "the voltage of node 'a'"),
        (Unknown("current", "V1"), "the current of V1"),
        (Unknown("current", "T1", "primary"), "the current of T1 (primary)"),
    ],
)
def test_an_unknown_is_said_in_words(unknown: Unknown, text: str) -> None:
    assert str(unknown) == text


def test_an_analysis_is_said_by_its_kind() -> None:
    assert [str(analysis) for analysis in (DC, AC, STEP)] == ["dc", "ac", "step"]
