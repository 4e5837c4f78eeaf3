"""Ports: against the textbook's formulas, and the circuit with a load across the port."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import (
    AC_KINDS,
    DC_KINDS,
    Parts,
    RandomCircuit,
    amplifier,
    analysis_of,
    answer,
    capacitor,
    current,
    resistor,
    triode,
    voltage,
)
from tutor.circuits.analysis import AC, DC
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError, NodeError
from tutor.circuits.linear import Solved, solve
from tutor.circuits.network import read_network
from tutor.circuits.ports import norton, thevenin

DIVIDER: Parts = {"V1": voltage("in", "0", 12.0), "R1": resistor("in", "tap", 2e3), "R2": resistor("tap", "0", 1e3)}
STAGE: Parts = {
    "V1": triode("anode", "grid", "cathode", 100.0, 62.5e3), "Ra": resistor("anode", "0", 1e5),
    "Rk": resistor("cathode", "0", 1500.0), "Rg": resistor("grid", "0", 1e6), "Vin": voltage("grid", "0", 1.0),
}  # fmt: skip


def found(parts: Parts, ask: dict[str, Any], frequency: float | None = None) -> Solved:
    return solve(read_network(parts), read_circuit_ask(ask).asked, analysis_of(frequency), frequency)


def test_a_divider_is_a_voltage_behind_two_resistors_side_by_side() -> None:
    port = thevenin(read_network(DIVIDER), "tap", "0", DC)
    assert port.voltage.value == pytest.approx(4.0)
    assert port.impedance.value == pytest.approx(2e3 / 3)
    assert port.voltage.formula().text() == "V1*R2/(R1 + R2)"
    assert port.impedance.formula().text() == "R1*R2/(R1 + R2)"


def test_a_divider_is_also_a_current_beside_them() -> None:
    port = norton(read_network(DIVIDER), "tap", "0", DC)
    assert port.current.value == pytest.approx(6e-3)
    assert port.current.formula().text() == "V1/R1"
    assert port.current.unit.symbol == "A"
    assert norton(read_network(DIVIDER), "0", "tap", DC).current.value == pytest.approx(-6e-3)


def test_the_most_power_goes_to_a_load_like_the_source() -> None:
    port = thevenin(read_network(DIVIDER), "tap", "0", DC)
    most = port.most_power()
    assert most == pytest.approx(16 / (4 * 2e3 / 3))
    assert port.most_power_formula().value({"V1": 12.0, "R1": 2e3, "R2": 1e3}) == pytest.approx(most)
    into, load = port.most_power_into_resistance()
    assert into == pytest.approx(most)
    for other in (0.8 * load, 1.25 * load):
        parts = {**DIVIDER, "RL": resistor("tap", "0", other)}
        assert answer(parts, {"power": "RL"}).real < most


def test_at_ac_the_load_may_or_may_not_be_conjugate() -> None:
    parts = {"V1": voltage("in", "0", 10.0), "R1": resistor("in", "x", 1e3), "C1": capacitor("x", "out", 1e-7)}
    parts |= {"Rx": resistor("out", "0", 1e6)}
    port = thevenin(read_network(parts), "out", "0", AC, 1e3)
    into, load = port.most_power_into_resistance()
    assert into < port.most_power()
    assert answer({**parts, "RL": resistor("out", "0", load)}, {"power": "RL"}, 1e3).real == pytest.approx(into)
    with pytest.raises(CircuitError, match="no quotient of polynomials"):
        port.most_power_formula()


@given(st.integers(0, 10**6), st.one_of(st.none(), st.floats(20.0, 20e3)), st.floats(100.0, 1e6))
@settings(max_examples=25, deadline=None)
def test_any_load_gets_the_same_from_the_circuit_from_thevenin_and_from_norton(
    seed: int, frequency: float | None, load: float
) -> None:
    circuit = RandomCircuit(seed, DC_KINDS if frequency is None else AC_KINDS, nodes=3, extra=4).with_source()
    a, b = circuit.named[0], circuit.named[-1]
    network = read_network(circuit.parts)
    one, other = (find(network, a, b, analysis_of(frequency), frequency) for find in (thevenin, norton))
    expected = answer({**circuit.parts, "RX": resistor(a, b, load)}, {"current": "RX"}, frequency)
    scale = max(abs(expected), 1e-7)
    impedance = complex(one.impedance.value)
    assert abs(complex(one.voltage.value) / (impedance + load) - expected) <= 1e-7 * scale
    assert abs(complex(other.current.value) * impedance / (impedance + load) - expected) <= 1e-7 * scale


def test_no_short_goes_across_a_voltage_source() -> None:
    with pytest.raises(CircuitError, match="V1 holds the voltage between 'in' and '0', so that no short can be put"):
        norton(read_network(DIVIDER), "in", "0", DC)


def test_a_port_that_nothing_limits_gives_any_power() -> None:
    port = thevenin(read_network(DIVIDER), "in", "0", DC)
    with pytest.raises(CircuitError, match="nothing limits the power"):
        port.most_power()
    with pytest.raises(CircuitError, match="nothing limits the power"):
        port.most_power_into_resistance()


def test_a_source_looks_into_what_is_beside_it() -> None:
    looking = found(DIVIDER, {"input impedance": "in"})
    assert looking.value == pytest.approx(3e3)
    assert looking.formula().text() == "R1 + R2"
    assert found(DIVIDER, {"impedance": "in"}).value == 0.0  # the source itself, dead, is a short


def test_the_input_impedance_is_voltage_over_current_of_a_driven_circuit() -> None:
    parts = {
        "Vin": voltage("in", "0", 1.0), "Rs": resistor("in", "g", 1e5), "E1": amplifier("out", "0", ("0", "g"), 30.0),
        "C1": capacitor("g", "out", 1e-9),
    }  # fmt: skip
    drawn = -answer(parts, {"current": "Vin"}, 1e3)
    assert complex(found(parts, {"input impedance": ["in", "0"]}, 1e3).value) == pytest.approx(1 / drawn)


def test_the_output_resistance_of_a_stage_is_the_handbooks() -> None:
    """Ra beside ra + (µ + 1)·Rk (Langford-Smith, Radiotron Designer's Handbook, 4th ed. 1952; from memory)."""
    valve = 62.5e3 + 101 * 1500
    assert found(STAGE, {"output impedance": "anode"}).value == pytest.approx(1e5 * valve / (1e5 + valve))
    alone = found(STAGE, {"output impedance": {"at": "anode", "load": "Ra"}})
    assert alone.value == pytest.approx(valve)
    assert alone.formula().text() == "ra_V1 + Rk + mu_V1*Rk"
    follower = found(STAGE, {"output impedance": {"at": ["cathode", "0"], "load": ["Rk"]}})
    assert follower.value == pytest.approx((62.5e3 + 1e5) / 101)


def test_a_port_may_stand_on_one_node_only_in_name() -> None:
    with pytest.raises(CircuitError, match="short-circuit current: 'tap' and 'tap' are the same node"):
        found(DIVIDER, {"short-circuit current": ["tap", "tap"]})


def test_parts_and_nodes_that_are_not_there_are_named() -> None:
    with pytest.raises(NodeError, match="'RL'"):
        found(STAGE, {"output impedance": {"at": "anode", "load": "RL"}})
    parts = {"I1": current("0", "a", 1.0), "R1": resistor("a", "0", 1.0)}
    with pytest.raises(NodeError, match="'nowhere'"):
        found(parts, {"short-circuit current": "nowhere"})
