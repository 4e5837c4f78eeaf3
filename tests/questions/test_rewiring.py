from __future__ import annotations

import pytest

from tutor.circuits.analysis import DC
from tutor.circuits.asked import Current, Voltage
from tutor.circuits.errors import NodeError
from tutor.circuits.linear import solve
from tutor.circuits.network import Network, read_network
from tutor.questions.rewiring import rewired

LADDER = read_network(
    {
        "V1": {"kind": "voltage source", "nodes": ["in", "0"], "value": "100 V"},
        "R1": {"kind": "resistor", "nodes": ["in", "a"], "value": "1 kΩ"},
        "R2": {"kind": "resistor", "nodes": ["a", "b"], "value": "2 kΩ"},
        "R3": {"kind": "resistor", "nodes": ["b", "0"], "value": "3 kΩ"},
        "R4": {"kind": "resistor", "nodes": ["a", "0"], "value": "6 kΩ"},
    }
)


def voltage(network: Network, node: str) -> complex:
    return solve(network, Voltage(node), DC, None).value


def test_an_open_part_is_taken_out() -> None:
    changed = rewired(LADDER, {"R4": "open"})
    assert changed is not None
    assert [part.reference for part in changed.parts] == ["V1", "R1", "R2", "R3"]
    assert voltage(changed, "b") == pytest.approx(50.0)


def test_a_short_joins_its_two_nodes_and_both_can_still_be_asked_for() -> None:
    changed = rewired(LADDER, {"R3": "short"})
    assert changed is not None
    assert voltage(changed, "b") == 0.0
    # R2 and R4 in parallel are 1.5 kΩ under 1 kΩ.
    assert voltage(changed, "a") == pytest.approx(60.0)


def test_a_short_between_two_live_nodes_makes_them_one() -> None:
    changed = rewired(LADDER, {"R2": "short"})
    assert changed is not None
    # R3 and R4 in parallel are 2 kΩ under 1 kΩ.
    assert voltage(changed, "a") == pytest.approx(100 * 2 / 3)
    assert solve(changed, Current("R3"), DC, None).value == pytest.approx(100 * 2 / 3 / 3e3)


def test_changes_are_made_together() -> None:
    changed = rewired(LADDER, {"R4": "open", "R2": "short"})
    assert changed is not None
    assert voltage(changed, "a") == pytest.approx(75.0)


def test_a_controlled_source_keeps_looking_at_the_joined_node() -> None:
    network = read_network(
        {
            "V1": {"kind": "voltage source", "nodes": ["in", "0"], "value": "2 V"},
            "R1": {"kind": "resistor", "nodes": ["in", "g"], "value": "1 kΩ"},
            "R2": {"kind": "resistor", "nodes": ["g", "0"], "value": "1 kΩ"},
            "E1": {
                "kind": "voltage-controlled voltage source",
                "nodes": ["out", "0"],
                "control": ["g", "0"],
                "value": "10",
            },
            "RL": {"kind": "resistor", "nodes": ["out", "0"], "value": "1 kΩ"},
        }
    )
    changed = rewired(network, {"R1": "short"})
    assert changed is not None
    assert voltage(network, "out") == pytest.approx(10.0)
    assert voltage(changed, "out") == pytest.approx(20.0)


def test_without_circuit_there_is_nothing_to_rewire() -> None:
    assert rewired(None, {}) is None


def test_a_part_that_is_not_there_is_named() -> None:
    with pytest.raises(NodeError, match="the circuit has no part 'R9'"):
        rewired(LADDER, {"R9": "open"})
