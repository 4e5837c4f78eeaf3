"""Formulas are marked by what they are, not by how they are written."""

from __future__ import annotations

import json

import pytest

from tests.questions.templates import question_of
from tutor.questions.marking import mark
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import Question

TEXT = """\
template: divider-in-letters
title: A divider in letters
topic: dividers
level: 1
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, tap]}
  R2: {kind: resistor, nodes: [tap, 0]}
values:
  V1: {pick: [100 V, 200 V]}
  R1: {series: E12, from: 10 kΩ, to: 100 kΩ}
  R2: {series: E12, from: 10 kΩ, to: 100 kΩ}
text: Write the voltage at the tap.
ask:
  v:
    kind: formula
    text: In letters?
    of circuit: {voltage: tap}
    formula: V1*R2/(R1 + R2)
    slips:
      wrong-arm: {formula: V1*R1/(R1 + R2), says: That is the upper arm.}
  half:
    text: And half of it?
    formula: v/2
    unit: V
caution: high-voltage
"""


@pytest.fixture(scope="module")
def question() -> Question:
    return question_of(TEXT, 5)


def marked(question: Question, formula: str, half: str = "") -> dict[str, AskMark]:
    return dict(mark(question, {"v": formula, "half": half}).asks)


@pytest.mark.parametrize(
    "typed",
    ["V1*R2/(R1+R2)", "R2 V1 / (R2 + R1)", "V1/(1 + R1/R2)", "V1 - V1*R1/(R1+R2)", "v = V1·parallel(R1,R2)/R1"],
)
def test_every_spelling_of_the_key_is_right(question: Question, typed: str) -> None:
    found = marked(question, typed)["v"]
    assert (found.verdict, found.marks) == (Verdict.RIGHT, 1)


def test_a_slip_is_named_however_it_is_written(question: Question) -> None:
    found = marked(question, "V1/(1 + R2/R1)")["v"]
    assert (found.verdict, found.slip, found.marks) == (Verdict.SLIP, "wrong-arm", 0)
    assert found.says == ("That is the upper arm.",)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("V1*R1/(V1 + R2)", "V1 is a voltage and R2 a resistance: they can be neither added nor compared"),
        ("R1*R2/(R1+R2)", "By its units this is a resistance; a voltage is wanted."),
        ("V1*R2/(R1 + R2*R2)", "they can be neither added nor compared"),
    ],
)
def test_units_that_cannot_be_are_named(question: Question, typed: str, says: str) -> None:
    found = marked(question, typed)["v"]
    assert (found.verdict, found.slip) == (Verdict.SLIP, "units")
    assert says in str(found.says[0])


@pytest.mark.parametrize(
    ("typed", "slip"),
    [("-V1*R2/(R1+R2)", "sign"), ("2*V1*R2/(R1+R2)", "twice"), ("V1*R2/(R1+R2)/1000", "thousand-small")],
)
def test_a_constant_factor_is_named(question: Question, typed: str, slip: str) -> None:
    assert marked(question, typed)["v"].slip == slip


def test_a_formula_that_is_right_for_these_values_only_is_wrong(question: Question) -> None:
    share = question.values["R2"] / (question.values["R1"] + question.values["R2"])
    assert marked(question, f"V1*{share!r}")["v"].verdict is Verdict.WRONG


def test_a_formula_a_millionth_off_is_another(question: Question) -> None:
    assert marked(question, "1.000001*V1*R2/(R1+R2)")["v"].verdict is Verdict.WRONG


def test_a_wrong_formula_is_told_what_it_leaves_out_and_gives(question: Question) -> None:
    found = marked(question, "V1/3")["v"]
    assert found.verdict is Verdict.WRONG
    assert "R2 and R1 do not come into it" in str(found.says[0])
    assert "With the values given it makes" in str(found.says[0])


def test_what_cannot_be_read_costs_nothing(question: Question) -> None:
    found = marked(question, "V1*R3")["v"]
    assert found.verdict is Verdict.UNREADABLE
    assert "there is no R3 here" in str(found.says[0]).lower() or "There is no R3 here" in str(found.says[0])


def test_a_later_value_follows_from_the_members_own_formula(question: Question) -> None:
    own = question.values["V1"] * question.values["R1"] / (question.values["R1"] + question.values["R2"]) / 2
    found = marked(question, "V1*R1/(R1+R2)", f"{own:.4g} V")["half"]
    assert found.verdict is Verdict.FOLLOW_THROUGH
    right = question.values["V1"] * question.values["R2"] / (question.values["R1"] + question.values["R2"]) / 2
    assert marked(question, "V1*R2/(R1+R2)", f"{right:.4g} V")["half"].verdict is Verdict.RIGHT


def test_a_stored_question_is_marked_as_the_drawn_one(question: Question) -> None:
    stored = Question.from_data(json.loads(json.dumps(question.to_data())))
    assert stored == question
    assert marked(stored, "V1/(1 + R2/R1)")["v"] == marked(question, "V1/(1 + R2/R1)")["v"]


@pytest.mark.parametrize("typed", ["9**9**9", "__import__('os')", "V1" * 400, "(" * 300, "R1**64**64"])
def test_hostile_formulas_are_unreadable(question: Question, typed: str) -> None:
    assert marked(question, typed)["v"].verdict in (Verdict.UNREADABLE, Verdict.WRONG, Verdict.SLIP)
