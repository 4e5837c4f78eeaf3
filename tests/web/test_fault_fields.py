"""A fault is answered with two lists, by keyboard and without script; formulas say what they are written in."""

from __future__ import annotations

from flask import Flask
from werkzeug.datastructures import MultiDict

from tests.questions.templates import question_of
from tests.questions.test_fault_asks import CHAIN
from tests.questions.test_formula_marking import TEXT
from tutor.web.forms import typed_answers
from tutor.web.views import question_view


def field(site: Flask, text: str, typed: str) -> str:
    view = question_view(question_of(text, 3), "c1")
    with site.test_request_context():
        return str(site.jinja_env.get_template("parts.html").module.ask(view.asks[0], "answer-x", typed))  # type: ignore[attr-defined]  # a macro


def test_a_fault_has_a_table_and_two_lists_of_one_name(site: Flask) -> None:
    html = field(site, CHAIN, "R2 drifted high")
    assert html.count('name="answer-x"') == 2
    assert html.count("<select") == 2
    assert "<option selected>R2</option>" in html
    assert "<option selected>drifted high</option>" in html
    assert '<th scope="row">line b</th>' in html
    assert "Read with an electronic meter of 10 MΩ" in html


def test_part_and_fault_are_put_together() -> None:
    form = MultiDict([("answer-fault", "R2"), ("answer-fault", "drifted high"), ("answer-x", " 3 V")])
    assert typed_answers(form, ["fault", "x", "y"]) == {"fault": "R2 drifted high", "x": "3 V", "y": ""}


def test_a_formula_says_what_it_is_written_in(site: Flask) -> None:
    html = field(site, TEXT, "V1*R2")
    assert "Write it in V1, R1 and R2" in html
    assert 'value="V1*R2"' in html
