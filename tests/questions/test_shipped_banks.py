"""The banks that are shipped: every template is read, compiled, drawn, rendered, marked and proved."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

import pytest

from tests.questions.test_follow_through import rounded
from tutor.bootstrap.places import banks_folder
from tutor.questions.bank import Library, read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.checking import check_template
from tutor.questions.draw import draw
from tutor.questions.fragments import html_block, html_line, schematic_of, text_of
from tutor.questions.generic_slips import thousands_off
from tutor.questions.marking import mark
from tutor.questions.question import DrawnAsk, Question
from tutor.questions.text import Filled

LIBRARY = read_library([banks_folder()])
CACHE = CompiledCache()
SERIALS = 50
pytestmark = pytest.mark.skipif(not LIBRARY.templates, reason="no bank is shipped yet")


@pytest.fixture(scope="module")
def library() -> Library:
    return LIBRARY


def texts(question: Question) -> Iterator[Filled]:
    """Yield every text of a question."""
    yield question.text
    yield from question.hints
    yield from question.solution
    for ask in question.asks:
        yield ask.text
        yield from (slip.says for slip in ask.slips)
        for option in ask.options:
            yield from (option.text, option.says)


def test_every_file_is_read(library: Library) -> None:
    assert [str(fault) for fault in library.faults] == []


def test_every_topic_needs_topics_that_are_there(library: Library) -> None:
    missing = [
        f"{topic.name} needs {need}"
        for topic in library.topics.values()
        for need in topic.needs
        if need not in library.topics
    ]
    assert missing == []


@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_a_template_is_drawn_and_shown(name: str, library: Library) -> None:
    made = CACHE.compiled(library.templates[name])
    for serial in range(SERIALS):
        question = draw(made, serial)
        assert question.serial == serial
        for filled in texts(question):
            assert not re.search(r"`|\bnan\b|\binf|infinite|not a number", text_of(filled))
    html = "".join(html_block(filled) + html_line(filled) for filled in texts(question))
    ElementTree.fromstring(f"<div>{html}</div>")
    if question.parts:
        drawing = schematic_of(question, "u")
        ElementTree.fromstring(drawing.svg)
        assert drawing.words


@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_a_template_is_stored_and_marked(name: str, library: Library) -> None:
    made = CACHE.compiled(library.templates[name])
    for serial in range(10):
        question = draw(made, serial)
        stored = Question.from_data(question.to_data())
        assert stored == question
        answers = rounded(question, 3)
        result = mark(question, answers)
        # Right answers, rounded to three figures at every step and carried on, earn every mark.
        assert result.is_full, (answers, {n: (m.verdict.value, m.read) for n, m in result.asks.items()})
        assert mark(stored, answers) == result


@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_each_slip_of_a_template_is_named_when_it_is_made(name: str, library: Library) -> None:
    made = CACHE.compiled(library.templates[name])
    for serial in range(5):
        question = draw(made, serial)
        for ask in question.asks:
            for slip in ask.slips:
                if ask.kind == "formula":
                    answer = slip.formula if slip.tells else ""
                # A slip that is a thousand off could be a slip of the prefix as well.
                elif slip.tells and slip.value is not None and not thousands_off(ask.key, slip.value, ask.band):
                    answer = written(slip.value, ask)
                else:
                    continue
                if answer:
                    found = mark(question, {ask.name: answer}).asks[ask.name]
                    assert (found.verdict.value, found.slip, found.marks) == ("slip", slip.name, 0)


def written(value: float, ask: DrawnAsk) -> str:
    """Return a value as somebody types it who looks at the unit beside the field."""
    return f"{value * 100:.9e} %" if ask.printed == "%" else f"{value:.9e} {ask.unit}"


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_a_template_is_proved(name: str, library: Library) -> None:
    # So many that a slip told on well over half of all draws is not lost to a chance of the sample.
    report = check_template(library.templates[name], 200)
    assert [f"{found.key}: {found.message}" for found in report.findings] == []
