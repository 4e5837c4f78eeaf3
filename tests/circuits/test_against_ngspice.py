"""Random circuits against ngspice: every kind of part, dc and ac, to 1e-6 of the largest voltage."""

from __future__ import annotations

import pytest

from tests.circuits import spice
from tests.circuits.networks import AC_KINDS, DC_KINDS, RandomCircuit, analysis_of
from tests.circuits.spice import node_voltages, want_ngspice
from tutor.circuits.asked import Voltage
from tutor.circuits.linear import solve
from tutor.circuits.network import read_network

SEEDS = range(60)


def frequency_of(seed: int) -> float | None:
    """Every other circuit at ac, from 20 Hz to 20 kHz."""
    return None if seed % 2 else 20.0 * 1000 ** (seed / len(SEEDS))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_circuit_agrees_with_ngspice(seed: int) -> None:
    want_ngspice()
    frequency = frequency_of(seed)
    kinds = DC_KINDS if frequency is None else AC_KINDS
    circuit = RandomCircuit(seed, kinds, nodes=3 + seed % 4, extra=5 + seed % 6).with_source()
    network = read_network(circuit.parts)
    theirs = node_voltages(circuit.parts, circuit.named, frequency)
    ours = {n: complex(solve(network, Voltage(n), analysis_of(frequency), frequency).value) for n in circuit.named}
    largest = max(abs(value) for value in theirs.values())
    for node in circuit.named:
        assert abs(ours[node] - theirs[node]) <= 1e-6 * max(abs(theirs[node]), 1e-3 * largest), (node, ours, theirs)


def test_the_random_circuits_hold_every_kind_of_part() -> None:
    drawn = [RandomCircuit(seed, AC_KINDS, nodes=3 + seed % 4, extra=5 + seed % 6) for seed in SEEDS if not seed % 2]
    kinds = {part["kind"] for circuit in drawn for part in circuit.parts.values()}
    assert kinds == {
        "resistor", "capacitor", "inductor", "coupling", "transformer", "voltage source", "current source",
        "voltage-controlled voltage source", "voltage-controlled current source",
        "current-controlled voltage source", "current-controlled current source", "potentiometer", "triode", "meter",
    }  # fmt: skip


def test_a_missing_ngspice_is_forgiven_a_user_and_not_the_ci(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spice, "PROGRAM", None)
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="ngspice is missing; install it where CI=true"):
        want_ngspice()
    monkeypatch.delenv("CI")
    with pytest.raises(pytest.skip.Exception, match="ngspice is not installed"):
        want_ngspice()
