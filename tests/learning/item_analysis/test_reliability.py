"""Reliability: laws, limiting cases, hostile tables."""

from __future__ import annotations

import math
import random
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.learning.item_analysis.strategies import PART_MARKS, RIGHT_OR_WRONG, WITH_GAPS, matrices, simulated
from tutor.learning.item_analysis.classical import ENOUGH
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.reliability import (
    alpha_if_deleted,
    cronbach_alpha,
    describe_reliability,
    half_band,
    kr20,
    kr21,
    rulon,
    score_band,
    spearman_brown,
    split_half,
    standard_error_of_measurement,
    times_as_long,
)
from tutor.learning.item_analysis.responses import Matrix

reliabilities = st.floats(0.01, 0.99)


@given(matrices(WITH_GAPS, members=(0, 15)))
def test_alpha_of_right_and_wrong_is_kr20(answers: Matrix) -> None:
    alpha = cronbach_alpha(answers)
    assert kr20(answers) == (None if alpha is None else pytest.approx(alpha, rel=1e-12, abs=1e-12))


@given(matrices(RIGHT_OR_WRONG, members=(2, 15), questions=(2, 6)))
def test_kr21_is_never_above_kr20(answers: Matrix) -> None:
    # KR-21 is KR-20 with every p replaced by their mean, which makes Σpq as large as it can be.
    totals = [sum(filter(None, row)) for row in answers]
    mean = sum(totals) / len(totals)
    first, second = kr20(answers), kr21(len(answers[0]), mean, statistics.pvariance(totals))
    if first is not None:
        assert second is not None
        assert second <= first + 1e-9


@given(matrices(PART_MARKS, members=(1, 10), questions=(1, 5)), st.randoms(use_true_random=False))
def test_the_order_of_members_and_questions_does_not_matter_to_alpha(answers: Matrix, lots: random.Random) -> None:
    members, questions = list(range(len(answers))), list(range(len(answers[0])))
    lots.shuffle(members)
    lots.shuffle(questions)
    alpha = cronbach_alpha(answers)
    turned = cronbach_alpha([[answers[m][q] for q in questions] for m in members])
    assert turned == (None if alpha is None else pytest.approx(alpha, rel=1e-6))


@given(matrices(st.integers(0, 4), members=(2, 10), questions=(2, 5)), st.integers(2, 9))
def test_alpha_does_not_depend_on_the_unit_of_the_marks(answers: Matrix, unit: int) -> None:
    alpha = cronbach_alpha(answers)
    scaled = cronbach_alpha([[None if x is None else x * unit for x in row] for row in answers])
    assert scaled == (None if alpha is None else pytest.approx(alpha, rel=1e-9, abs=1e-9))


def test_a_question_asked_twice_is_wholly_reliable_and_chance_is_not() -> None:
    assert cronbach_alpha([[x, x, x] for x in (0, 1, 1, 0, 1)]) == pytest.approx(1.0)
    # Two questions that are independent in the table: no covariance, alpha nought.
    assert cronbach_alpha([[0, 0], [0, 1], [1, 0], [1, 1]]) == pytest.approx(0.0, abs=1e-12)
    # And two that exclude each other but for one member: alpha has no floor.
    below = cronbach_alpha([[1, 0], [0, 1], [1, 0], [0, 1], [1, 1]])
    assert below is not None
    assert below < -1


def test_alpha_if_deleted_is_the_alpha_of_the_others() -> None:
    answers = simulated(3, 60, [-1.0, 0.0, 0.3, 1.0])
    for place, found in enumerate(alpha_if_deleted(answers)):
        others = [[*row[:place], *row[place + 1 :]] for row in answers]
        assert found == pytest.approx(cronbach_alpha(others), rel=1e-12)


def test_alpha_if_deleted_leaves_a_question_out_that_nobody_answered() -> None:
    answers = [[*row[:2], None, *row[2:]] for row in simulated(4, 30, [-1.0, 0.0, 1.0])]
    found = alpha_if_deleted(answers)
    assert found[2] is None
    assert None not in (found[0], found[1], found[3])


def test_two_questions_have_no_alpha_without_one() -> None:
    assert alpha_if_deleted([[0, 1], [1, 1], [1, 0]]) == (None, None)


@given(reliabilities, st.floats(0.1, 20))
def test_times_as_long_undoes_spearman_and_brown(reliability: float, times: float) -> None:
    longer = spearman_brown(reliability, times)
    assert longer is not None
    assert 0 < longer < 1
    if longer < 0.999:
        assert times_as_long(reliability, longer) == pytest.approx(times, rel=1e-6)


@given(reliabilities, st.floats(0.1, 5), st.floats(0.1, 5))
def test_lengthening_twice_is_lengthening_once_by_the_product(reliability: float, first: float, then: float) -> None:
    once = spearman_brown(reliability, first)
    assert once is not None
    assert spearman_brown(once, then) == pytest.approx(spearman_brown(reliability, first * then), rel=1e-9)


def test_formulas_without_a_meaning_give_none() -> None:
    assert spearman_brown(-0.5, 3) is None  # below nought
    assert spearman_brown(-1, 2) is None  # divided by nought
    assert spearman_brown(0.5, 0) is None
    assert times_as_long(0, 0.7) is None
    assert times_as_long(-0.2, 0.7) is None
    assert times_as_long(0.5, 1) is None
    assert kr21(1, 0.5, 0.25) is None
    assert kr21(10, 5, 0) is None
    assert kr21(10, 11, 1) is None
    assert kr21(10, 5, math.nan) is None
    assert rulon(1, 0) is None
    assert standard_error_of_measurement(1, -0.1) is None
    assert standard_error_of_measurement(1, 1.1) is None
    assert standard_error_of_measurement(-1, 0.5) is None


def test_halves_that_agree_are_wholly_reliable_by_both_ways() -> None:
    assert rulon(0, 5) == 1
    assert split_half([[x, x, y, y] for x, y in ((0, 0), (0, 1), (1, 1))]) == pytest.approx(1.0)
    assert split_half([[1, 1], [1, 1]]) is None


def test_alpha_is_the_mean_of_all_split_halves() -> None:
    # L. J. Cronbach 1951: alpha is the mean, over all ways to halve a test, of Rulon's coefficient (from memory).
    answers = np.array(simulated(8, 50, [-0.5, 0.0, 0.2, 0.6]), dtype=float)
    total = answers.sum(axis=1)
    found = []
    for other in (1, 2, 3):  # the question that goes with the first
        half = answers[:, [0, other]].sum(axis=1)
        found.append(rulon(float((2 * half - total).std()), float(total.std())))
    assert cronbach_alpha(answers.tolist()) == pytest.approx(sum(filter(None, found)) / 3, rel=1e-12)


def test_the_band_is_1_28_errors_wide_and_stays_within_the_test() -> None:
    assert half_band(1.0) == pytest.approx(1.2816, abs=1e-4)
    assert score_band(3, 1.0, 10) == pytest.approx((3 - 1.2816, 3 + 1.2816), abs=1e-4)
    assert score_band(0.5, 1.0, 10)[0] == 0
    assert score_band(9.5, 1.0, 10)[1] == 10


def test_the_band_holds_the_true_score_of_eight_members_in_ten() -> None:
    difficulties = [-1.5 + 0.1 * place for place in range(31)]
    lots = random.Random(5)
    abilities = [lots.gauss(0, 1) for _ in range(2000)]
    chances = [[1 / (1 + math.exp(b - theta)) for b in difficulties] for theta in abilities]
    answers = [[int(lots.uniform(0, 1) < p) for p in row] for row in chances]
    error = describe_reliability(answers).error
    assert error is not None
    half = half_band(error)
    held = sum(abs(sum(row) - sum(chance)) <= half for row, chance in zip(answers, chances, strict=True))
    # Totals are whole numbers, so the band catches in steps.
    assert held / 2000 == pytest.approx(0.80, abs=0.05)


@pytest.mark.parametrize("members", [ENOUGH - 1, ENOUGH])
def test_reliability_is_told_from_twenty_whole_rows(members: int) -> None:
    answers: list[list[int | None]] = [[1, *(place >> bit & 1 for bit in range(3))] for place in range(members)]
    answers.append([1, None, None, None])
    found = describe_reliability(answers)
    assert (found.members, found.complete, found.items) == (members + 1, members, 4)
    assert found.too_few == (members < ENOUGH)
    assert found.mean is not None
    assert (found.alpha is None) == (members < ENOUGH)
    assert (found.split_half is None) == (members < ENOUGH)


@given(matrices(PART_MARKS))
def test_no_table_divides_by_nought(answers: Matrix) -> None:
    for figure in (cronbach_alpha(answers), split_half(answers), *alpha_if_deleted(answers)):
        assert figure is None or math.isfinite(figure)
        assert figure is None or figure <= 1 + 1e-9
    found = describe_reliability(answers)
    assert found.too_few
    assert found.error is None


@pytest.mark.parametrize(
    "answers",
    [[], [[]], [[], []], [[None]], [[1]], [[1, 1]], [[1], [0]], [[1, 1], [1, 1]], [[0.1, 0.2], [0.3, 0.0]]],
    ids=str,
)
def test_tables_that_say_nothing_have_no_alpha(answers: Matrix) -> None:
    # The last: totals that differ in their last figure only are one total.
    assert cronbach_alpha(answers) is None
    assert split_half(answers) is None
    assert describe_reliability(answers).alpha is None


def test_everybody_right_is_no_reliability_but_a_mean() -> None:
    found = describe_reliability([[1, 1, 1]] * 40)
    assert (found.mean, found.spread, found.alpha, found.error, found.too_few) == (3, 0, None, None, False)


def test_a_negative_alpha_has_no_error_of_measurement() -> None:
    found = describe_reliability([[place % 2, 1 - place % 2, int(place % 5 == 0)] for place in range(40)])
    assert found.alpha is not None
    assert found.alpha < 0
    assert found.error is None


def test_part_marks_have_an_alpha_and_no_kr20() -> None:
    answers = [[0.5, 1], [0, 0], [1, 0.5]]
    assert cronbach_alpha(answers) is not None
    with pytest.raises(ResponsesError):
        kr20(answers)
