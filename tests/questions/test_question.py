from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.templates import BENCH, PINNED, STEPS, question_of, with_values
from tutor.quantities import AMPERE
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.errors import AskError
from tutor.questions.question import Question

QUESTION = question_of(with_values(STEPS, PINNED))
BENCH_TEMPLATES = {
    name: CompiledCache().compiled(template) for name, template in read_library([BENCH]).templates.items()
}


@given(st.sampled_from(sorted(BENCH_TEMPLATES)), st.integers(0, 10**9))
def test_a_question_is_stored_and_read_again(name: str, serial: int) -> None:
    question = draw(BENCH_TEMPLATES[name], serial)
    assert Question.from_data(question.to_data()) == question
    assert Question.from_data(json.loads(json.dumps(question.to_data()))) == question
    assert Question.from_data(question.to_data()).to_data() == question.to_data()


def test_the_stored_form_is_plain_data_with_its_version() -> None:
    data = QUESTION.to_data()
    assert data["format"] == 1
    assert json.loads(json.dumps(data)) == data
    assert (data["template"], data["serial"], data["release"]) == ("sample", 1, QUESTION.release)
    assert set(data["asks"][0]) == {
        "name", "kind", "text", "topic", "value", "unit", "printed", "tolerance", "shown", "formula", "slips", "options",
        "possible", "limit", "series", "rounding", "marks",
    }  # fmt: skip


def test_a_form_of_another_version_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^a question stored in form 2; this release reads form 1$"):
        Question.from_data(QUESTION.to_data() | {"format": 2})


def test_an_ask_is_found_by_name() -> None:
    assert QUESTION.ask("i_load").key_unit == AMPERE
    with pytest.raises(AskError, match="nothing is asked under 'v'; asked are v_tap, i_load, p_load"):
        QUESTION.ask("v")


def test_a_question_knows_what_its_asks_rest_on() -> None:
    assert [QUESTION.uses(ask) for ask in QUESTION.asks] == [(), ("v_tap",), ("v_tap", "i_load")]
    assert [[other.name for other in QUESTION.asks_before(ask)] for ask in QUESTION.asks] == [
        [], ["v_tap"], ["v_tap", "i_load"],
    ]  # fmt: skip


def test_marks_of_a_question_are_those_of_its_asks() -> None:
    assert QUESTION.marks == 6
