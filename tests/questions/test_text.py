from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import read_expression
from tutor.questions.text import FilledSpan, Span, fill, filled_from_data, filled_to_data, read_pieces, spans_in


def shown(span: Span) -> str:
    return {"R1": "220 kΩ", "level": "−6 dB", "angle": "30°", "share": "46 %"}.get(span.text.strip("= "), "5 V")


@pytest.mark.parametrize(
    ("text", "members", "valued", "alone"),
    [
        ("`R1`", ["R1"], False, False),
        ("`R1=`", ["R1"], True, False),
        ("`R1 =`", ["R1"], True, False),
        ("`=R1`", ["R1"], False, True),
        ("`= R1`", ["R1"], False, True),
        ("`R1 + R2=`", ["R1 + R2"], True, False),
        ("`a = R1 + R2 =`", ["a", "R1 + R2"], True, False),
        ("`a = b = c`", ["a", "b", "c"], False, False),
        ("`R1 <= R2`", ["R1 <= R2"], False, False),
        ("`R1 == R2`", ["R1 == R2"], False, False),
        ("`R1 != R2`", ["R1 != R2"], False, False),
    ],
)
def test_a_code_span_is_an_expression_with_or_without_its_value(
    text: str, members: list[str], valued: bool, alone: bool
) -> None:
    (span,) = spans_in(read_pieces(text))
    assert span.members == tuple(read_expression(member) for member in members)
    assert (span.valued, span.alone) == (valued, alone)


def test_words_and_spans_keep_their_order() -> None:
    pieces = read_pieces("The `R1=` and `R2` of it.")
    assert [piece if isinstance(piece, str) else piece.text for piece in pieces] == [
        "The ", "R1=", " and ", "R2", " of it.",
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["a ` b", "`R1", "`a` and `", "`R1 +`", "`1 2`", "`a.b`", "``", "`=`", "`=a = b`"])
def test_what_is_no_expression_is_refused(text: str) -> None:
    with pytest.raises(ExpressionError):
        read_pieces(text)


@given(st.text(alphabet="ab1+=<>` .*(", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        pieces = read_pieces(text)
    except ExpressionError:
        return
    assert "".join(f"`{piece.text}`" if isinstance(piece, Span) else piece for piece in pieces).count(
        "`"
    ) == text.count("`")


# -- filled ----------------------------------------------------------------------------------------------------------
def test_a_name_is_filled_with_its_value() -> None:
    assert fill(read_pieces("`R1=` and `R1` and `=R1`."), shown) == (
        FilledSpan(("R1",), "220 kΩ"), " and ", FilledSpan(("R1",), ""), " and ", FilledSpan(("R1",), "220 kΩ", alone=True),
        ".",
    )  # fmt: skip


def test_a_step_is_read_in_figures_too() -> None:
    figures = {"V1": "10 V", "R1": "2 kΩ", "i": "5 mA"}
    assert fill(read_pieces("`i = V1/R1 =`"), shown, figures) == (
        FilledSpan(("i", "V1/R1"), "5 V", numbers={"V1": "10 V", "R1": "2 kΩ"}),
    )


def test_a_name_alone_is_not_read_in_figures() -> None:
    assert fill(read_pieces("`i=`"), shown, {"i": "5 mA"}) == (FilledSpan(("i",), "5 V"),)
    assert fill(read_pieces("`i = V1/R1`"), shown, {"V1": "10 V"}) == (FilledSpan(("i", "V1/R1"), ""),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("`level=` dB here", " here"), ("`level=`dB", ""), ("`level=` here", " here"), ("`angle=`°.", "."),
        ("`share=` % of it", " of it"), ("`share=`.", "."), ("`R1=` dB", " dB"),
    ],
)  # fmt: skip
def test_a_unit_that_is_written_behind_is_not_shown_twice(text: str, words: str) -> None:
    filled = fill(read_pieces(text), shown)
    assert (filled[1] if len(filled) > 1 else "") == words


@pytest.mark.parametrize("text", ["`R1=`", "`=R1`", "`a = R1 + R2 =` x", "words alone", "`2*pi=`", "`a = b`"])
def test_a_filled_text_is_stored_and_read_again(text: str) -> None:
    filled = fill(read_pieces(text), shown, {"R1": "220 kΩ"})
    assert filled_from_data(filled_to_data(filled)) == filled
