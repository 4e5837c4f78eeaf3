"""The two reports, from simulated members and from hostile records."""

from __future__ import annotations

import math
import random
import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.learning.item_analysis.strategies import PART_MARKS, matrices, simulated
from tutor.learning.item_analysis import analysis
from tutor.learning.item_analysis.analysis import analyse_template, analyse_test
from tutor.learning.item_analysis.answers import AskAnswer, TemplateAnswer, first_of_each
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.flags import About
from tutor.learning.item_analysis.rasch import conditional
from tutor.learning.item_analysis.reliability import kr20
from tutor.learning.item_analysis.responses import Matrix


def club(seed: int, members: int, difficulty: float = 0.0, *, reversed_key: bool = False) -> list[TemplateAnswer]:
    """First answers of members whose ability is known exactly, elsewhere over thirty questions of medium difficulty."""
    lots = random.Random(seed)
    answers = []
    for member in range(members):
        theta = lots.gauss(0, 1)
        elsewhere = sum(lots.uniform(0, 1) < 1 / (1 + math.exp(-theta)) for _ in range(30)) / 30
        right = lots.uniform(0, 1) < 1 / (1 + math.exp(difficulty - theta))
        share = float(right != reversed_key)
        answers.append(
            TemplateAnswer(
                member=member,
                share=share,
                asks=(AskAnswer(ask="v_tap", share=share, key=10.0, wrong=None if share else lots.uniform(1, 99)),),
                elsewhere=elsewhere,
                ability=theta,
                seconds=lots.uniform(30, 300),
                driver=lots.uniform(0, 1),
            )
        )
    return answers


def abouts(report: analysis.ReportOnTemplate) -> list[About]:
    return [flag.about for flag in report.flags]


def test_a_sound_template_is_reported_without_a_flag() -> None:
    report = analyse_template(club(1, 400, difficulty=0.5))
    assert report.flags == ()
    assert (report.learners, report.answers) == (400, 400)
    assert report.difficulty is not None
    assert abs(report.difficulty.value - 0.5) < 3 * report.difficulty.error
    # 1/√(Σpq) with pq a little below a quarter.
    assert 2 / math.sqrt(400) < report.difficulty.error < 3 / math.sqrt(400)
    assert report.item_rest is not None
    assert report.item_rest > 0.3
    assert report.upper_lower is not None
    assert report.upper_lower > 0.4
    assert report.median_seconds is not None
    assert 100 < report.median_seconds < 230
    assert len(report.quartiles) == 4


def test_a_reversed_key_is_found() -> None:
    report = analyse_template(club(2, 200, reversed_key=True))
    assert abouts(report) == [About.KEY]
    assert report.flags[0].says == "Those who do well in the rest get this one wrong: look at the key."


def test_a_key_that_is_half_of_what_it_should_be_is_found_whatever_was_drawn() -> None:
    answers = []
    for place, answer in enumerate(club(3, 60)):
        key = 5.0 + place
        typed = 2 * key if answer.share else 0.3 * key * (place % 7)
        ask = AskAnswer(ask="v_tap", share=0.0, wrong=typed, key=key, slip="twice" if answer.share else "")
        answers.append(replace(answer, share=0.0, asks=(ask,)))
    report = analyse_template(answers)
    assert [flag.says for flag in report.flags] == [
        "Nobody gets it right: look at the key first.",
        "Most wrong answers are one value: the key or the wording may be at fault.",
    ]
    assert report.flags[1].ask == "v_tap"
    (ask_report,) = report.asks
    assert ask_report.commonest is not None
    assert ask_report.commonest.what == pytest.approx(2)
    assert ask_report.wrong == 60
    assert report.difficulty is None


def test_a_slip_that_most_make_is_named_and_belongs_to_its_ask() -> None:
    answers = []
    for place, answer in enumerate(club(4, 60)):
        key = 5.0 + place
        second = AskAnswer(ask="i_load", share=0.0, wrong=key * (2 + place), key=key, slip="load-forgotten")
        fine = AskAnswer(ask="i_load", share=1.0, key=key)
        answers.append(replace(answer, asks=(*answer.asks, second if place % 2 else fine)))
    report = analyse_template(answers)
    assert [(flag.about, flag.ask) for flag in report.flags] == [(About.ONE_SLIP, "i_load")]
    assert report.flags[0].says == "Most wrong answers are one slip (load forgotten): the wording may invite it."
    assert [ask.ask for ask in report.asks] == ["v_tap", "i_load"]
    assert report.asks[1].slips == (("load-forgotten", 0.5),)
    assert report.asks[0].slips == ()


def test_only_the_first_answer_of_a_member_counts() -> None:
    first = TemplateAnswer(member=1, share=0.0, seconds=100)
    later = TemplateAnswer(member=1, share=1.0, seconds=5)
    other = TemplateAnswer(member=2, share=1.0, seconds=40)
    assert first_of_each([first, later, other]) == (first, other)
    report = analyse_template([first, later, other, later])
    assert report.facility is not None
    assert report.facility.value == 0.5
    assert (report.learners, report.answers, report.median_seconds) == (2, 4, 70)


def test_a_wrong_key_is_said_before_twenty_members_have_met_it() -> None:
    def answer(member: int, wrong: float | None) -> TemplateAnswer:
        share = float(wrong is None)
        return TemplateAnswer(
            member=member, share=share, asks=(AskAnswer(ask="v_tap", share=share, wrong=wrong, key=10.0),)
        )

    six = [answer(member, 20.0) for member in range(6)]
    assert abouts(analyse_template([*six, answer(6, None), answer(7, 3.0)])) == [About.TOO_FEW, About.ONE_VALUE]
    assert abouts(analyse_template([*six[:4], answer(6, None)])) == [About.TOO_FEW]


def test_discrimination_rests_on_those_who_were_met_elsewhere() -> None:
    answers = [replace(a, elsewhere=a.elsewhere if a.member < 19 else None) for a in club(8, 60)]
    report = analyse_template(answers)
    assert (report.item_rest, report.upper_lower) == (None, None)
    assert report.difficulty is not None


def test_one_member_who_tries_a_hundred_times_is_one_learner() -> None:
    answers = [TemplateAnswer(member=1, share=0.0, elsewhere=0.5, ability=0.0, driver=float(k)) for k in range(100)]
    report = analyse_template(answers)
    assert abouts(report) == [About.TOO_FEW]
    assert (report.item_rest, report.upper_lower, report.difficulty) == (None, None, None)


def test_numbers_that_decide_the_difficulty_are_found() -> None:
    answers = [replace(a, driver=a.share + place / 1000) for place, a in enumerate(club(5, 100))]
    assert About.DRAWN_VALUES in abouts(analyse_template(answers))


def test_everybody_right_is_said_and_divides_nothing_by_nought() -> None:
    report = analyse_template([replace(a, share=1.0, asks=()) for a in club(6, 40)])
    assert [flag.says for flag in report.flags] == ["Everybody gets it right: it no longer tells anything."]
    assert (report.item_rest, report.difficulty, report.upper_lower) == (None, None, pytest.approx(0))


def test_a_template_that_nobody_met() -> None:
    report = analyse_template([])
    assert abouts(report) == [About.TOO_FEW]
    assert (report.facility, report.median_seconds, report.asks, report.quartiles) == (None, None, (), ())


def test_times_that_cannot_be_true_are_left_out() -> None:
    taken: list[float | None] = [None, -3600.0, 0.0, math.nan, math.inf, 60.0, 80.0]
    report = analyse_template([TemplateAnswer(member=k, share=1.0, seconds=t) for k, t in enumerate(taken)])
    assert report.median_seconds == 70


@pytest.mark.parametrize("share", [-0.1, 1.5, math.nan])
def test_what_is_no_share_is_refused(share: float) -> None:
    with pytest.raises(ResponsesError, match="wanted a share of the marks from 0 to 1"):
        TemplateAnswer(member=1, share=share)
    with pytest.raises(ResponsesError):
        TemplateAnswer(member=1, share=1.0, elsewhere=share)
    with pytest.raises(ResponsesError):
        TemplateAnswer(member=1, share=1.0, asks=(AskAnswer(ask="v", share=share),))


numbers = st.one_of(st.none(), st.floats())
records = st.builds(
    TemplateAnswer,
    member=st.integers(0, 40),
    share=st.floats(0, 1),
    asks=st.lists(
        st.builds(
            AskAnswer,
            ask=st.sampled_from(["a", "b"]),
            share=st.floats(0, 1),
            wrong=st.one_of(numbers, st.text(max_size=2)),
            key=st.one_of(numbers, st.text(max_size=2)),
            slip=st.sampled_from(["", "sign", "peak-for-rms"]),
        ),
        max_size=3,
    ).map(tuple),
    elsewhere=st.one_of(st.none(), st.floats(0, 1)),
    ability=numbers,
    seconds=numbers,
    driver=numbers,
)


@given(st.lists(records, max_size=60))
def test_any_records_give_a_report(answers: list[TemplateAnswer]) -> None:
    report = analyse_template(answers)
    figures = [report.item_rest, report.upper_lower, report.median_seconds]
    figures += [report.difficulty.value, report.difficulty.error] if report.difficulty else []
    assert all(figure is None or math.isfinite(figure) for figure in figures)
    assert (report.learners < 20) == (About.TOO_FEW in abouts(report))


def test_a_hundred_thousand_answers_are_analysed_while_one_waits() -> None:
    base = club(7, 1000)
    answers = [replace(answer, member=answer.member + 1000 * k) for k in range(100) for answer in base]
    begun = time.perf_counter()
    report = analyse_template(answers)
    assert time.perf_counter() - begun < 20
    assert report.learners == 100_000


def test_a_whole_test_is_reported_with_reliability_band_and_difficulties() -> None:
    true = [-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5]
    answers = simulated(1, 500, true, spread=1.5)
    report = analyse_test(answers, [f"question-{k}" for k in range(7)], seconds=[600.0, None, -5.0, 900.0])
    assert report.figures.alpha == pytest.approx(kr20(answers))
    assert report.median_seconds == 750
    fit = conditional(answers)
    assert fit is not None
    for item, b, error in zip(report.items, fit.difficulties, fit.errors, strict=True):
        assert item.difficulty is not None
        assert (item.difficulty.value, item.difficulty.error) == (b, error)
        assert item.flags == ()
    assert [item.name for item in report.items][:2] == ["question-0", "question-1"]
    band = report.band(4)
    assert band is not None
    assert report.half_band is not None
    assert band == pytest.approx((4 - report.half_band, min(4 + report.half_band, 7)))


def test_a_question_keyed_the_wrong_way_round_stands_out_in_its_test() -> None:
    answers = [[*row[:4], 1 - int(row[4] or 0)] for row in simulated(2, 200, [-1.0, -0.5, 0.0, 0.5, 0.0], spread=1.5)]
    report = analyse_test(answers)
    assert [[flag.about for flag in item.flags] for item in report.items] == [[], [], [], [], [About.KEY]]
    assert report.figures.alpha is not None
    assert report.items[4].alpha_if_deleted is not None
    assert report.items[4].alpha_if_deleted > report.figures.alpha + 0.2


def test_part_marks_count_as_right_for_a_difficulty_only_in_full() -> None:
    answers = simulated(3, 100, [-0.5, 0.0, 0.5])
    part = [[0.5 if x == 0 else x for x in row] for row in answers]
    assert [i.difficulty for i in analyse_test(part).items] == [i.difficulty for i in analyse_test(answers).items]


def test_a_question_met_by_few_says_so_itself() -> None:
    answers = [[*row, 1 if place < 5 else None] for place, row in enumerate(simulated(4, 60, [-0.5, 0.0, 0.5]))]
    report = analyse_test(answers)
    assert [flag.about for flag in report.items[3].flags] == [About.TOO_FEW]
    assert [flag.says for flag in report.flags] == [
        "Too few members had the same questions: nothing can be said of the total yet."
    ]
    assert report.items[0].difficulty is not None


def test_few_members_get_facilities_and_one_flag() -> None:
    report = analyse_test(simulated(5, 19, [-0.5, 0.0, 0.5]))
    assert [flag.says for flag in report.flags] == ["Too few answers yet."]
    assert (report.figures.alpha, report.half_band, report.band(2)) == (None, None, None)
    for item in report.items:
        assert item.figures.facility is not None
        assert (item.difficulty, item.flags) == (None, ())


@pytest.mark.parametrize("answers", [[], [[]], [[None, None]], [[1]], [[1, 1]] * 50, [[0]] * 50], ids=str)
def test_tests_that_say_nothing_are_reported_all_the_same(answers: Matrix) -> None:
    report = analyse_test(answers)
    assert report.figures.alpha is None
    assert all(item.difficulty is None for item in report.items)


def test_names_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ResponsesError) as caught:
        analyse_test([[1, 0]], ["one"])
    assert str(caught.value) == "answers: found '1 names'; wanted 2, one per question"


def test_a_very_long_test_gets_no_difficulties() -> None:
    report = analyse_test(simulated(6, 25, [0.0] * 101))
    assert all(item.difficulty is None for item in report.items)
    assert report.figures.alpha is not None


@given(matrices(PART_MARKS, members=(0, 30), questions=(0, 4)))
def test_any_matrix_gives_a_report(answers: Matrix) -> None:
    report = analyse_test(answers)
    assert len(report.items) == (len(answers[0]) if answers else 0)
    for item in report.items:
        assert item.difficulty is None or math.isfinite(item.difficulty.value)
