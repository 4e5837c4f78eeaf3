"""Faults: drawn so that one suspect is left, shown with a table, marked by part and fault, proved by a second search."""

from __future__ import annotations

import json

import numpy as np
import pytest

from tests.questions.templates import compiled, faults_of, findings_of, question_of, report_of
from tutor.quantities import read_quantity
from tutor.questions.checking.fault_search import Search, search
from tutor.questions.checking.findings import Evidence
from tutor.questions.fault_words import fault_in
from tutor.questions.fragments import text_of
from tutor.questions.lottery import draw_batch, draw_values
from tutor.questions.marking import mark
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import Question

CHAIN = """\
template: chain
title: A chain with something wrong in it
topic: faults
level: 2
circuit:
  V1: {kind: voltage source, nodes: [h, 0]}
  R1: {kind: resistor, nodes: [h, b]}
  S1: {kind: resistor, nodes: [b, 0], value: 100 kΩ}
  R2: {kind: resistor, nodes: [b, c]}
  S2: {kind: resistor, nodes: [c, 0], value: 220 kΩ}
  C2: {kind: capacitor, nodes: [c, 0], value: 8 µF}
values:
  V1: {from: 250 V, to: 300 V, step: 10 V}
  R1: {series: E12, from: 10 kΩ, to: 22 kΩ}
  R2: {series: E12, from: 22 kΩ, to: 47 kΩ}
text: "`V1=`, `R1=` and `R2=`."
ask:
  fault:
    kind: fault
    text: Which part, and how?
    meter: electronic
    readings: {h: line h, b: line b, c: line c}
    suspects:
      r1-open: {part: R1, fault: open}
      r1-high: {part: R1, fault: drifted, by: "3"}
      r2-open: {part: R2, fault: open}
      r2-high: {part: R2, fault: drifted, by: "3"}
      c2-leak: {part: C2, fault: leaky, by: 10 kΩ}
    sound: [healthy_c > 100 V]
    slips:
      r1-high: {says: A high first dropper lowers both lines.}
hints: [Compare.]
caution: high-voltage
"""


def of_part(kind: str, start: int = 0) -> Question:
    """Return the first question whose key is a given suspect."""
    return next(q for serial in range(start, start + 60) if (q := question_of(CHAIN, serial)).asks[0].value == kind)


def marked(question: Question, typed: str) -> AskMark:
    return mark(question, {"fault": typed}).asks["fault"]


def test_the_table_shows_healthy_and_found_and_who_is_suspected() -> None:
    question = of_part("r2-open")
    detail = question.asks[0].detail
    assert [row["words"] for row in detail["readings"]] == ["line h", "line b", "line c"]
    assert detail["readings"][2]["found"] == "0 V" or detail["readings"][2]["found"].endswith("mV")
    assert [row["off"] for row in detail["readings"]] == [False, True, True]
    assert [f"{s['part']} {s['fault']}" for s in detail["suspects"]][3:] == ["R2 drifted high", "C2 leaky"]
    assert question.asks[0].shown == "R2 open"


def test_healthy_readings_are_those_of_the_loaded_divider() -> None:
    question = of_part("r2-open")
    v = question.values
    foot = 1 / (1 / 220e3 + 1 / 10e6)  # the meter stands at line c
    b = v["V1"] / (1 + v["R1"] * (1 / 100e3 + 1 / (v["R2"] + foot)))
    shown = read_quantity(question.asks[0].detail["readings"][2]["healthy"]).quantity.magnitude
    assert shown == pytest.approx(b * foot / (v["R2"] + foot), rel=0.005)


def test_both_right_is_two_marks_and_the_part_alone_is_one() -> None:
    question = of_part("r1-high")
    assert (marked(question, "R1 drifted high").verdict, marked(question, "R1 drifted high").marks) == (
        Verdict.RIGHT,
        2,
    )
    part = marked(question, "r1 open")
    assert (part.verdict, part.slip, part.marks, part.of) == (Verdict.SLIP, "part-right", 1, 2)
    assert text_of(part.says).startswith("The part is the right one")


def test_a_wrong_suspect_is_told_what_it_would_read() -> None:
    found = marked(of_part("c2-leak"), "R1 drifted high")
    assert (found.verdict, found.slip, found.marks) == (Verdict.SLIP, "r1-high", 0)
    assert "A high first dropper lowers both lines. With R1 drifted high the line" in text_of(found.says)
    other = marked(of_part("c2-leak"), "R2 open")
    assert (other.verdict, other.slip) == (Verdict.WRONG, "")
    assert "would read" in text_of(other.says)


def test_the_right_kind_of_a_wrong_part_earns_nothing() -> None:
    assert marked(of_part("r1-open"), "R2 open").marks == 0


def test_what_is_no_suspect_is_wrong_and_what_is_no_fault_comes_back() -> None:
    question = of_part("r1-open")
    assert marked(question, "C2 open").verdict is Verdict.WRONG
    for typed in ("R1", "open", "R9 open", "perhaps", "<b>R1</b>"):
        found = marked(question, typed)
        assert found.verdict is Verdict.UNREADABLE
        assert "R1 open" in text_of(found.says)


@pytest.mark.parametrize(
    ("typed", "part", "kind"),
    [
        ("R1 is open.", "R1", "open"),
        ("r1 o/c", "R1", "open"),
        ("open r1", "R1", "open"),
        ("R1 has gone high", "R1", "drifted high"),
        ("C2: leaking", "C2", "leaky"),
        ("C2 leak", "C2", "leaky"),
        ("R12 open", "", "open"),
        ("R1 odd", "R1", ""),
    ],
)
def test_part_and_fault_are_read_in_usual_words(typed: str, part: str, kind: str) -> None:
    found = fault_in(typed, ["R1", "C2"], ["open", "drifted high", "leaky"])
    assert found == (part, kind) or (part == "" and found[0] == "")


def test_the_solution_goes_through_every_suspect_and_ends_at_the_key() -> None:
    question = of_part("r2-high")
    steps = [text_of(step) for step in question.solution]
    assert steps[0].startswith("Against the healthy readings")
    assert len(steps) == 1 + 4 + 1
    assert steps[-1].startswith("What is left is R2 drifted high")


def test_draws_alone_and_among_many_are_the_same() -> None:
    template = compiled(CHAIN)
    batch = draw_batch(template, np.arange(20))
    for serial in range(20):
        drawn = draw_values(template, serial)
        assert drawn.values["fault"] == batch.values["fault"][serial]
        assert drawn.values["R1"] == batch.values["R1"][serial]
        assert drawn.tries == batch.tries[serial]


def test_a_stored_question_is_marked_as_the_drawn_one() -> None:
    question = of_part("r1-high")
    stored = Question.from_data(json.loads(json.dumps(question.to_data())))
    assert stored == question
    assert marked(stored, "R1 open") == marked(question, "R1 open")


def test_two_suspects_that_read_alike_are_never_asked() -> None:
    # A leak of 220 kΩ is what line c carries anyhow: with S2 at half its value it reads the same.
    twins = CHAIN.replace(
        "c2-leak: {part: C2, fault: leaky, by: 10 kΩ}",
        'c2-leak: {part: C2, fault: leaky, by: 220 kΩ}\n      s2-low: {part: S2, fault: drifted, by: "0.5"}',
    )
    names = {question_of(twins, serial).asks[0].value for serial in range(60)}
    assert names <= {"r1-open", "r1-high", "r2-open", "r2-high"}
    assert report_of(twins).refused > 0.2


def test_the_shipped_proof_passes_and_a_false_key_is_found() -> None:
    assert findings_of(CHAIN) == []
    template = compiled(CHAIN)
    batch = draw_batch(template, np.arange(40))
    evidence = Evidence(template, np.arange(40), batch, batch.tries > 0)
    found = search(evidence, evidence.template.asks[0], 40)
    assert found.agrees.all()
    assert found.explains.shape == (6, 40)
    # The same readings with another key: the search does not follow it.
    false = dict(batch.values) | {"fault": batch.values["fault"] % 5 + 1}
    assert not Search(found.explains, false["fault"].astype(int)).agrees.any()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("meter: electronic", "meter: digital", "known are electronic, 20 kΩ/V, audio voltmeter"),
        ("fault: leaky, by: 10 kΩ", "fault: leaky", "leaky wants a resistance, such as `by: 10 MΩ`"),
        ("fault: leaky, by: 10 kΩ", "fault: leaky, by: 10 V", "leaky wants a resistance"),
        ("part: C2, fault: leaky", "part: R2, fault: leaky", "a resistor cannot be that"),
        ("part: C2, fault: leaky", "part: C9, fault: leaky", "C9"),
        ("r1-open: {part: R1, fault: open}", "r1-open: {part: R1, fault: open, by: '2'}", "open has no size"),
        ("c: line c}", "d: line d}", "the circuit has no node 'd'"),
        ("healthy_c > 100 V", "healthy_x > 100 V", "healthy_x"),
        ("r1-high: {says", "r9-high: {says", "the slips of a fault are named as its suspects"),
        ('by: "3"}\n      r2-open', 'by: "1"}\n      r2-open', "a drift by a factor of 1 is none"),
        ("r1-open: {part: R1, fault: open}", 'r1-x: {part: R1, fault: drifted, by: "2"}', "is a suspect twice"),
    ],
)
def test_what_is_wrong_with_a_fault_is_told(old: str, new: str, says: str) -> None:
    assert old in CHAIN
    assert any(says in fault for fault in faults_of(CHAIN.replace(old, new, 1)))
