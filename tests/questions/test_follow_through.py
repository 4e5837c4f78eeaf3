from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.templates import BENCH, HEAD, PINNED, STEPS, asking, question_of, with_values
from tutor.circuits.expressions import evaluate
from tutor.quantities import best_prefix, number_in, read_quantity, show
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.compiling import ROUNDING
from tutor.questions.draw import draw
from tutor.questions.follow_through import carry
from tutor.questions.fragments import text_of
from tutor.questions.marking import letter_of, mark
from tutor.questions.marks import AskMark, Mark
from tutor.questions.question import DrawnAsk, Question

QUESTION = question_of(with_values(STEPS, PINNED))
"""Keys: 148.1 V at the tap, 1.481 mA and 219.3 mW in the load of 100 kΩ."""


def verdicts(result: Mark) -> list[tuple[str, int]]:
    return [(found.verdict.value, found.marks) for found in result.asks.values()]


def marked(**answers: str) -> Mark:
    return mark(QUESTION, answers)


def says(found: AskMark) -> str:
    return text_of(found.says).replace("\N{NO-BREAK SPACE}", " ")


# -- one wrong step costs one step -----------------------------------------------------------------------------------
def test_one_wrong_step_costs_that_step_alone() -> None:
    result = marked(v_tap="170 V", i_load="1.7 mA", p_load="289 mW")
    assert verdicts(result) == [("slip", 0), ("follow-through", 2), ("follow-through", 2)]
    assert says(result.asks["i_load"]) == "Right method, carried on from your own answer to (a)."
    assert says(result.asks["p_load"]) == "Right method, carried on from your own answer to (a) and (b)."


def test_the_key_itself_stays_right_whatever_came_before() -> None:
    result = marked(v_tap="100 V", i_load="1.481 mA", p_load="219 mW")
    assert verdicts(result) == [("wrong", 0), ("right", 2), ("right", 2)]


def test_a_wrong_step_in_the_middle_is_carried_on_too() -> None:
    result = marked(v_tap="148 V", i_load="2 mA", p_load="296 mW")
    assert verdicts(result) == [("right", 2), ("wrong", 0), ("follow-through", 2)]
    assert says(result.asks["p_load"]) == "Right method, carried on from your own answer to (b)."


def test_two_wrong_steps_are_both_carried_on() -> None:
    result = marked(v_tap="100 V", i_load="2 mA", p_load="200 mW")
    assert verdicts(result) == [("wrong", 0), ("wrong", 0), ("follow-through", 2)]


def test_what_follows_from_nothing_typed_is_wrong() -> None:
    result = marked(v_tap="100 V", i_load="1.00 mA", p_load="150 mW")
    assert verdicts(result)[2] == ("wrong", 0)


# -- steps that were left out ----------------------------------------------------------------------------------------
def test_a_step_left_out_is_worked_out_on_the_way() -> None:
    assert verdicts(marked(v_tap="100 V", p_load="100 mW")) == [("wrong", 0), ("blank", 0), ("follow-through", 2)]


def test_an_unreadable_step_is_worked_out_on_the_way() -> None:
    result = marked(v_tap="100 V", i_load="lots", p_load="100 mW")
    assert verdicts(result) == [("wrong", 0), ("unreadable", 0), ("follow-through", 2)]


def test_a_chain_is_carried_on_through_two_steps_left_out() -> None:
    text = (
        asking("formula: 100 V\nunit: V", name="a")
        + "  b: {text: And b?, formula: a/10 kΩ, unit: mA}\n  c: {text: And c?, formula: b*1 kΩ, unit: V}\n"
    )
    text += "  d: {text: And d?, formula: c*2, unit: V}\n"
    result = mark(question_of(text), {"a": "50 V", "d": "10 V"})
    assert result.asks["d"].verdict.value == "follow-through"
    assert says(result.asks["d"]) == "Right method, carried on from your own answer to (a)."


def test_without_any_answer_before_there_is_nothing_to_carry_on() -> None:
    assert carry(QUESTION, QUESTION.ask("p_load"), {}) is None
    assert carry(QUESTION, QUESTION.ask("v_tap"), {"v_tap": read_quantity("100 V")}) is None


# -- rounded figures -------------------------------------------------------------------------------------------------
def test_a_figure_stands_for_anything_within_its_last_place() -> None:
    # 1.4 mA may have been 1.35 … 1.45: with 148 V that is 199.8 … 214.6 mW, and 2 % about those.
    for power in ("200 mW", "207 mW", "214 mW", "196 mW"):
        assert verdicts(marked(v_tap="148 V", i_load="1.4 mA", p_load=power))[2] == ("follow-through", 2)
    assert verdicts(marked(v_tap="148 V", i_load="1.4 mA", p_load="190 mW"))[2] == ("wrong", 0)


def test_after_right_steps_that_were_only_rounded_the_next_is_right() -> None:
    text = """\
values:
  V1: 100 V
  V2: 98 V
text: A text.
ask:
  a: {text: What is a?, formula: V1*1.013, unit: V}
  b: {text: And the difference?, formula: a - V2, unit: V}
"""
    question = question_of(HEAD + text)
    # 101.3 − 98 is 3.3; from 101 V it is 3 V, nine per cent off and still rightly worked out.
    result = mark(question, {"a": "101 V", "b": "3 V"})
    assert verdicts(result) == [("right", 2), ("right", 2)]
    assert says(result.asks["b"]) == ""


def rounded(question: Question, figures: int) -> dict[str, str]:
    """Return the answers of somebody who works with figures rounded at every step."""
    values = dict(question.values)
    answers = {}
    for ask in question.asks:
        if ask.kind == "choice":
            answers[ask.name] = letter_of(next(n for n, option in enumerate(ask.options, 1) if option.right))
        elif ask.kind in ("change", "formula"):
            answers[ask.name] = str(ask.value)
        elif ask.kind == "fault":
            answers[ask.name] = ask.shown
        else:
            answers[ask.name] = _rounded_answer(ask, values, figures)
            values[ask.name] = read_quantity(answers[ask.name], ask.printed_unit).quantity.magnitude
    return answers


def _rounded_answer(ask: DrawnAsk, values: dict[str, float], figures: int) -> str:
    value = ask.key if ask.expression is None else evaluate(ask.expression, values)
    if ask.kind == "preferred":
        return show(ROUNDING[ask.rounding](ask.series, value), ask.key_unit, 3)
    unit = ask.printed_unit if ask.printed == "%" else best_prefix(value, ask.key_unit)
    return f"{number_in(value, unit, figures)} {unit.text}"


BENCH_TEMPLATES = {
    name: CompiledCache().compiled(template) for name, template in read_library([BENCH]).templates.items()
}


@given(st.sampled_from(sorted(BENCH_TEMPLATES)), st.integers(0, 10**6))
def test_rounding_at_every_step_never_costs_a_mark(name: str, serial: int) -> None:
    question = draw(BENCH_TEMPLATES[name], serial)
    answers = rounded(question, 3)
    result = mark(question, answers)
    assert result.is_full, (answers, {n: (m.verdict.value, m.read) for n, m in result.asks.items()})


@given(st.sampled_from(sorted(BENCH_TEMPLATES)), st.integers(0, 10**6), st.floats(0.3, 3))
def test_a_wrong_first_step_carried_on_costs_that_step_alone(name: str, serial: int, factor: float) -> None:
    question = draw(BENCH_TEMPLATES[name], serial)
    first = question.asks[0]
    if first.kind != "number" or len(question.asks) == 1 or abs(factor - 1) < 0.05:
        return
    wrong = show(first.key * factor, first.key_unit, 5)
    # Worked out anew from the wrong figure, with everything else right.
    values = dict(question.values) | {first.name: read_quantity(wrong).quantity.magnitude}
    answers = {first.name: wrong}
    for ask in question.asks[1:]:
        answers[ask.name] = _rounded_answer(ask, values, 4)
        values[ask.name] = read_quantity(answers[ask.name], ask.printed_unit).quantity.magnitude
    result = mark(question, answers)
    if first.limit is None or values[first.name] <= first.limit:
        assert result.marks == result.of - first.marks + result.asks[first.name].marks


# -- refused ---------------------------------------------------------------------------------------------------------
def test_more_than_the_supply_gives_is_not_carried_on() -> None:
    result = marked(v_tap="260 V", i_load="2.6 mA")
    assert verdicts(result)[1] == ("wrong", 0)
    assert says(result.asks["i_load"]) == (
        "Too high, by a factor of about two. Your own earlier figure was not carried on: the supply cannot give such "
        "a voltage."
    )


def test_as_much_as_the_supply_gives_is_carried_on() -> None:
    assert verdicts(marked(v_tap="250 V", i_load="2.5 mA"))[1] == ("follow-through", 2)


def test_a_current_that_the_supply_cannot_drive_is_not_carried_on() -> None:
    # 250 V drive 2.5 mA at most through 100 kΩ.
    result = marked(i_load="2.6 mA", p_load="385 mW")
    assert says(result.asks["p_load"]) == (
        "Too high, by a factor of about two. Your own earlier figure was not carried on: the supply cannot give such "
        "a current."
    )


def test_nothing_is_not_carried_on() -> None:
    result = marked(v_tap="0", i_load="0")
    assert verdicts(result)[1] == ("wrong", 0)
    assert says(result.asks["i_load"]) == (
        "Too low. Your own earlier figure was not carried on: nothing is left to work out from nothing."
    )


TWO_STEPS = """\
values:
  V1: 100 V
text: A text.
ask:
  first: {{text: What is it?, {first}}}
  second: {{text: And then?, {second}}}
"""


@pytest.mark.parametrize(
    ("first", "second", "answers", "reason"),
    [
        ("formula: 1 kΩ, unit: kΩ", "formula: V1/first, unit: mA", ("-2", "-50"), "a resistance is more than nothing"),
        ("formula: 10 nF, unit: nF", "formula: first*V1", ("-10", "-1e-6"), "a capacitance is more than nothing"),
        ("formula: 50 Hz, unit: Hz", "formula: 1/first, unit: ms", ("-50", "-20"), "a frequency is more than nothing"),
        ("formula: 2 s, unit: s", "formula: first*2, unit: s", ("-2.5", "-5"), "a time is more than nothing"),
        (
            "formula: 0.5, possible: 0 < first < 1", "formula: V1*first, unit: V", ("1.5", "150"),
            "such a value cannot be in this circuit",
        ),
        ("formula: 50 V, unit: V", "formula: V1 - first, unit: V", ("100", "0"), "nothing is left of the step"),
        ("formula: 0.5", "formula: V1/(1 - first), unit: V", ("1", "1e9"), "no value follows from it"),
        ("formula: 0.5", "formula: V1*sqrt(1 - first), unit: V", ("4", "17"), "no value follows from it"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_not_carried_on(first: str, second: str, answers: tuple[str, str], reason: str) -> None:
    question = question_of(HEAD + TWO_STEPS.format(first=first, second=second))
    result = mark(question, dict(zip(("first", "second"), answers, strict=True)))
    found = result.asks["second"]
    assert found.marks == 0
    carried = carry(
        question, question.ask("second"), {"first": read_quantity(answers[0], question.asks[0].printed_unit)}
    )
    assert carried is not None
    assert carried.refused == reason
    if found.verdict.value == "wrong":
        assert says(found).endswith(f" Your own earlier figure was not carried on: {reason}.")


def test_a_possible_value_is_carried_on() -> None:
    question = question_of(
        HEAD + TWO_STEPS.format(first="formula: 0.5, possible: 0 < first < 1", second="formula: V1*first, unit: V")
    )
    assert verdicts(mark(question, {"first": "0.7", "second": "70"})) == [("wrong", 0), ("follow-through", 2)]


# -- units on the way ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("typed", ["148 mV", "148 kV", "148 A", "148 mA"])
def test_after_a_wrong_unit_the_right_figure_is_carried_on(typed: str) -> None:
    result = marked(v_tap=typed, i_load="1.481 mA", p_load="219 mW")
    assert verdicts(result) == [("right-unit-wrong", 1), ("right", 2), ("right", 2)]


def test_after_a_wrong_unit_rounding_still_costs_nothing() -> None:
    text = HEAD + TWO_STEPS.format(first="formula: V1*1.013, unit: V", second="formula: first - 98 V, unit: V")
    result = mark(question_of(text), {"first": "101 A", "second": "3 V"})
    assert verdicts(result) == [("right-unit-wrong", 1), ("right", 2)]


def test_a_wrong_prefix_that_was_carried_on_as_it_stands_is_followed() -> None:
    result = marked(v_tap="148 mV", i_load="1.48 µA")
    assert verdicts(result)[1] == ("follow-through", 2)


def test_a_wrong_unit_behind_a_wrong_figure_carried_on_costs_the_unit_alone() -> None:
    result = marked(v_tap="100 V", i_load="1 A", p_load="100 mW")
    assert verdicts(result) == [("wrong", 0), ("right-unit-wrong", 1), ("follow-through", 2)]
    assert says(result.asks["i_load"]) == (
        "The figure is right, the prefix is not: look at how many noughts it stands for. It was carried on from your "
        "own answer to (a)."
    )


def test_an_answer_of_another_kind_is_not_carried_on() -> None:
    result = marked(v_tap="12 A", i_load="0.12 mA")
    assert verdicts(result) == [("wrong", 0), ("wrong", 0), ("blank", 0)]


# -- slips on the way ------------------------------------------------------------------------------------------------
def test_a_slip_made_with_an_own_earlier_figure_is_named() -> None:
    result = marked(v_tap="100 V", i_load="2.128 mA")
    assert verdicts(result)[1] == ("slip", 0)
    assert result.asks["i_load"].slip == "wrong-resistor"
    assert says(result.asks["i_load"]) == "That is the current in the foot of the divider."


def test_slips_that_cannot_be_told_apart_on_the_way_are_not_named() -> None:
    slips = "slips: {one: {formula: first*2, says: One.}, two: {formula: first*2.01, says: Two.}}"
    text = HEAD + TWO_STEPS.format(first="formula: 10 V", second=f"formula: first*3, {slips}")
    assert verdicts(mark(question_of(text), {"first": "7 V", "second": "14 V"}))[1] == ("wrong", 0)


# -- preferred values ------------------------------------------------------------------------------------------------
PREFERRED = HEAD + TWO_STEPS.format(
    first="formula: 4.6 kΩ, unit: kΩ", second="kind: preferred, series: E12, round: nearest, formula: first, unit: kΩ"
)


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        ("6.5k", "6k8", "follow-through"),
        ("6.5k", "5k6", "wrong"),
        ("6.5k", "4k7", "right"),
        ("4.55k", "4k7", "right"),
        ("-6.5k", "6k8", "wrong"),
    ],
)
def test_a_preferred_value_follows_from_an_own_exact_one(first: str, second: str, verdict: str) -> None:
    assert mark(question_of(PREFERRED), {"first": first, "second": second}).asks["second"].verdict.value == verdict


def test_a_preferred_value_left_out_is_chosen_on_the_way() -> None:
    text = PREFERRED + "  third: {text: And what then?, formula: V1/second, unit: mA}\n"
    # From 6.5 kΩ the nearest is 6.8 kΩ, through which 100 V drive 14.7 mA.
    result = mark(question_of(text), {"first": "6.5k", "third": "14.7"})
    assert result.asks["third"].verdict.value == "follow-through"


@pytest.mark.parametrize("typed", ["1", "1.0", "1.00", "1e0"])
def test_carrying_on_takes_the_figure_as_typed(typed: str) -> None:
    reading: Callable[[str], object] = read_quantity
    assert reading(typed)
    question = question_of(HEAD + TWO_STEPS.format(first="formula: 2 V", second="formula: first*3"))
    carried = carry(question, question.ask("second"), {"first": read_quantity(f"{typed} V")})
    assert carried is not None
    half = {"1": 0.5, "1.0": 0.05, "1.00": 0.005, "1e0": 0.5}[typed]
    assert (carried.low, carried.value, carried.high) == pytest.approx((3 * (1 - half), 3.0, 3 * (1 + half)))
    assert carried.used == ("first",)
