"""Every shipped fault question has one answer: a separate search solves each single fault again, over 200 serials."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tutor.bootstrap.places import banks_folder
from tutor.questions.bank import Library, read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.checking.fault_search import search
from tutor.questions.checking.findings import Evidence
from tutor.questions.draw import draw
from tutor.questions.fault_finding import fault_asks
from tutor.questions.fragments import text_of
from tutor.questions.lottery import draw_batch
from tutor.questions.marking import mark
from tutor.questions.marks import Verdict

SERIALS = 200
FEWEST = 14


@cache
def library() -> Library:
    return read_library([banks_folder()])


FAULTS = sorted(name for name, template in library().templates.items() if fault_asks(template))


def test_there_are_as_many_fault_questions_as_promised_at_every_level() -> None:
    assert len(FAULTS) >= FEWEST
    assert {library().templates[name].level for name in FAULTS} == {1, 2, 3, 4}


@pytest.mark.slow
@pytest.mark.parametrize("name", FAULTS)
def test_exactly_one_listed_fault_explains_the_readings(name: str) -> None:
    compiled = CompiledCache().compiled(library().templates[name])
    serials = np.arange(1000, 1000 + SERIALS)
    batch = draw_batch(compiled, serials)
    evidence = Evidence(compiled, serials, batch, batch.tries > 0)
    assert evidence.draws == SERIALS
    for ask in fault_asks(compiled.template):
        found = search(evidence, ask, SERIALS)
        assert found.agrees.all(), serials[~found.agrees][:5]
        assert len(np.unique(found.truth)) >= 3


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_question_reads_and_marks(name: str) -> None:
    question = draw(CompiledCache().compiled(library().templates[name]), 7)
    ask = next(ask for ask in question.asks if ask.kind == "fault")
    assert any(row["off"] for row in ask.detail["readings"])
    assert text_of(question.solution[-1]).startswith("What is left is")
    for suspect in ask.detail["suspects"]:
        found = mark(question, {ask.name: f"{suspect['part']} {suspect['fault']}"}).asks[ask.name]
        if suspect["name"] == ask.value:
            assert (found.verdict, found.marks) == (Verdict.RIGHT, 2)
        else:
            assert found.marks < 2
            assert text_of(found.says)
