from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.circuits.source import DEEPEST, LARGEST, dotted, parse_source, read_source
from tutor.errors import FaultyFileError

HINT = "check the indentation and quote texts that hold ': ' or begin with a bracket"


def test_every_scalar_stays_the_text_that_was_typed() -> None:
    source = parse_source("a: no\nb: 010\nc: 12:30\nd: 1e3\ne: 'null'\nf: null\ng: ~\nh:\ni: 220 kΩ\n", "x.yaml")
    assert source.data == {
        "a": "no", "b": "010", "c": "12:30", "d": "1e3", "e": "null", "f": None, "g": None, "h": None, "i": "220 kΩ",
    }  # fmt: skip


def test_lists_and_mappings_are_plain_and_every_key_has_its_line() -> None:
    source = parse_source("circuit: x\nparts:\n  R1:\n    value: 1 Ω\nask:\n- voltage: a\n- current: R1\n", "x.yaml")
    assert source.data["ask"] == [{"voltage": "a"}, {"current": "R1"}]
    assert source.line(("parts", "R1", "value")) == 4
    assert source.line(("ask", 1)) == 7
    assert source.line(("parts", "R1", "nodes", 0)) == 3
    assert source.line(("nothing",)) == 1


def test_a_fault_names_file_line_and_key() -> None:
    source = parse_source("parts:\n  R1:\n    value: 1\n", "x.yaml")
    assert str(source.fault(("parts", "R1", "value"), "wrong")) == "x.yaml:3: parts.R1.value: wrong"
    assert str(source.fault(("parts", "R1", ""), "wrong")) == "x.yaml:2: parts.R1: wrong"


def test_places_in_lists_are_counted_from_one() -> None:
    assert dotted(("ask", 0, "voltage", 1)) == "ask[1].voltage[2]"


def test_an_empty_text_holds_nothing() -> None:
    assert parse_source("", "x.yaml").data is None
    assert parse_source("# only a remark\n", "x.yaml").data is None


BROKEN = [
    ("a: 1\na: 2\n", "x.yaml:2: a: this key is given twice; keep one"),
    ("p:\n  R1: 1\n  R1: 2\n", "x.yaml:3: p.R1: this key is given twice; keep one"),
    ("a: &q 1\n", "x.yaml:1: anchors and aliases are not used here; write the value out"),
    ("a: &q 1\nb: *q\n", "x.yaml:1: anchors and aliases are not used here; write the value out\n"
     "x.yaml:2: anchors and aliases are not used here; write the value out"),
    ("a: &q [1]\n", "x.yaml:1: anchors and aliases are not used here; write the value out"),
    ("a: !!python/object/apply:os.system [x]\n",
     "x.yaml:1: the tag 'tag:yaml.org,2002:python/object/apply:os' is not used here; leave it out"),
    ("a: !thing 1\n", "x.yaml:1: the tag '!thing' is not used here; leave it out"),
    ("a: [1\n", f"x.yaml:2: did not find expected ',' or ']'; {HINT}"),
    ("a: b: c\n", f"x.yaml:1: mapping values are not allowed in this context; {HINT}"),
    ("a: 1\n---\nb: 2\n", f"x.yaml:2: but found another document; {HINT}"),
    ("a: *q\n", "x.yaml:1: anchors and aliases are not used here; write the value out"),
    ("a: 1\nb: \x00\n", f"x.yaml:2: control characters are not allowed; {HINT}"),
    ("a: \ud800\n", "x.yaml: it holds half a character; save it as UTF-8"),
    ("? [a, b]\n: c\n", "x.yaml:1: a key must be a word"),
    ("a: " + "x" * LARGEST, f"x.yaml: {LARGEST + 3} characters; {LARGEST} are the most that is read"),
    ("a: " + "[" * 40 + "]" * 40, f"x.yaml:1: it is nested deeper than {DEEPEST}"),
    ("a: " + "{b: " * 40 + "1" + "}" * 40, f"x.yaml:1: it is nested deeper than {DEEPEST}"),
    ("".join(" " * n + f"k{n}:\n" for n in range(50)), f"x.yaml:31: it is nested deeper than {DEEPEST}"),
    ("- " * 60 + "a\n", f"x.yaml:1: it is nested deeper than {DEEPEST}"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), BROKEN, ids=range(len(BROKEN)))
def test_what_cannot_be_read_is_told_with_its_line(text: str, message: str) -> None:
    began = time.perf_counter()
    with pytest.raises(FaultyFileError) as caught:
        parse_source(text, "x.yaml")
    assert str(caught.value) == message
    assert time.perf_counter() - began < 2


def test_brackets_in_a_text_are_no_nests() -> None:
    text = "[" * 100
    assert parse_source(f"a: '{text}'\n", "x.yaml").data == {"a": text}


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 60_000, "- " * 120_000, "a: &b [*b, *b]\n" * 9_000])
def test_a_quarter_of_a_megabyte_of_nests_is_refused_at_once(text: str) -> None:
    began = time.perf_counter()
    with pytest.raises(FaultyFileError):
        parse_source(text, "x.yaml")
    assert time.perf_counter() - began < 2


def test_a_laughing_billion_is_refused_before_it_grows() -> None:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [
        f"{b}: &{b} [*{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}]"
        for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    ]
    with pytest.raises(FaultyFileError) as caught:
        parse_source("\n".join(lines), "x.yaml")
    assert len(caught.value.faults) == 20
    assert str(caught.value.faults[0]) == "x.yaml:1: anchors and aliases are not used here; write the value out"


@given(st.text(max_size=60))
def test_any_text_gives_data_or_a_fault(text: str) -> None:
    try:
        parse_source(text, "x.yaml")
    except FaultyFileError as error:
        told = error.faults
        assert all(fault.file == "x.yaml" for fault in told)


# -- files -------------------------------------------------------------------------------------------------------------
def test_a_file_is_read_with_or_without_a_byte_order_mark(tmp_path: Path) -> None:
    plain, marked = tmp_path / "a.yaml", tmp_path / "b.yaml"
    plain.write_bytes("a: 1 Ω\n".encode())
    marked.write_bytes("a: 1 Ω\n".encode("utf-8-sig"))
    assert read_source(plain).data == read_source(marked).data == {"a": "1 Ω"}


def test_a_file_may_be_shown_under_another_name(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: 1\na: 2\n", encoding="utf-8")
    with pytest.raises(FaultyFileError) as caught:
        read_source(path, "bank/topic/a.yaml")
    assert str(caught.value) == "bank/topic/a.yaml:2: a: this key is given twice; keep one"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a: 1\nb: \xff\xfe\n", "a.yaml:2: the file is no UTF-8 text; save it as UTF-8"),
        ("a: 1 Ω\n".encode("utf-16"), "a.yaml:1: the file is no UTF-8 text; save it as UTF-8"),
        (b"a: caf\xe9\n", "a.yaml:1: the file is no UTF-8 text; save it as UTF-8"),
        (b"x" * (LARGEST + 1), f"a.yaml: the file is larger than {LARGEST} bytes, the most that is read"),
    ],
)
def test_a_file_that_is_no_text_is_refused(tmp_path: Path, raw: bytes, message: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(raw)
    with pytest.raises(FaultyFileError) as caught:
        read_source(path)
    assert str(caught.value) == message


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(FaultyFileError) as caught:
        read_source(tmp_path / "missing.yaml")
    assert str(caught.value) == "missing.yaml: the file cannot be read (No such file or directory)"
    with pytest.raises(FaultyFileError) as caught:
        read_source(tmp_path)
    assert str(caught.value) == f"{tmp_path.name}: the file cannot be read (Is a directory)"
