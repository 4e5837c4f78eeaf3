"""Transfer functions: against closed forms, against the solution at single frequencies, and formula against numbers."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.networks import (
    AC_KINDS,
    Parts,
    RandomCircuit,
    answer,
    capacitor,
    inductor,
    resistor,
    triode,
    voltage,
)
from tutor.circuits.errors import NodeError
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import Network, read_network
from tutor.circuits.transfer import gain_and_phase, response_of, transfer_of
from tutor.circuits.transfer_numeric import NumericTransfer

LOW_PASS: Parts = {"R1": resistor("in", "out", 1e3), "C1": capacitor("out", "0", 1e-6)}
RESONANT: Parts = {
    "L1": inductor("in", "x", 2.0), "R1": resistor("x", "out", 400.0), "C1": capacitor("out", "0", 2e-8),
}  # fmt: skip


def stages(count: int) -> Parts:
    """Return triode stages in a row with coupling, bypass and stray capacitors."""
    parts: Parts = {}
    for n in range(1, count + 1):
        parts |= {
            f"V{n}": triode(f"a{n}", f"g{n}", f"k{n}", 100.0, 62.5e3),
            f"Ra{n}": resistor(f"a{n}", "0", 1e5),
            f"Rk{n}": resistor(f"k{n}", "0", 1500.0),
            f"Ck{n}": capacitor(f"k{n}", "0", 25e-6 / n),
            f"Cc{n}": capacitor(f"a{n}", f"g{n + 1}", 22e-9),
            f"Rg{n}": resistor(f"g{n + 1}", "0", 470e3),
            f"Cs{n}": capacitor(f"g{n + 1}", "0", 100e-12 * n),
        }
    return parts | {"Rg0": resistor("g1", "0", 1e6)}


def values_of(network: Network) -> dict[str, complex]:
    return symbol_values(network, network.values(), None)


def test_the_low_pass_reads_as_in_a_book() -> None:
    network = read_network(LOW_PASS)
    transfer = transfer_of(network, ("in", "0"), ("out", "0"))
    assert transfer.text() == "1/(1 + s*R1*C1)"
    assert transfer.poles(values_of(network))[0] == pytest.approx([-1000.0], rel=1e-14)
    assert transfer.zeros(values_of(network)).shape == (1, 0)
    assert transfer.is_readable
    assert transfer.is_exact


@pytest.mark.parametrize(
    ("parts", "text"),
    [
        ({"R1": resistor("in", "out", 1.0), "R2": resistor("out", "0", 1.0)}, "R2/(R1 + R2)"),
        ({"C1": capacitor("in", "out", 1.0), "R1": resistor("out", "0", 1.0)}, "s*C1*R1/(1 + s*C1*R1)"),
        (RESONANT, "1/(1 + s*R1*C1 + s**2*L1*C1)"),
        (
            {"R1": resistor("in", "out", 1.0), "C1": capacitor("out", "x", 1.0), "R2": resistor("x", "0", 1.0)},
            "(1 + s*C1*R2)/(1 + s*C1*(R1 + R2))",
        ),
    ],
)
def test_transfer_functions_are_written_in_powers_of_s(parts: Parts, text: str) -> None:
    assert transfer_of(read_network(parts), ("in", "0"), ("out", "0")).text() == text


def test_a_resonant_circuit_has_the_poles_of_the_quadratic_formula() -> None:
    network = read_network(RESONANT)
    (low, high) = transfer_of(network, ("in", "0"), ("out", "0")).poles(values_of(network))[0]
    expected = -100 + 1j * math.sqrt(1 / (2.0 * 2e-8) - 100**2)
    assert [high, low] == pytest.approx(
        [expected, expected.conjugate()] if high.imag > 0 else [expected.conjugate(), expected], rel=1e-12
    )


@pytest.mark.parametrize("count", [1, 2])
def test_formula_and_numbers_find_the_same_poles_and_zeros(count: int) -> None:
    network = read_network(stages(count))
    start, end = ("g1", "0"), (f"g{count + 1}", "0")
    exact, numeric = transfer_of(network, start, end), NumericTransfer.of(network, start, end)
    values = values_of(network)
    assert numeric.poles(values)[0] == pytest.approx(exact.poles(values)[0], rel=1e-8)
    assert numeric.zeros(values)[0] == pytest.approx(exact.zeros(values)[0], rel=1e-8, abs=1e-3)
    assert not numeric.is_exact


def test_a_chain_too_long_for_a_formula_has_a_pole_for_every_capacitor_and_a_zero_at_nought_for_every_coupling() -> (
    None
):
    network = read_network(stages(3))
    response = response_of(network, ("g1", "0"), ("g4", "0"))
    assert not response.is_exact
    poles, zeros = response.poles(values_of(network))[0], response.zeros(values_of(network))[0]
    assert len(poles) == 9
    assert (poles.real < 0).all()
    assert np.count_nonzero(zeros == 0) == 3
    bypass = [-1 / (1500.0 * 25e-6 / n) for n in (1, 2, 3)]
    assert sorted(zeros[zeros != 0].real, reverse=True) == pytest.approx(bypass, rel=1e-8)


def test_poles_and_zeros_make_up_the_gain() -> None:
    """H(s) = K·Π(s − z)/Π(s − p): the quotient of two frequencies is free of K."""
    network = read_network(stages(3))
    values = values_of(network)
    response = response_of(network, ("g1", "0"), ("g4", "0"))
    poles, zeros = response.poles(values)[0], response.zeros(values)[0]
    first, second = 2j * math.pi * 40.0, 2j * math.pi * 30e3
    (gains,) = response.at(values, [first, second])
    expected = np.prod((first - zeros) / (second - zeros)) / np.prod((first - poles) / (second - poles))
    assert gains[0] / gains[1] == pytest.approx(expected, rel=1e-7)


@given(st.integers(0, 10**6), st.floats(20.0, 20e3))
@settings(max_examples=25, deadline=None)
def test_the_gain_at_a_frequency_is_that_of_the_equations_there(seed: int, frequency: float) -> None:
    kinds = tuple(kind for kind in AC_KINDS if kind not in ("current", "voltage"))
    circuit = RandomCircuit(seed, kinds, nodes=3, extra=4)
    network = read_network(circuit.parts)
    start, end = circuit.named[0], circuit.named[-1]
    response = response_of(network, (start, "0"), (end, "0"))
    found = complex(response.at(values_of(network), [2j * math.pi * frequency])[0, 0])
    expected = answer(network, {"gain": {"from": start, "to": end}}, frequency)
    assert abs(found - expected) <= 1e-8 * max(abs(expected), 1e-4)


def test_draws_are_solved_together() -> None:
    network = read_network(LOW_PASS)
    transfer = transfer_of(network, ("in", "0"), ("out", "0"))
    resistances = np.array([1e3, 2e3, 5e3])
    values = {"R1": resistances, "C1": 1e-6}
    assert transfer.poles(values)[:, 0] == pytest.approx(-1 / (resistances * 1e-6))
    gains = transfer.at(values, 1j * np.array([0.0, 1e3]))
    assert gains.shape == (3, 2)
    assert gains[:, 1] == pytest.approx(1 / (1 + 1j * resistances * 1e-3))


def test_gain_and_phase_run_on_without_jumps() -> None:
    parts = {**LOW_PASS}
    for n in range(2, 5):  # three more sections behind each other pass through −180°
        parts |= {
            f"R{n}": resistor("out" if n == 2 else f"x{n - 1}", f"x{n}", 1e4 * n),
            f"C{n}": capacitor(f"x{n}", "0", 1e-7),
        }
    network = read_network(parts)
    response = response_of(network, ("in", "0"), ("x4", "0"))
    frequencies = np.geomspace(1.0, 1e5, 300)
    level, phase = gain_and_phase(response, values_of(network), frequencies.tolist())
    assert level.shape == phase.shape == (1, 300)
    assert (np.abs(np.diff(phase[0])) < 20).all()
    assert phase[0, -1] == pytest.approx(-360, abs=2)
    one = answer({**parts, "V": voltage("in", "0", 1.0)}, {"voltage": "x4"}, float(frequencies[100]))
    assert level[0, 100] == pytest.approx(20 * math.log10(abs(one)), abs=1e-9)
    assert cmath.isclose(cmath.rect(1, math.radians(phase[0, 100])), one / abs(one), rel_tol=1e-9)


def test_on_a_pole_the_gain_is_infinite() -> None:
    network = read_network({"L1": inductor("in", "out", 1.0), "C1": capacitor("out", "0", 1.0)})
    for response in (
        transfer_of(network, ("in", "0"), ("out", "0")),
        NumericTransfer.of(network, ("in", "0"), ("out", "0")),
    ):
        gains = response.at(values_of(network), [0.5j, 1j, 2j])[0]
        assert math.isinf(abs(gains[1]))
        assert gains[[0, 2]] == pytest.approx([1 / 0.75, -1 / 3])


def test_a_node_that_is_not_there_is_named() -> None:
    with pytest.raises(NodeError, match="'nowhere'"):
        transfer_of(read_network(LOW_PASS), ("in", "0"), ("nowhere", "0"))
