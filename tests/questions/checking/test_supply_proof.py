"""Formulas of the trade against a template's supply: what is proved, what is told, what is refused."""

from __future__ import annotations

from typing import get_args

import pytest

from tests.questions.templates import asking, faults_of, findings_of, read
from tutor.questions.schema import OfSupplyModel
from tutor.questions.supply_plan import QUANTITIES

BRIDGE = """\
supply:
  topology: bridge
  winding: {emf: Vs, resistance: 1 Ω, frequency: f}
  rectifier: {kind: ideal}
  reservoir: C1
  load: {current: IL}
"""
VALUES = """\
Vs: {from: 250 V, to: 300 V, step: 10 V}
f: {pick: [50 Hz, 60 Hz]}
C1: {pick: [32 µF, 47 µF, 50 µF]}
IL: {from: 50 mA, to: 100 mA, step: 5 mA}
"""
FORMULAS = {
    "mean voltage": ("sqrt(2)*Vs - IL/(4*f*C1)", "2 %"),
    "rms voltage": ("sqrt(2)*Vs - IL/(4*f*C1)", "2 %"),
    "ripple": ("IL/(2*f*C1)", "20 %"),
    "rms ripple": ("IL/(2*f*C1)/(2*sqrt(3))", "15 %"),
    "ripple factor": ("IL/(2*f*C1)/(2*sqrt(3))/(sqrt(2)*Vs)", "15 %"),
    "ripple frequency": ("2*f", "0.1 %"),
    "peak inverse voltage": ("sqrt(2)*Vs", "1 %"),
}


def supplied(keys: str, supply: str = BRIDGE) -> str:
    return asking(keys, VALUES, before=supply)


def told(keys: str, supply: str = BRIDGE) -> list[str]:
    return [line for line in findings_of(supplied(keys, supply)) if line.startswith(("supply", "circuit"))]


@pytest.mark.parametrize("quantity", FORMULAS)
def test_a_rule_within_its_error_is_proved_and_twice_of_it_is_not(quantity: str) -> None:
    formula, error = FORMULAS[quantity]
    keys = "{{of supply: {{quantity: {}}}, model error: {}, formula: {}}}"
    assert told(keys.format(quantity, error, formula)) == []
    (line,) = told(keys.format(quantity, error, f"2*({formula})"))
    assert line.startswith("supply at ask.x.formula: it gives ")
    assert f"where the supply's {quantity} is " in line


def test_a_rule_further_off_than_it_says_is_told_with_its_serial() -> None:
    (line,) = told("{of supply: {quantity: ripple}, model error: 2 %, formula: IL/(2*f*C1)}")
    assert "% off, and 0.02 of it is the model error stated (serial " in line
    assert line.endswith("of 60 draws)")


def test_an_ask_has_its_own_topology_and_node() -> None:
    half = "{of supply: {quantity: ripple, topology: half-wave}, model error: 15 %, formula: IL/(f*C1)}"
    assert told(half) == []
    assert len(told(half.replace(", topology: half-wave", ""))) == 1
    smoothed = BRIDGE + "  sections: [{resistance: 1 kΩ, capacitance: 50 µF}]\n"
    before = "{of supply: {quantity: ripple, at: reservoir}, model error: 20 %, formula: IL/(2*f*C1)}"
    assert told(before, smoothed) == []
    assert len(told(before.replace(", at: reservoir", ""), smoothed)) == 1


def test_a_valve_is_known_by_one_point_of_its_sheet() -> None:
    """With next to no winding resistance the reservoir stands below the peak by what the valve drops, and its ripple."""
    keys = "{of supply: {quantity: mean voltage}, model error: 4 %, formula: sqrt(2)*Vs - IL/(4*f*C1)}"
    assert told(keys, BRIDGE.replace("{kind: ideal}", "{kind: valve, drop: 2 V, current: 300 mA}")) == []
    assert len(told(keys, BRIDGE.replace("{kind: ideal}", "{kind: valve, drop: 60 V, current: 100 mA}"))) == 1
    assert told(keys, BRIDGE.replace("{kind: ideal}", "{kind: silicon, drop: 0.8 V, slope: 1 Ω}")) == []


def test_a_supply_without_a_steady_state_proves_nothing() -> None:
    greedy = BRIDGE.replace("current: IL", "current: 1000*IL")
    (line,) = told("{of supply: {quantity: ripple}, model error: 20 %, formula: IL/(2*f*C1)}", greedy)
    assert "the supply has no figure to compare it with (serial " in line


def test_a_supply_that_cannot_be_is_told_with_its_key() -> None:
    stiff = BRIDGE.replace("resistance: 1 Ω", "resistance: 0 Ω")
    (line,) = told("{of supply: {quantity: ripple}, model error: 20 %, formula: IL/(2*f*C1)}", stiff)
    assert "supply winding.resistance" in line


RIPPLE = "{of supply: {quantity: ripple}, model error: 20 %, formula: IL/(2*f*C1)}"


@pytest.mark.parametrize(
    ("keys", "supply", "message"),
    [
        (RIPPLE, "", "the template has no supply; describe one under `supply:`"),
        (RIPPLE.replace("model error: 20 %, ", ""), BRIDGE, "wants `model error:`"),
        (RIPPLE.replace("20 %", "40 %"), BRIDGE, "a share above 0 and up to 30% is wanted"),
        (RIPPLE.replace("20 %", "0 %"), BRIDGE, "a share above 0 and up to 30% is wanted"),
        (RIPPLE.replace("20 %", "2 V"), BRIDGE, "a share above 0 and up to 30% is wanted"),
        (RIPPLE.replace("IL/(2*f*C1)", "Vs/IL"), BRIDGE, "and the supply's quantity is a voltage"),
        ("{model error: 5 %, formula: IL/(2*f*C1)}", BRIDGE, "it goes with `of supply:`, and there is none"),
        (RIPPLE.replace("ripple", "riple"), BRIDGE, 'found "riple"; known are '),
        (RIPPLE, BRIDGE.replace("emf: Vs", "emf: IL"), "it gives a current; a voltage is wanted"),
        (RIPPLE, BRIDGE.replace("emf: Vs", "emf: x"), "no value has this name"),
        (RIPPLE, BRIDGE.replace("{kind: ideal}", "{kind: silicon}"), "kind silicon has drop and slope"),
        (RIPPLE, BRIDGE.replace("emf: Vs", "emv: Vs"), "did you mean emf?"),
        (RIPPLE, BRIDGE.replace("reservoir:", "reservoire:"), "did you mean reservoir?"),
    ],
)
def test_a_fault_of_a_supply_says_what_would_do(keys: str, supply: str, message: str) -> None:
    assert any(message in fault for fault in faults_of(supplied(keys, supply)))


def test_the_supply_and_what_is_asked_of_it_count_in_the_release() -> None:
    releases = {read(supplied(RIPPLE, s)).release for s in (BRIDGE, BRIDGE.replace("1 Ω", "2 Ω"))}
    assert len(releases | {read(supplied(RIPPLE.replace("20 %", "19 %"))).release}) == 3


def test_every_quantity_can_be_asked() -> None:
    assert set(get_args(OfSupplyModel.model_fields["quantity"].annotation)) == set(QUANTITIES)
