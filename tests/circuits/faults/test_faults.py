"""What faults make of a circuit, and what a meter then reads: against circuits written out with the fault in them."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import Any

import numpy as np
import pytest

from tests.circuits.valves.test_in_network import STAGE, resistor, supply, triode
from tutor.circuits.analysis import AC, S
from tutor.circuits.asked import Voltage
from tutor.circuits.errors import NodeError
from tutor.circuits.faults.bench import Bench
from tutor.circuits.faults.diagnosis import apart, errors_of, explain, unique
from tutor.circuits.faults.errors import FaultError
from tutor.circuits.faults.instrument import INSTRUMENTS
from tutor.circuits.faults.kinds import KINDS_OF_FAULT, Fault
from tutor.circuits.faults.separating import separation
from tutor.circuits.network import Network, read_network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import pose
from tutor.circuits.valves.in_network import rest

COUPLED = {
    **STAGE,
    "Ck": {"kind": "capacitor", "nodes": ["k", "0"], "value": "25 µF"},
    "Vp": {"kind": "voltage source", "nodes": ["p", "0"], "value": "150 V"},
    "Cc": {"kind": "capacitor", "nodes": ["p", "g"], "value": "22 nF"},
}
ELECTRONIC = INSTRUMENTS["electronic"]


def symbols(network: Network, draws: int = 1) -> Mapping[str, Any]:
    return {name: np.full(draws, p.value.magnitude) for name, (_, p) in network.parameters().items()}  # type: ignore[union-attr]  # numbers throughout


def read_at(parts: dict[str, Any], point: str, ohms: float) -> float:
    """Return what a meter reads at a point of a circuit in which it stands as a part."""
    meter = {"kind": "meter", "nodes": [point, "0"], "resistance": f"{ohms} Ω"}
    network = read_network({**parts, "M": meter})
    return float(rest(network, symbols(network)).voltages[point][0])


@pytest.mark.parametrize(
    ("fault", "changes"),
    [
        (Fault("Ra", "open"), {"Ra": resistor("ht", "a", "10 GΩ")}),
        (Fault("Ra", "drifted", 2.2), {"Ra": resistor("ht", "a", "220 kΩ")}),
        (Fault("Rk", "drifted", 0.5), {"Rk": resistor("k", "0", "750 Ω")}),
        (Fault("Ck", "short"), {"Ck": resistor("k", "0", "1 Ω")}),
        (Fault("Cc", "leaky", 10e6), {"Cc": resistor("p", "g", "10 MΩ")}),
        (Fault("V1", "no emission"), {"V1": resistor("a", "0", "100 GΩ"), "X": resistor("a", "k", "100 GΩ")}),
        (Fault("V1", "gassy", 2e-6), {"I": {"kind": "current source", "nodes": ["k", "g"], "value": "2 µA"}}),
    ],
)
@pytest.mark.parametrize("ohms", [200e3, 10e6])
def test_readings_are_those_of_the_faulty_circuit_with_the_meter_in_it(
    fault: Fault, changes: dict[str, Any], ohms: float
) -> None:
    bench = Bench(read_network(COUPLED), [fault], ["ht", "a", "k", "g"])
    found = bench.readings(bench.behind(symbols, 1), ohms, {"V1": np.array(["ECC83"])})
    for index, point in enumerate(bench.points):
        assert found[0, index, 0] == pytest.approx(read_at(COUPLED, point, ohms), rel=1e-5, abs=1e-6)
        assert found[1, index, 0] == pytest.approx(read_at({**COUPLED, **changes}, point, ohms), rel=2e-3, abs=2e-3)


def test_low_emission_is_a_smaller_current_at_the_same_voltages() -> None:
    network = Fault("V1", "low emission", 0.4).applied(read_network(STAGE))
    weak = rest(network, symbols(network))
    held = {node: {"kind": "voltage source", "nodes": [node, "0"]} for node in ("a", "k", "g")}
    sources = {f"V{node}": {**part, "value": f"{weak.voltages[node][0]} V"} for node, part in held.items()}
    sound = read_network({**sources, "V1": triode("a", "g", "k"), "Rx": resistor("a", "0", "1 MΩ")})
    full = rest(sound, symbols(sound)).currents["V1"][0, 0]
    assert weak.currents["V1"][0, 0] == pytest.approx(0.4 * full, rel=1e-4)


def test_the_meter_loads_a_plain_divider_as_ohms_law_says() -> None:
    # 250 V, 220 kΩ over 100 kΩ: 78.1 V; with 200 kΩ (20 kΩ/V on 10 V) across the foot 250·66.7/286.7 = 58.1 V.
    network = read_network({"HT": supply(), "R1": resistor("ht", "t", "220 kΩ"), "R2": resistor("t", "0", "100 kΩ")})
    bench = Bench(network, [], ["t"])
    assert bench.readings(bench.behind(symbols, 1), 200e3, {})[0, 0, 0] == pytest.approx(58.139535, rel=1e-6)


def test_levels_at_ac_are_magnitudes() -> None:
    network = read_network(
        {
            "Vs": {"kind": "voltage source", "nodes": ["s", "0"], "value": "1 V"},
            "R1": resistor("s", "o", "10 kΩ"),
            "C1": {"kind": "capacitor", "nodes": ["o", "0"], "value": "15.915494 nF"},
        }
    )
    bench = Bench(network, [Fault("C1", "open")], ["o"], AC)

    def at_1_khz(of: Network) -> Mapping[str, Any]:
        return {**symbols(of), S: 2j * np.pi * 1e3}

    found = bench.readings(bench.behind(at_1_khz, 1), 1e12, {})
    assert found[:, 0, 0] == pytest.approx([2**-0.5, 1.0], rel=1e-5)


@pytest.mark.parametrize(
    ("part", "kind", "reason"),
    [
        ("Ra", "leaky", "a resistor cannot be that"),
        ("Ck", "low emission", "a capacitor cannot be that"),
        ("V1", "drifted", "has no single value that could drift"),
        ("V1", "opened", "it is no kind of fault; did you mean open?"),
    ],
)
def test_a_part_has_only_faults_of_its_kind(part: str, kind: str, reason: str) -> None:
    with pytest.raises(FaultError) as caught:
        Fault(part, kind, 2.0).applied(read_network(COUPLED))
    assert reason in str(caught.value)


def test_an_unknown_part_is_named() -> None:
    with pytest.raises(NodeError):
        Fault("R99", "open").applied(read_network(COUPLED))


def test_a_drift_says_which_way() -> None:
    assert Fault("Ra", "drifted", 2.2).words == "drifted high"
    assert Fault("Ra", "drifted", 0.3).words == "drifted low"
    assert Fault("Ck", "short").words == "short"


def test_every_kind_of_fault_leaves_the_circuit_as_it_was() -> None:
    network = read_network(COUPLED)
    before = list(network.parts)
    for part in network.parts:
        for kind, found in KINDS_OF_FAULT.items():
            if part.kind in found.of:
                assert Fault(part.reference, kind, 0.5).applied(network).parts != network.parts
    assert list(network.parts) == before


def test_a_worn_wiper_passes_nothing() -> None:
    parts = {
        "Vs": {"kind": "voltage source", "nodes": ["s", "0"], "value": "1 V"},
        "P1": {"kind": "potentiometer", "nodes": ["s", "w", "0"], "value": "1 MΩ", "turn": "0.5"},
        "Rg": resistor("w", "0", "1 MΩ"),
    }
    bench = Bench(read_network(parts), [Fault("P1", "wiper open")], ["w"])
    found = bench.readings(bench.behind(symbols, 1), 10e6, {})
    assert found[0, 0, 0] > 0.3
    assert found[1, 0, 0] < 1e-3


# -- meters ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("voltage", "shown"), [(161.889, 162.0), (1.3216, 1.32), (0.01234, 0.01), (0.0, 0.0), (-12.345, -12.3)]
)
def test_an_electronic_meter_shows_three_figures(voltage: float, shown: float) -> None:
    assert ELECTRONIC.shown(voltage, 0.0) == pytest.approx(shown, abs=1e-9)


def test_a_needle_is_read_to_half_a_division() -> None:
    needle = INSTRUMENTS["20 kΩ/V"]
    assert needle.shown(161.4, 250.0) == pytest.approx(162.5)
    assert needle.loading(250.0) == 5e6
    assert needle.error(10.0, 250.0) == pytest.approx(7.5)


# -- diagnosis -------------------------------------------------------------------------------------------------------
def test_one_suspect_is_found_and_two_alike_are_not() -> None:
    predicted = np.array([[[100.0], [2.0]], [[150.0], [0.0]], [[60.0], [3.0]], [[60.4], [3.01]]])
    shown = np.array([[150.0], [0.0]])
    errors = errors_of(ELECTRONIC, shown, 0.0)
    assert explain(predicted, shown, errors)[:, 0].tolist() == [False, True, False, False]
    assert unique(predicted, shown, errors, np.array([1])).tolist() == [True]
    shown = np.array([[60.0], [3.0]])
    errors = errors_of(ELECTRONIC, shown, 0.0)
    assert explain(predicted, shown, errors)[:, 0].tolist() == [False, False, True, True]
    assert unique(predicted, shown, errors, np.array([2])).tolist() == [False]


def test_what_only_the_spread_of_parts_tells_apart_is_not_apart() -> None:
    predicted, shown = np.array([[[103.0]]]), np.array([[100.0]])
    assert not apart(predicted, shown, np.array([[1.0]]))[0, 0]
    assert apart(predicted * 1.1, shown, np.array([[1.0]]))[0, 0]


def test_a_suspect_without_an_operating_point_explains_nothing() -> None:
    predicted = np.array([[[np.nan]], [[5.0]]])
    errors = np.array([[0.1]])
    assert explain(predicted, np.array([[5.0]]), errors)[:, 0].tolist() == [False, True]
    # Nor can it be ruled out: such a draw is not asked.
    assert unique(predicted, np.array([[5.0]]), errors, np.array([1])).tolist() == [False]


# -- shorted turns ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("share", [0.01, 0.1, 0.5])
def test_shorted_turns_change_the_ratio_and_reflect_a_small_resistance(share: float) -> None:
    """By hand: volts per turn u; ampere-turns (1 - s) n1 i1 = n2 (n2 u/RL) + s n1 (s n1 u/1 ohm)."""
    turns, other, load, source = 3000.0, 100.0, 8.0, 1000.0
    network = read_network(
        {
            "Vs": {"kind": "voltage source", "nodes": ["s", "0"], "value": "1 V"},
            "Rs": resistor("s", "p", "1 k\N{OHM SIGN}"),
            "T1": {
                "kind": "transformer",
                "windings": {"primary": ["p", "0"], "secondary": ["l", "0"]},
                "turns": {"primary": turns, "secondary": other},
            },
            "RL": resistor("l", "0", "8 \N{OHM SIGN}"),
        }
    )
    broken = Fault("T1", "shorted turns", share).applied(network)
    reflected = ((1 - share) * turns) ** 2 / (other**2 / load + (share * turns) ** 2 / 1.0)
    primary = reflected / (reflected + source)
    problem = pose(broken, Voltage("l", "0"), AC)
    values = {name: p.value.magnitude for name, (_, p) in broken.parameters().items()} | {"s": 2j * np.pi * 1000}  # type: ignore[union-attr]  # numbers
    found = abs(complex(solve_numerically(problem, {name: np.array([value]) for name, value in values.items()})[0]))
    assert found == pytest.approx(primary * other / ((1 - share) * turns), rel=1e-9)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.2])
def test_a_share_that_is_none_is_refused(share: float) -> None:
    parts = {
        "T1": {"kind": "transformer", "windings": {"a": ["p", "0"], "b": ["l", "0"]}, "turns": {"a": 10, "b": 1}},
        "R": resistor("p", "l", "1 k\N{OHM SIGN}"),
    }
    with pytest.raises(FaultError, match="give one between 0 and 1"):
        Fault("T1", "shorted turns", share).applied(read_network(parts))


# -- which readings are needed ---------------------------------------------------------------------------------------
def test_the_fewest_points_tell_as_much_as_all_of_them() -> None:
    predicted = np.array([[250.0, 150.0, 1.5], [250.0, 250.0, 0.0], [250.0, 10.0, 0.0], [0.0, 0.0, 0.0]])
    found = separation(predicted, np.full(predicted.shape, 0.1))
    assert found.alike == ()
    assert found.fewest == (1,)


def test_cases_that_read_alike_everywhere_are_said_so() -> None:
    predicted = np.array([[250.0, 150.0], [250.0, 151.0], [0.0, 0.0]])
    found = separation(predicted, np.full(predicted.shape, 1.0))
    assert found.alike == ((0, 1),)
    assert found.fewest == (0,)


def test_the_fewest_points_of_random_tables_are_found_by_trying_all() -> None:
    dice = np.random.default_rng(5)
    for _ in range(20):
        predicted = dice.choice([0.0, 100.0, 200.0], size=(5, 6))
        errors = np.full(predicted.shape, 1.0)
        found = separation(predicted, errors)

        def told(points: tuple[int, ...], table: Any = predicted) -> set[tuple[int, int]]:
            return {
                (a, b)
                for a in range(5)
                for b in range(a + 1, 5)
                if any(
                    abs(table[a, p] - table[b, p]) > 2 + 0.04 * max(abs(table[a, p]), abs(table[b, p])) for p in points
                )
            }

        everything = told(tuple(range(6)))
        assert told(found.fewest) == everything
        smaller = [points for n in range(len(found.fewest)) for points in combinations(range(6), n)]
        assert all(told(points) != everything for points in smaller)
