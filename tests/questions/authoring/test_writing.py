"""The file of a template: the same bytes from the same data, and the same data back."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.circuits.source import parse_source, read_source
from tutor.questions.authoring.cleaning import clean_line, clean_text
from tutor.questions.authoring.value_words import ValueWordsError, read_value_words, write_value_words
from tutor.questions.authoring.writing import in_order, write_template
from tutor.questions.bank import CIRCUITS, COURSES, Circuits
from tutor.questions.reading import read_template

BANKS = Path(__file__).parents[3] / "question_banks"
FILES = [p for p in sorted(BANKS.glob("*/*/*.yaml")) if p.parent.name not in (CIRCUITS, COURSES)]


def test_the_banks_are_there() -> None:
    assert len(FILES) > 100


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_shipped_template_comes_back_with_its_release(path: Path) -> None:
    circuits = Circuits(path.parents[1] / CIRCUITS)
    before = read_source(path)
    text = write_template(before.data)
    after = parse_source(text, path.name)
    assert write_template(after.data) == text
    assert list(after.data) == list(in_order(before.data))
    assert read_template(after, circuits).release == read_template(before, circuits).release


_SCALARS = st.text(max_size=60).filter(lambda text: text.strip() and clean_text(text) == text)
_LINES = st.lists(st.text(max_size=40).map(clean_line), min_size=1, max_size=5).map("\n".join).filter(str.strip)


@given(st.dictionaries(st.from_regex(r"[A-Za-z][A-Za-z0-9_]{0,8}", fullmatch=True), _SCALARS | _LINES, min_size=1))
def test_any_cleaned_text_survives_writing_and_reading(values: dict[str, str]) -> None:
    data = {"text": "x", "values": values, "hints": list(values.values())}
    assert parse_source(write_template(data), "drawn").data == data


@pytest.mark.parametrize(
    "text", ["no", "010", "12:30", "1e3", "~", "null", "0", "- a", "#x", "a: b", "'", '"', "{", "%a"]
)
def test_text_that_looks_like_something_else_stays_text(text: str) -> None:
    assert parse_source(write_template({"title": text, "hints": [text]}), "x").data == {"title": text, "hints": [text]}


@pytest.mark.parametrize(
    "words",
    [
        "220 kΩ",
        "200 V, 250 V, 300 V",
        "E12, 47 kΩ to 470 kΩ",
        "200 V to 300 V in steps of 10 V",
        "= R1 + R2",
        "1,5 kΩ",
    ],
)
def test_value_words_come_back_as_written(words: str) -> None:
    assert write_value_words(read_value_words(words)) == words


def test_other_spellings_are_read_too() -> None:
    assert read_value_words("e24 from 1k to 10k") == {"series": "E24", "from": "1k", "to": "10k"}
    assert read_value_words("200 V; 250 V") == {"pick": ["200 V", "250 V"]}
    assert read_value_words("from 1 V to 2 V, step 0.1 V") == {"from": "1 V", "to": "2 V", "step": "0.1 V"}


def test_a_stretch_without_series_or_step_is_refused_with_what_would_do() -> None:
    with pytest.raises(ValueWordsError, match=r"name a series \(E12, 1 kΩ to 10 kΩ\) or a step"):
        read_value_words("1 kΩ to 10 kΩ")
    with pytest.raises(ValueWordsError, match="found 'E13'; the series are E3, E6"):
        read_value_words("E13, 1 kΩ to 10 kΩ")


def test_pasted_text_loses_what_nobody_can_see() -> None:
    pasted = (
        "\ufeff\u201cWhat\u00a0voltage\u201d \u2013 it\u2019s 5\u200b0\u202e \u00adV\u2026\r\n\x00next\u2028line \ue000"
    )
    assert clean_text(pasted) == '"What voltage" - it\'s 50 V...\nnext\nline'
    assert clean_line(pasted) == '"What voltage" - it\'s 50 V... next line'
