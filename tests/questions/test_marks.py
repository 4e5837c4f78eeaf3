from __future__ import annotations

import json

import pytest

from tests.questions.templates import PINNED, STEPS, question_of, with_values
from tutor.questions.marking import mark
from tutor.questions.marks import Mark, Verdict

QUESTION = question_of(with_values(STEPS, PINNED))


@pytest.mark.parametrize(
    ("answers", "marks", "full", "blank", "unreadable"),
    [
        ({}, 0, False, True, ()),
        ({"v_tap": "148 V", "i_load": "1.48 mA", "p_load": "219 mW"}, 6, True, False, ()),
        ({"v_tap": "148 mV"}, 1, False, False, ()),
        ({"v_tap": "lots", "i_load": "?", "p_load": "219 mW"}, 2, False, False, ("v_tap", "i_load")),
    ],
)
def test_marks_are_summed_up(
    answers: dict[str, str], marks: int, full: bool, blank: bool, unreadable: tuple[str, ...]
) -> None:
    found = mark(QUESTION, answers)
    assert (found.marks, found.of, found.is_full, found.is_blank, found.unreadable) == (
        marks,
        6,
        full,
        blank,
        unreadable,
    )
    assert tuple(found.only_unreadable()) == unreadable


def test_the_share_of_a_mark_goes_from_nothing_to_one() -> None:
    found = mark(QUESTION, {"v_tap": "148 mV", "i_load": "1.48 mA"})
    assert [one.share for one in found.asks.values()] == [0.5, 1.0, 0.0]


@pytest.mark.parametrize(
    "answers",
    [
        {},
        {"v_tap": "170.3", "i_load": "lots"},
        {"v_tap": "100 V", "i_load": "1 mA", "p_load": "3 Ω"},
        {"v_tap": "148 A"},
    ],
)
def test_a_mark_is_stored_and_read_again(answers: dict[str, str]) -> None:
    found = mark(QUESTION, answers)
    assert Mark.from_data(found.to_data()) == found
    assert Mark.from_data(json.loads(json.dumps(found.to_data()))) == found


def test_the_verdicts_are_those_that_other_programs_know() -> None:
    assert [verdict.value for verdict in Verdict] == [
        "right", "right-unit-wrong", "follow-through", "slip", "wrong", "unreadable", "blank",
    ]  # fmt: skip


def test_each_ask_credits_its_own_topic() -> None:
    text = with_values(STEPS, PINNED).replace("    formula: v_tap/RL\n", "    formula: v_tap/RL\n    topic: currents\n")
    found = mark(question_of(text), {})
    assert [one.topic for one in found.asks.values()] == ["samples", "currents", "samples"]
