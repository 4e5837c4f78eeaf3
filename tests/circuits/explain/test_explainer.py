"""What the steps of a worked solution are, in which order, and that a step which disagrees is never told."""

from __future__ import annotations

from typing import Any

import pytest

from tutor.circuits.analysis import AC, DC
from tutor.circuits.asked import Current, Gain, Impedance, Power, TimeConstant, Voltage
from tutor.circuits.explain import Explainer, Explanation, Method, NoExplanationError, Wanted
from tutor.circuits.explain.ledger import Fact, Ledger, step_of
from tutor.circuits.expressions import read_expression
from tutor.circuits.linear import solve
from tutor.circuits.network import read_network
from tutor.drawing.maths import NO_BREAK, plain
from tutor.quantities import VOLT

LOADED = {
    "V1": {"kind": "voltage source", "nodes": ["in", "0"], "value": "250 V"},
    "R1": {"kind": "resistor", "nodes": ["in", "tap"], "value": "220 kΩ"},
    "R2": {"kind": "resistor", "nodes": ["tap", "0"], "value": "100 kΩ"},
    "RL": {"kind": "resistor", "nodes": ["tap", "0"], "value": "470 kΩ"},
}
COUPLING = {
    "V1": {"kind": "voltage source", "nodes": ["in", "0"], "value": "10 V"},
    "C1": {"kind": "capacitor", "nodes": ["in", "grid"], "value": "10 nF"},
    "R1": {"kind": "resistor", "nodes": ["grid", "0"], "value": "470 kΩ"},
}
STAGE = {
    "HT": {"kind": "voltage source", "nodes": ["ht", "0"], "value": {"dc": "250 V"}},
    "Vs": {"kind": "voltage source", "nodes": ["in", "0"], "value": {"ac": "100 mV"}},
    "V1": {
        "kind": "triode",
        "nodes": {"anode": "anode", "grid": "in", "cathode": "cathode"},
        "mu": "100",
        "ra": "62.5 kΩ",
    },
    "Ra": {"kind": "resistor", "nodes": ["ht", "anode"], "value": "100 kΩ"},
    "Rg": {"kind": "resistor", "nodes": ["anode", "0"], "value": "470 kΩ"},
    "Rk": {"kind": "resistor", "nodes": ["cathode", "0"], "value": "1.5 kΩ"},
}
HERTZ_50 = read_expression("50 Hz")


def told(explanation: Explanation) -> list[str]:
    return [f"{step.name} = {plain(step.formula)}".replace(NO_BREAK, " ") for step in explanation.steps]


def explained(parts: dict[str, Any], *wanted: Wanted) -> list[Explanation]:
    engine = Explainer(read_network(parts))
    found = [engine.explain(one) for one in wanted]
    assert engine.ledger.rejected == []
    return found


def test_a_loaded_divider_is_combined_first_and_then_divided() -> None:
    voltage, current = explained(LOADED, Wanted(Voltage("tap")), Wanted(Current("RL")))
    assert told(voltage) == ["r_tap = R2·RL/(R2 + RL)", "v_tap = V1·r_tap/(R1 + r_tap)"]
    assert voltage.methods == (Method.SERIES_PARALLEL, Method.DIVIDER)
    assert voltage.steps[0].parts == ("R2", "RL")
    # Arithmetic, worked by hand: 100 k beside 470 k is 82.456 k; 250 V · 82.456/302.456 = 68.155 V.
    assert voltage.value.real == pytest.approx(68.155, abs=1e-3)
    # What was said before is not said again.
    assert told(current) == ["i_RL = v_tap/RL"]


def test_power_takes_whichever_of_current_and_voltage_is_known() -> None:
    _, power = explained(LOADED, Wanted(Voltage("tap")), Wanted(Power("R2")))
    assert told(power) == ["p_R2 = v_tap²/R2"]


def test_a_coupling_capacitor_is_a_reactance_then_a_magnitude_then_an_angle() -> None:
    size, level, angle = (
        Wanted(Gain(("in", "0"), ("grid", "0")), AC, HERTZ_50, take) for take in ("magnitude", "decibels", "phase")
    )
    first, second, third = explained(COUPLING, size, level, angle)
    assert told(first) == ["X_C1 = 1/(2·π·50 Hz·C1)", "k_grid = R1/√(R1² + X_C1²)"]
    assert told(second) == ["level = 20·log10(k_grid)"]
    assert told(third) == ["phi = arctan(X_C1/R1)·180/π"]
    assert third.value.real == pytest.approx(34.11, abs=0.01)  # arctan(318.3/470), worked by hand


def test_a_valve_stage_finds_its_load_first_and_counts_the_cathode_resistor_mu_and_one_times() -> None:
    (gain,) = explained(STAGE, Wanted(Gain(("in", "0"), ("anode", "0")), AC, HERTZ_50, "magnitude"))
    assert told(gain) == ["r_anode = Ra·Rg/(Ra + Rg)", "k_anode = µ_V1·r_anode/(ra_V1 + r_anode + (µ_V1 + 1)·Rk)"]
    assert gain.methods == (Method.SERIES_PARALLEL, Method.VALVE)


def test_looking_into_an_anode_adds_the_cathode_resistor_and_into_a_cathode_divides_the_load() -> None:
    anode, cathode = explained(
        STAGE, Wanted(Impedance("anode"), AC, HERTZ_50), Wanted(Impedance("cathode"), AC, HERTZ_50)
    )
    assert told(anode)[0] == "r_anode_V1 = ra_V1 + (µ_V1 + 1)·Rk"
    assert any("(ra_V1 + " in line and "/(µ_V1 + 1)" in line for line in told(cathode))


def test_a_feedback_loop_is_what_comes_back_and_then_the_closed_gain() -> None:
    parts = {
        "V1": {"kind": "voltage source", "nodes": ["in", "0"], "value": "1 V"},
        "A1": {
            "kind": "voltage-controlled voltage source",
            "nodes": ["out", "0"],
            "control": ["in", "fed"],
            "value": "100",
        },
        "Rf": {"kind": "resistor", "nodes": ["out", "fed"], "value": "9 kΩ"},
        "Rk": {"kind": "resistor", "nodes": ["fed", "0"], "value": "1 kΩ"},
    }
    (gain,) = explained(parts, Wanted(Gain(("in", "0"), ("out", "0")), AC, HERTZ_50, "magnitude"))
    assert told(gain) == ["share_fed = Rk/(Rf + Rk)", "k_out = A1/(1 + A1·share_fed)"]
    assert gain.value.real == pytest.approx(100 / 11)  # A/(1 + A·beta) with beta = 0.1, worked by hand


def test_a_time_constant_takes_the_resistance_that_the_capacitor_sees() -> None:
    parts = LOADED | {"C1": {"kind": "capacitor", "nodes": ["tap", "0"], "value": "8 µF"}}
    (tau,) = explained(parts, Wanted(TimeConstant("C1")))
    assert told(tau) == ["r_tap = R1 ∥ R2 ∥ RL", "tau = r_tap·C1"]


def test_a_bridge_needs_equations_for_both_of_its_corners() -> None:
    parts = {
        "V1": {"kind": "voltage source", "nodes": ["top", "0"], "value": "24 V"},
        "R1": {"kind": "resistor", "nodes": ["top", "a"], "value": "150 Ω"},
        "R2": {"kind": "resistor", "nodes": ["top", "b"], "value": "50 Ω"},
        "R3": {"kind": "resistor", "nodes": ["a", "b"], "value": "100 Ω"},
        "R4": {"kind": "resistor", "nodes": ["a", "0"], "value": "300 Ω"},
        "R5": {"kind": "resistor", "nodes": ["b", "0"], "value": "250 Ω"},
    }
    (found,) = explained(parts, Wanted(Voltage("a", "b")))
    assert [step.method for step in found.steps[:2]] == [Method.NODE_EQUATIONS] * 2
    by_program = solve(read_network(parts), Voltage("a", "b"), DC).value
    assert found.value.real == pytest.approx(by_program, rel=1e-9)


def test_what_no_rule_reaches_is_said_to_be_out_of_reach() -> None:
    parts = {
        "L1": {"kind": "inductor", "nodes": ["a", "0"], "value": "1 H"},
        "L2": {"kind": "inductor", "nodes": ["b", "0"], "value": "1 H"},
        "K1": {"kind": "coupling", "coils": ["L1", "L2"], "value": "0.9"},
        "V1": {"kind": "voltage source", "nodes": ["a", "0"], "value": "10 V"},
        "R1": {"kind": "resistor", "nodes": ["b", "0"], "value": "1 kΩ"},
    }
    with pytest.raises(NoExplanationError, match="no chain of steps"):
        Explainer(read_network(parts)).explain(Wanted(Voltage("b"), AC, HERTZ_50))


def test_a_step_that_disagrees_with_the_full_solution_is_refused() -> None:
    ledger = Ledger({"V1": 10 + 0j, "R1": 1 + 0j, "R2": 3 + 0j})
    wrong = step_of("v_tap", Method.DIVIDER, "wrong way up", read_expression("V1*R1/(R1 + R2)"), VOLT, ["R1", "R2"])
    assert not ledger.enter(Fact(("v", "tap"), wrong, (), 1.0), 7.5 + 0j, 10.0)
    assert ledger.known(("v", "tap")) is None
    assert len(ledger.rejected) == 1


def test_a_circuit_too_large_to_follow_is_refused_at_once() -> None:
    parts = {f"R{n}": {"kind": "resistor", "nodes": [f"n{n}", f"n{n + 1}"], "value": "1 kΩ"} for n in range(298)}
    parts |= {
        "V1": {"kind": "voltage source", "nodes": ["n0", "0"], "value": "1 V"},
        "RE": {"kind": "resistor", "nodes": ["n298", "0"], "value": "1 kΩ"},
    }
    with pytest.raises(NoExplanationError):
        Explainer(read_network(parts)).explain(Wanted(Voltage("n1", "0")))
