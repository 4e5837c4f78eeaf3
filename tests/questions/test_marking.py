from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.marking_rows import ASKS, ROWS
from tests.questions.templates import PINNED, STEPS, asking, question_of, with_values
from tutor.quantities import read_unit, show_exact, show_in
from tutor.questions.errors import AskError
from tutor.questions.fragments import text_of
from tutor.questions.marking import LONGEST, letter_of, mark
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import Question

TABLE = [(ask, *row) for ask, rows in ROWS.items() for row in rows]


def mark_of(ask: str, typed: str) -> AskMark:
    return mark(question_of(ASKS[ask]), {"x": typed}).asks["x"]


def says_of(ask_mark: AskMark) -> str:
    return text_of(ask_mark.says).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(("ask", "typed", "verdict", "marks", "slip", "says"), TABLE)
def test_an_answer_is_marked_as_a_good_trainer_would(
    ask: str, typed: str, verdict: str, marks: int, slip: str, says: str
) -> None:
    found = mark_of(ask, typed)
    assert (found.verdict.value, found.marks, found.slip) == (verdict, marks, slip), says_of(found)
    assert says in says_of(found)
    if not says:
        assert says_of(found) == ""


def test_the_table_is_long_enough_to_be_called_one() -> None:
    assert len(TABLE) >= 150


# -- what is read ----------------------------------------------------------------------------------------------------
def test_a_mark_tells_how_the_answer_was_read() -> None:
    found = mark_of("resistance", "4k7")
    assert (found.read, found.value, found.unit, found.typed) == ("4.7\N{NO-BREAK SPACE}kΩ", 4700.0, "Ω", "4k7")


def test_an_angle_in_radians_is_read_in_degrees() -> None:
    found = mark_of("angle", "0.5236 rad")
    assert found.read == "30.0001°"
    assert found.unit == "°"


def test_a_share_is_read_back_in_per_cent_where_per_cent_are_asked() -> None:
    assert mark_of("per cent", "46").read == "46\N{NO-BREAK SPACE}%"
    assert mark_of("small ratio", "46 %").read == "0.46"


def test_what_cannot_be_read_has_no_value_and_costs_nothing() -> None:
    result = mark(question_of(ASKS["voltage"]), {"x": "lots"})
    assert result.asks["x"].value is None
    assert result.unreadable == ("x",)
    assert result.marks == 0


def test_a_long_answer_is_cut_before_it_is_kept() -> None:
    assert len(mark_of("voltage", "6" * 5000).typed) == LONGEST


def test_the_example_of_an_unreadable_answer_is_never_the_key() -> None:
    question = question_of(asking("{formula: 3.3 kΩ, unit: kΩ}"))
    assert says_of(mark(question, {"x": "lots"}).asks["x"]) == (
        "Expected a number, then a unit. An answer reads, for example, 4.7 kΩ."
    )


def test_an_answer_to_something_that_is_not_asked_is_an_error() -> None:
    with pytest.raises(AskError) as caught:
        mark(question_of(with_values(STEPS, PINNED)), {"v_tab": "1"})
    assert str(caught.value) == "nothing is asked under 'v_tab'; asked are v_tap, i_load, p_load"
    assert (caught.value.name, caught.value.known) == ("v_tab", ("v_tap", "i_load", "p_load"))


def test_asks_left_out_are_blank() -> None:
    result = mark(question_of(with_values(STEPS, PINNED)), {})
    assert {m.verdict for m in result.asks.values()} == {Verdict.BLANK}
    assert (result.marks, result.of, result.is_blank) == (0, 6, True)


# -- choices ---------------------------------------------------------------------------------------------------------
def place_of(question: Question, name: str) -> int:
    return [option.name for option in question.asks[0].options].index(name)


@pytest.mark.parametrize("shape", ["{}", "({})", "{}.", "{})", " {} "])
@pytest.mark.parametrize("case", [str.upper, str.lower])
def test_an_option_is_chosen_by_its_letter(shape: str, case: type[str]) -> None:
    question = question_of(ASKS["choice"])
    typed = shape.format(case(letter_of(place_of(question, "top") + 1)))
    found = mark(question, {"x": typed}).asks["x"]
    assert (found.verdict, found.marks, found.value) == (Verdict.RIGHT, 1, "top")


def test_an_option_is_chosen_by_its_key() -> None:
    assert mark_of("choice", "top").verdict is Verdict.RIGHT
    assert mark_of("choice", " Top ").verdict is Verdict.RIGHT


def test_a_wrong_option_with_a_sentence_is_a_slip() -> None:
    found = mark_of("choice", "foot")
    assert (found.verdict, found.slip, says_of(found)) == (Verdict.SLIP, "foot", "Look which one is larger.")


def test_a_wrong_option_without_a_sentence_is_just_wrong() -> None:
    found = mark_of("choice", "neither")
    assert (found.verdict, found.slip, says_of(found)) == (Verdict.WRONG, "", "That is not the one.")


@pytest.mark.parametrize("typed", ["d", "Z", "both", "1", "right"])
def test_what_is_no_option_cannot_be_read(typed: str) -> None:
    found = mark_of("choice", typed)
    assert (found.verdict, says_of(found)) == (Verdict.UNREADABLE, "Answer with the letter of an option: A, B, C.")


def test_among_numbers_the_right_one_is_chosen_by_letter_or_by_itself_but_by_no_word_for_right() -> None:
    question = question_of(ASKS["numbers to choose"])
    right = next(place for place, option in enumerate(question.asks[0].options) if option.right)
    assert mark(question, {"x": letter_of(right + 1)}).asks["x"].verdict is Verdict.RIGHT
    assert mark(question, {"x": "100 V"}).asks["x"].verdict is Verdict.RIGHT
    assert mark(question, {"x": "right"}).asks["x"].verdict is Verdict.UNREADABLE


def test_among_numbers_a_slip_is_named() -> None:
    found = mark_of("numbers to choose", "half")
    assert (found.verdict, found.slip, says_of(found)) == (Verdict.SLIP, "half", "Only half of it was counted.")


# -- laws ------------------------------------------------------------------------------------------------------------
ANY_TEXT = st.one_of(
    st.text(max_size=300),
    st.text(alphabet="0123456789.,eE+-−×^/ kKmMµunpRΩVAWHzFSdB%°'\"<>*`", max_size=40),
    st.from_regex(r"[-−+]?[0-9]{1,6}([.,][0-9]{1,4})? ?([kKmMµunp]?(V|A|Ω|ohm|W|Hz|F|H|S|dB|°|%)?)", fullmatch=True),
)


@given(st.sampled_from(sorted(ASKS)), ANY_TEXT)
def test_any_text_gets_a_verdict(ask: str, typed: str) -> None:
    found = mark_of(ask, typed)
    assert isinstance(found.verdict, Verdict)
    assert 0 <= found.marks <= found.of
    assert (found.marks == found.of) >= (found.verdict in (Verdict.RIGHT, Verdict.FOLLOW_THROUGH))
    assert bool(says_of(found)) == (found.verdict not in (Verdict.RIGHT, Verdict.BLANK))
    assert mark_of(ask, typed) == found


@given(st.fixed_dictionaries({}, optional=dict.fromkeys(("v_tap", "i_load", "p_load"), ANY_TEXT)))
def test_marks_add_up_whatever_is_typed(answers: dict[str, str]) -> None:
    question = question_of(with_values(STEPS, PINNED))
    result = mark(question, answers)
    assert tuple(result.asks) == ("v_tap", "i_load", "p_load")
    assert result.of == question.marks == 6
    assert result.marks == sum(found.marks for found in result.asks.values())
    assert mark(question, answers) == result


FIGURE = re.compile(r"[0-9]+(?:\.[0-9]+)?")


@given(st.sampled_from(sorted(ASKS)), st.one_of(ANY_TEXT, st.floats(1e-9, 1e9).map(lambda x: f"{x:.3g}")))
def test_no_sentence_ever_shows_the_key(ask: str, typed: str) -> None:
    question = question_of(ASKS[ask])
    shown = question.asks[0].shown
    figure = FIGURE.search(shown)
    if figure is None or figure[0] in typed or question.asks[0].kind in ("change", "choice"):
        return
    found = mark_of(ask, typed)
    # "2π", "√2", "20 log" and the name of a series are no figures of an answer.
    words = re.sub(r"2π|√2|1?[0-9]0 log|E(?:12|6)\b|100 characters", "", says_of(found))
    assert figure[0] not in FIGURE.findall(words)
    assert shown not in words


NUMERIC = sorted(name for name in ASKS if name not in ("choice", "numbers to choose", "change", "no change"))
PREFIXES = {"V": ("m", "k"), "Ω": ("k", "M"), "A": ("m", "µ"), "F": ("n", "p", "µ"), "Hz": ("k",), "W": ("m",)}


@given(st.sampled_from(NUMERIC), st.data())
def test_a_right_answer_is_right_in_any_notation(ask: str, data: st.DataObject) -> None:
    drawn = question_of(ASKS[ask]).asks[0]
    unit = drawn.key_unit
    written = [read_unit(f"{prefix}{unit.symbol}") for prefix in ("", *PREFIXES.get(unit.symbol, ()))]
    texts = [show_in(drawn.key, one, 6) for one in written] + [show_exact(drawn.key, unit)]
    if drawn.printed == "%":
        texts = [show_in(drawn.key, drawn.printed_unit, 6)]
    elif unit.symbol:
        texts += [
            f"{drawn.key:.6e} {unit.symbol}",
            f"{drawn.key:.6f} {unit.symbol}" if abs(drawn.key) > 0.1 else texts[0],
        ]
    text = data.draw(st.sampled_from(texts))
    for old, new in data.draw(
        st.sets(st.sampled_from([("−", "-"), (".", ","), (" ", ""), (" ", "  "), ("µ", "u"), ("Ω", "ohm")]))
    ):
        text = text.replace("\N{NO-BREAK SPACE}", " ").replace(old, new)
    found = mark_of(ask, text)
    assert found.verdict is Verdict.RIGHT, (text, found.verdict, says_of(found))
    assert found.marks == found.of


@given(st.sampled_from(NUMERIC), st.floats(-1, 1))
def test_every_answer_within_the_tolerance_is_right_and_none_beyond(ask: str, share: float) -> None:
    drawn = question_of(ASKS[ask]).asks[0]
    if drawn.kind == "preferred":
        return
    width = drawn.band.half_width(drawn.key)
    inside, outside = drawn.key + share * width, drawn.key + (1.001 + abs(share)) * width * (1 if share > 0 else -1)
    size, unit = (100, "%") if drawn.printed == "%" else (1, drawn.unit)
    assert mark_of(ask, f"{size * inside:.12e} {unit}").verdict is Verdict.RIGHT
    assert mark_of(ask, f"{size * outside:.12e} {unit}").verdict is not Verdict.RIGHT


# -- marking from what was stored --------------------------------------------------------------------------------------
@given(st.fixed_dictionaries({}, optional=dict.fromkeys(("v_tap", "i_load", "p_load"), ANY_TEXT)))
def test_a_stored_question_is_marked_as_the_fresh_one(answers: dict[str, str]) -> None:
    question = question_of(STEPS, 3)
    assert mark(Question.from_data(question.to_data()), answers) == mark(question, answers)
