from __future__ import annotations

from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.templates import BENCH, PINNED, STEPS, asking, question_of, with_values
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.fragments import (
    drawing_parts,
    html_block,
    html_line,
    schematic_of,
    span_html,
    text_of,
    value_html,
)
from tutor.questions.text import Filled, FilledSpan

QUESTION = question_of(with_values(STEPS, PINNED))
ALLOWED = {
    "p", "em", "strong", "ul", "ol", "li", "br", "hr", "blockquote", "s", "span",
    "math", "mrow", "mi", "mn", "mo", "mtext", "mspace", "mfrac", "msup", "msub", "msqrt",
}  # fmt: skip
ATTRIBUTES = {"class", "displaystyle", "alttext", "mathvariant", "width", "fence", "start"}


class _Tags(HTMLParser):
    """Collects the elements of a fragment and checks that they are closed in order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.attributes: set[str] = set()
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self.attributes.update(name for name, _ in attrs)
        if tag not in ("br", "hr", "mspace"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("br", "hr", "mspace"):
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data


def tags_of(html: str) -> _Tags:
    """Return what a fragment holds; asserts that nothing but the admitted elements and attributes does."""
    parser = _Tags()
    parser.feed(html)
    parser.close()
    assert parser.open == []
    assert parser.seen <= ALLOWED, html
    assert parser.attributes <= ATTRIBUTES, html
    return parser


# -- plain words -----------------------------------------------------------------------------------------------------
def test_a_text_is_read_as_plain_words() -> None:
    filled: Filled = (
        "The tap ",
        FilledSpan(("v_tap", "V1/2"), "5 V", numbers={"V1": "10 V"}),
        ", or ",
        FilledSpan(("R1",), "1 kΩ", alone=True),
        ".",
    )
    assert text_of(filled) == "The tap v_tap = V1/2 = 10 V / 2 = 5 V, or 1 kΩ."


# -- HTML ------------------------------------------------------------------------------------------------------------
def test_paragraphs_and_lines() -> None:
    assert html_block(("One.\n\nTwo *really*.",)) == "<p>One.</p>\n<p>Two <em>really</em>.</p>\n"
    assert html_line(("One **two**.",)) == "One <strong>two</strong>."


def test_a_value_with_its_name_is_one_formula() -> None:
    assert span_html(FilledSpan(("R1",), "47 kΩ")) == (
        '<math displaystyle="true" alttext="R1 = 47 kΩ"><mrow><msub><mi>R</mi><mn>1</mn></msub><mo>=</mo><mrow><mn>47</mn>'
        '<mspace width="0.17em"/><mtext>kΩ</mtext></mrow></mrow></math>'
    )


def test_a_step_breaks_at_its_signs_of_equality() -> None:
    html = span_html(FilledSpan(("i", "V1/R1"), "5 mA", numbers={"V1": "10 V", "R1": "2 kΩ"}))
    assert html.startswith('<span class="chain"><math')
    assert html.count("<math") == 4
    assert [piece.split('"')[0] for piece in html.split('alttext="')[1:]] == ["i", "= V1/R1", "= 10 V / 2 kΩ", "= 5 mA"]


@pytest.mark.parametrize(
    ("shown", "html"),
    [
        ("ECC83", '<span class="word">ECC83</span>'), ("rises", '<span class="word">rises</span>'),
        ("<b>", '<span class="word">&lt;b&gt;</span>'),
    ],
)  # fmt: skip
def test_a_word_stays_a_word(shown: str, html: str) -> None:
    assert value_html(shown) == html


@pytest.mark.parametrize("shown", ["68.2 V", "−3.4 V", "-3 dB", "30°", "46 %", "6V6", "1.2 × 10⁶ V", "0"])
def test_a_value_is_mathematics(shown: str) -> None:
    html = value_html(shown)
    ElementTree.fromstring(html)
    assert f'alttext="{shown}"' in html


@pytest.mark.parametrize("question", [QUESTION, question_of(STEPS, 77)], ids=["pinned", "drawn"])
def test_every_text_of_a_question_is_well_formed(question: object) -> None:
    filled = [QUESTION.text, *QUESTION.hints, *QUESTION.solution, *(ask.text for ask in QUESTION.asks)]
    filled += [slip.says for ask in QUESTION.asks for slip in ask.slips]
    for one in filled:
        ElementTree.fromstring(f"<div>{html_block(one)}</div>")
        ElementTree.fromstring(f"<div>{html_line(one)}</div>")
        tags_of(html_block(one))


HOSTILE = [
    "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "<svg/onload=alert(1)>", "[a](javascript:alert(1))",
    "[a](http://example.org \"t\")", "<http://example.org>", "![a](b)", "&lt;b&gt;", "&#60;b&#62;", "&#xE000;", "&#57344;",
    "\ue000\ue001", "`code`", "```\ncode\n```", "    code", "# heading", "heading\n=======", "| a | b |\n|---|---|\n| c | d |",
    "<!-- comment -->", "<math><mtext>x</mtext></math>", "</p></div>", "[a]: http://example.org\n\n[a]", "http://example.org",
    "\\<b\\>", "<b", "&", "<![CDATA[x]]>",
]  # fmt: skip


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_words_come_out_as_words(hostile: str) -> None:
    span = FilledSpan(("R1",), "1 kΩ")
    for filled in ((hostile,), (hostile, span), (span, hostile), (span, hostile, span, hostile)):
        for html in (html_block(filled), html_line(filled)):
            found = tags_of(html)
            assert html.count("<math") == sum(not isinstance(piece, str) for piece in filled)
            assert "\ue000" not in found.words


@pytest.mark.parametrize("hostile", ["<script>alert(1)</script>", '" onload="x', "a&b", "<b> V", "5 <b>V</b>"])
def test_hostile_values_come_out_as_words(hostile: str) -> None:
    for span in (
        FilledSpan(("R1",), hostile),
        FilledSpan(("R1",), hostile, alone=True),
        FilledSpan(("R1", "2*R2"), "1", numbers={"R2": hostile}),
    ):
        html = html_line((span,))
        found = tags_of(html)
        ElementTree.fromstring(f"<div>{html}</div>")
        assert "<script" not in html
        assert found.words


@given(st.lists(st.one_of(st.text(max_size=30), st.sampled_from(HOSTILE)), max_size=4))
def test_any_words_give_admitted_elements_only(pieces: list[str]) -> None:
    filled: list[object] = []
    for piece in pieces:
        filled += [piece, FilledSpan(("R1",), "1 kΩ")]
    html = html_block(tuple(filled))  # type: ignore[arg-type]
    tags_of(html)
    assert html.count("<math") == len(pieces)


def test_many_spans_find_their_places() -> None:
    filled: list[object] = []
    for number in range(500):
        filled += [" and ", FilledSpan((f"R{number}",), f"{number} Ω")]
    html = html_line(tuple(filled))  # type: ignore[arg-type]
    places = [html.index(f'alttext="R{number} = {number} Ω"') for number in range(500)]
    assert places == sorted(places)


# -- drawings --------------------------------------------------------------------------------------------------------
def test_the_drawing_holds_every_part_and_speaks() -> None:
    drawing = schematic_of(QUESTION, "u1")
    svg = ElementTree.fromstring(drawing.svg)
    assert svg.tag.endswith("svg")
    for reference in ("V1", "R1", "R2", "RL"):
        assert f'id="u1-{reference}"' in drawing.svg
        assert reference in drawing.words
    assert drawing.faults == ()


def test_the_parts_of_a_drawing_are_those_of_the_question() -> None:
    parts = drawing_parts(QUESTION)
    assert [(part.reference, part.kind) for part in parts] == [
        ("V1", "voltage source"), ("R1", "resistor"), ("R2", "resistor"), ("RL", "resistor"),
    ]  # fmt: skip
    assert parts[1].value == "22\N{NO-BREAK SPACE}kΩ"


@pytest.mark.parametrize("title", ["<script>alert(1)</script>", '" onload="alert(1)', "a & b < c"])
def test_a_hostile_title_comes_out_as_words(title: str) -> None:
    text = with_values(STEPS, PINNED).replace("title: A sample", f"title: '{title}'")
    drawing = schematic_of(question_of(text), "u1")
    svg = ElementTree.fromstring(drawing.svg)
    assert "<script" not in drawing.svg
    assert not any(name.startswith("on") for element in svg.iter() for name in element.attrib)


def test_a_hostile_label_of_a_row_comes_out_as_words() -> None:
    circuit = (
        "circuit:\n  X1: {kind: triode, nodes: {anode: a, grid: '0', cathode: '0'}, type: valve, mu: mu, ra: ra}\n"
    )
    circuit += "  R1: {kind: resistor, nodes: [a, '0'], value: 1 kΩ}\n"
    values = "valve: {rows: [{label: '<b onclick=x>', mu: 17, ra: 7.7 kΩ}]}"
    question = question_of(asking("{formula: mu}", values, before=circuit, text="'The `=valve`.'"))
    drawing = schematic_of(question, "u1")
    ElementTree.fromstring(drawing.svg)
    assert "<b" not in drawing.svg
    assert "<b" not in html_block(question.text)


@pytest.mark.parametrize("name", sorted(read_library([BENCH]).templates))
def test_the_tests_own_bank_renders(name: str) -> None:
    made = CompiledCache().compiled(read_library([BENCH]).templates[name])
    for serial in range(5):
        question = draw(made, serial)
        for one in (question.text, *question.hints, *question.solution):
            ElementTree.fromstring(f"<div>{html_block(one)}</div>")
        if question.parts:
            assert schematic_of(question, "u").faults == ()
