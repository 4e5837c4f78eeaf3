from __future__ import annotations

import pytest

from tests.questions.templates import HEAD, faults_of

GOOD = HEAD + "values: {R1: 1 kΩ}\ntext: A text.\nask:\n  x: {text: What is it?, formula: R1}\n"


def found(text: str) -> list[str]:
    return [fault.split(": ", 1)[1] for fault in faults_of(text)]


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("text: A text.", "text: [A, text]", "text: found ['A', 'text']; one text is wanted here"),
        ("text: A text.", "text: {a: text}", "text: found {'a': 'text'}; one text is wanted here"),
        ("text: A text.", "text:", "text: found nothing; one text is wanted here"),
        ("values: {R1: 1 kΩ}", "values: [R1]", "values: found ['R1']; a mapping is wanted here"),
        ("values: {R1: 1 kΩ}", "values: R1", "values: found 'R1'; a mapping is wanted here"),
        ("values: {R1: 1 kΩ}", "values: {1R: 1 kΩ}", 'values.1R: found "1R"; a name here is a letter, then letters, figures or _'),
        ("values: {R1: 1 kΩ}", "values: {R1: {from: 1 Ω, to: 2 Ω}}", "values.R1.step: it is missing; give it"),
        ("values: {R1: 1 kΩ}", "values: {R1: {}}", "values.R1.from: it is missing; give it"),
        ("values: {R1: 1 kΩ}", "values: {R1: {pik: [1 Ω]}}",
         "values.R1.pik: unknown key; did you mean pick?; known are pick, series, from, to, step, rows, formula, unit"),
        ("values: {R1: 1 kΩ}", "values: {R1: {rows: [{mu: [1]}]}}", "values.R1.rows[1].mu: found ['1']; one text is wanted here"),
        ("formula: R1", "formula: [R1]", "ask.x.formula: found ['R1']; one text is wanted here"),
        ("ask:\n  x: {text: What is it?, formula: R1}", "ask: {}", "ask: it is empty; give at least one"),
        ("formula: R1", "options: {a: {texd: A}, b: {text: B}}", "ask.x.options.a.texd: unknown key; did you mean text?; known are text, right, says"),
        ("formula: R1", "formula: R1, slips: {a: no}", "ask.x.slips.a: found 'no'; a mapping is wanted here"),
        ("title: A sample", f"title: {'A' * 201}", "title: it is too long; 200 are the most that is read here"),
        ("text: A text.", f"text: {'A' * 4001}", "text: it is too long; 4000 are the most that is read here"),
        ("topic: samples", "topic: Samples!", 'topic: found "Samples!"; a name here is small letters, figures and hyphens'),
        ("text: A text.", "text: A text.\nhints: one", "hints: found 'one'; a list is wanted here"),
        ("text: A text.", "text: A text.\nexamples: [{value: {}, values: {}, answers: {x: 1}, source: s}]",
         "examples[1].value: unknown key; did you mean values?; known are values, answers, source"),
    ],
)  # fmt: skip
def test_a_wrong_shape_is_told_in_plain_words(old: str, new: str, fault: str) -> None:
    assert old in GOOD
    assert fault in found(GOOD.replace(old, new))


def test_a_long_finding_is_shortened() -> None:
    (fault, *_) = found(GOOD.replace("text: A text.", f"text: [{'a' * 500}]"))
    assert len(fault) < 120
    assert "…" in fault


def test_a_key_is_told_once() -> None:
    assert found(GOOD.replace("title:", "titel:")) == [
        "titel: unknown key; did you mean title?; known are template, title, topic, level, circuit, supply, analysis, "
        "frequency, values, plot, require, text, ask, hints, solution, caution, source, examples"
    ]


def test_more_asks_than_a_page_bears_are_refused() -> None:
    many = "".join(f"  x{n}: {{text: What is it?, formula: R1}}\n" for n in range(13))
    assert found(GOOD.partition("  x:")[0] + many) == ["ask: it is too long; 12 are the most that is read here"]
