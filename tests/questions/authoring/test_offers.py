"""What the engine offers: formulas that are proved as they stand, slips that can be told, words that check."""

from __future__ import annotations

import pytest

from tests.questions.authoring.drafts import DIVIDER, HEAD, LOADED, STAGE, divider, table, template
from tutor.questions.authoring.asking import askables
from tutor.questions.authoring.formulas import offered_formulas
from tutor.questions.authoring.proving import Proof, prove
from tutor.questions.authoring.reading_drafts import no_circuit, read_bench
from tutor.questions.authoring.slips import offered_slips
from tutor.questions.authoring.wording import offered_caution, offered_hints, offered_solution, offered_text


def test_the_loaded_divider_is_offered_its_formula_of_the_handbooks() -> None:
    # Thevenin: the source V1·R2/(R1 + R2) behind R1 parallel R2, loaded by RL.
    found = template(divider(formula=None))
    assert [offer.text for offer in offered_formulas(found, found.asks[0])] == [LOADED]


def test_the_unbypassed_stage_is_offered_the_gain_of_the_handbooks() -> None:
    # Langford-Smith, Radiotron Designer's Handbook, 4th ed., ch. 12: A = −µ·Ra/(Ra + ra + (µ + 1)·Rk).
    data = (
        HEAD | table(*STAGE) | {"ask": {"gain": {"text": "?", "of circuit": {"gain": {"from": "in", "to": "anode"}}}}}
    )
    found = template(data)
    assert [offer.text for offer in offered_formulas(found, found.asks[0])] == ["-Ra*mu/(Ra + ra + Rk + mu*Rk)"]


def test_a_later_ask_is_offered_ohms_law_over_the_earlier_one() -> None:
    data = divider()
    data["ask"]["i_load"] = {"text": "?", "of circuit": {"current": "RL"}}
    found = template(data)
    assert offered_formulas(found, found.asks[1])[0].text == "v_tap/RL"


@pytest.mark.parametrize("take", [{}, {"take": "decibels"}])
def test_offers_at_ac_are_proved_too(take: dict[str, str]) -> None:
    low_pass = table(
        ("V1", "voltage source", ("in", "0"), {"value": "1 V, 2 V, 5 V"}),
        ("R1", "resistor", ("in", "out"), {"value": "E12, 10 kΩ to 100 kΩ"}),
        ("C1", "capacitor", ("out", "0"), {"value": "1 nF, 2.2 nF, 4.7 nF"}),
    )
    form = {"gain": {"from": "in", "to": "out"}} | take
    data = (
        HEAD | low_pass | {"analysis": "ac", "frequency": "3 kHz", "ask": {"gain": {"text": "?", "of circuit": form}}}
    )
    found = template(data)
    (offer,) = offered_formulas(found, found.asks[0])
    data["ask"]["gain"]["formula"] = offer.text
    proof = prove(template(data))
    assert [finding for finding in proof.findings if finding[0] == "circuit"] == []


def test_slips_are_the_plausible_wrong_turns_and_each_can_be_told() -> None:
    found = template(divider())
    offers = {offer.name: offer for offer in offered_slips(found, found.asks[0])}
    assert offers["rl-forgotten"].formula == "V1*R2/(R1 + R2)"
    assert offers["r2-rl-in-a-row"].formula == "V1*(R2 + RL)/(R1 + (R2 + RL))"
    assert "r1-and-r2-exchanged" in offers
    assert all(offer.told >= 0.5 for offer in offers.values())


def test_slips_that_are_taken_are_not_offered_again() -> None:
    slips = {"load-forgotten": {"formula": "V1*R2/(R1 + R2)", "says": "The load."}}
    found = template(divider(slips=slips))
    assert "V1*R2/(R1 + R2)" not in [offer.formula for offer in offered_slips(found, found.asks[0])]


def test_everything_offered_together_is_proved() -> None:
    data = divider()
    found = template(data)
    taken = {
        offer.name: {"formula": offer.formula, "says": offer.says} for offer in offered_slips(found, found.asks[0])
    }
    data["ask"]["v_tap"]["slips"] = taken
    found = template(data)
    data |= {"text": offered_text(found), "hints": list(offered_hints(found))}
    data |= {"solution": list(offered_solution(found)), "caution": offered_caution(found)}
    proof = prove(template(data))
    assert proof.findings == ()
    assert proof.passed
    assert Proof.from_data(proof.to_data()) == proof


def test_the_progress_counts_every_check_once() -> None:
    heard: list[tuple[int, int]] = []
    prove(template(divider()), lambda done, of, _: heard.append((done, of)))
    assert [done for done, _ in heard] == list(range(len(heard)))
    assert heard[-1][0] == heard[-1][1] == len(heard) - 1


def test_what_can_be_asked_begins_with_the_voltage_at_the_tap() -> None:
    bench = read_bench(table(*DIVIDER), no_circuit)
    found = askables(bench.network)
    assert (found[0].form, found[0].name) == ({"voltage": "tap"}, "v_tap")
    assert len({ask.key for ask in found}) == len(found)


# -- what must not be published --------------------------------------------------------------------------------------
def test_a_wrong_formula_is_not_proved() -> None:
    proof = prove(template(divider(formula="V1*R2/(R1 + R2)")))
    assert not proof.passed
    assert any(check == "circuit" and "where the circuit gives" in says for check, _, says in proof.findings)


@pytest.mark.parametrize(("tolerance", "says"), [("0.01 %", "too narrow"), ("40 %", "lets wrong answers pass")])
def test_an_impossible_tolerance_is_not_proved(tolerance: str, says: str) -> None:
    proof = prove(template(divider(tolerance=tolerance)))
    assert any(check == "tolerance" and says in message for check, _, message in proof.findings)


def test_a_slip_equal_to_the_answer_is_not_proved() -> None:
    slips = {"same": {"formula": "V1*parallel(R2, RL)/(R1 + parallel(R2, RL))", "says": "That is it."}}
    proof = prove(template(divider(slips=slips)))
    assert any(check == "slips" and key == "ask.v_tap.slips.same" for check, key, _ in proof.findings)
