"""A question's plot on its page: the paper, its words and its figures, and a field with the unit of the axis."""

from __future__ import annotations

from xml.etree import ElementTree

from flask import Flask

from tutor.bootstrap.places import banks_folder
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.web.views import question_view


def test_the_page_shows_the_paper_its_words_and_its_figures(site: Flask) -> None:
    compiled = CompiledCache().compiled(read_library([banks_folder()]).template("loadline-fixed"))
    view = question_view(draw(compiled, 7), "c1")
    with site.test_request_context():
        parts = site.jinja_env.get_template("parts.html").module
        figure = str(parts.drawing(view, "1"))  # type: ignore[attr-defined]  # a macro of the template
        field = str(parts.ask(view.asks[0], "answer-v_a", ""))  # type: ignore[attr-defined]  # as above
    root = ElementTree.fromstring(figure)
    svg = root.find(".//{http://www.w3.org/2000/svg}svg")
    assert svg is not None
    assert svg.get("id") == "c1-plot"
    assert "one small division is 10" in "".join(root.itertext())
    assert [cell.text for cell in root.findall(".//thead/tr/th")][:2] == ["Anode voltage (V)", "Vg = 0 V"]
    assert len(root.findall(".//tbody/tr")) >= 15
    assert 'class="unit"' in field
    assert "V</span>" in field


def test_a_question_without_circuit_and_plot_has_no_figure(site: Flask) -> None:
    compiled = CompiledCache().compiled(read_library([banks_folder()]).template("decibel-ratio"))
    question = draw(compiled, 7)
    view = question_view(question, "c1")
    with site.test_request_context():
        figure = str(site.jinja_env.get_template("parts.html").module.drawing(view, "1"))  # type: ignore[attr-defined]  # as above
    assert ("<figure" in figure) == bool(question.parts)
