"""Facility and discrimination: worked by hand, against a second opinion, and laws."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.learning.item_analysis.strategies import PART_MARKS, RIGHT_OR_WRONG, WITH_GAPS, matrices
from tutor.learning.item_analysis.classical import (
    ENOUGH,
    describe_items,
    facility,
    item_rest_correlations,
    item_total_correlations,
    upper_lower,
    upper_lower_discriminations,
    wilson_interval,
)
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.responses import Matrix


@pytest.mark.parametrize(
    ("right", "answered", "low", "high"),
    # R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (from memory).
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0000, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_interval_is_that_of_newcombes_table(right: int, answered: int, low: float, high: float) -> None:
    assert wilson_interval(right, answered) == pytest.approx((low, high), abs=5e-5)


@given(st.integers(1, 10_000), st.floats(0, 1), st.sampled_from([0.5, 0.8, 0.95, 0.999]))
def test_wilsons_interval_holds_the_facility_and_stays_between_0_and_1(n: int, p: float, certainty: float) -> None:
    interval = wilson_interval(p * n, n, certainty)
    assert interval is not None
    low, high = interval
    assert 0 <= low <= min(p * n / n, 1.0) <= high <= 1
    assert low < high
    assert (p > 0) <= (low > 0) or p < 1e-9


@given(st.integers(0, 50), st.integers(1, 50))
def test_wilsons_interval_is_the_same_seen_from_the_wrong_answers(right: int, more: int) -> None:
    n = right + more
    interval, mirrored = wilson_interval(right, n), wilson_interval(n - right, n)
    assert interval is not None
    assert mirrored is not None
    assert interval == pytest.approx((1 - mirrored[1], 1 - mirrored[0]), abs=1e-12)


def test_the_interval_solves_wilsons_equation() -> None:
    # The ends are where |p − π| is z standard errors of π, not of p.
    interval = wilson_interval(7, 25, 0.95)
    assert interval is not None
    for end in interval:
        assert abs(7 / 25 - end) == pytest.approx(1.959964 * math.sqrt(end * (1 - end) / 25), rel=1e-6)


def test_facility_counts_those_who_answered() -> None:
    found = facility([1, None, 0.5, 0, None])
    assert found is not None
    assert (found.value, found.answered) == (0.5, 3)
    assert facility([]) is None
    assert facility([None, None]) is None


def test_a_facility_of_no_share_is_refused() -> None:
    with pytest.raises(ResponsesError):
        facility([1, 2])


def test_the_tails_take_exactly_their_share_with_ties_in_part() -> None:
    # Ten members: the tail of 27 % weighs 2.7. Upper: scores 9, 8 whole, then 0.7 of the one at 7.
    scores = [9, 8, 7, 6, 5, 4, 3, 2, 1, 0]
    shares = [1, 1, 0, 1, 0, 1, 0, 1, 0, 0]
    # Lower: 0 and 1 whole, then 0.7 of the one at 2, who was right.
    assert upper_lower(shares, scores) == pytest.approx((2.0 - 0.7) / 2.7)
    # All at 7 tie for the last 0.7 of the upper group: half of these were right.
    ties = [9, 8, 7, 7, 5, 4, 3, 2, 1, 0]
    assert upper_lower(shares, ties) == pytest.approx((2 + 0.7 * 0.5 - 0.7) / 2.7)


def test_five_questions_are_nearly_all_ties_and_still_order() -> None:
    scores = [1] * 50 + [2] * 50
    assert upper_lower([0] * 50 + [1] * 50, scores) == pytest.approx(1.0)
    assert upper_lower([1] * 50 + [0] * 50, scores) == pytest.approx(-1.0)
    assert upper_lower([1, 0] * 50, [1] * 100) is None


def test_half_and_half_is_the_difference_of_the_means() -> None:
    assert upper_lower([1, 0, 0, 1], [4, 3, 2, 1], tail=0.5) == pytest.approx(0.0)
    assert upper_lower([1, 1, 0, 1], [4, 3, 2, 1], tail=0.5) == pytest.approx(0.5)


@given(matrices(RIGHT_OR_WRONG, members=(2, 15), questions=(2, 6)))
def test_correlations_agree_with_numpy_on_whole_rows(answers: Matrix) -> None:
    table = np.array(answers, dtype=float)
    total = table.sum(axis=1)
    for place, (with_total, with_rest) in enumerate(
        zip(item_total_correlations(answers), item_rest_correlations(answers), strict=True)
    ):
        item = table[:, place]
        for found, other in ((with_total, total), (with_rest, total - item)):
            if np.ptp(item) == 0 or np.ptp(other) == 0:
                assert found is None
            else:
                assert found == pytest.approx(np.corrcoef(item, other)[0, 1], abs=1e-12)


def test_with_gaps_members_are_ordered_by_what_they_answered() -> None:
    answers = [[1, 1, None], [0, 0, 1], [1, None, 1], [0, 0, None], [None, 1, 1]]
    # Question 1 is met by the first four, whose mean shares of the other questions are 1, .5, 1, 0.
    expected = np.corrcoef([1, 0, 1, 0], [1, 0.5, 1, 0])[0, 1]
    assert item_rest_correlations(answers)[0] == pytest.approx(expected)


@given(matrices(PART_MARKS))
def test_every_figure_is_in_its_range_or_none(answers: Matrix) -> None:
    k = len(answers[0]) if answers else 0
    for figures in (item_total_correlations(answers), item_rest_correlations(answers)):
        assert len(figures) == k
        assert all(figure is None or -1 <= figure <= 1 for figure in figures)
    assert all(d is None or -1 - 1e-12 <= d <= 1 + 1e-12 for d in upper_lower_discriminations(answers))
    for item in describe_items(answers):
        assert item.too_few
        assert item.item_rest is None
        assert item.facility is None or item.facility.low <= item.facility.value <= item.facility.high


@given(matrices(WITH_GAPS, members=(1, 12), questions=(1, 5)), st.randoms(use_true_random=False))
def test_the_order_of_members_and_questions_does_not_matter(answers: Matrix, lots: random.Random) -> None:
    members, questions = list(range(len(answers))), list(range(len(answers[0])))
    lots.shuffle(members)
    lots.shuffle(questions)
    turned = [[answers[m][q] for q in questions] for m in members]
    for figure in (item_total_correlations, item_rest_correlations, upper_lower_discriminations):
        plain = figure(answers)
        for place, found in enumerate(figure(turned)):
            expected = plain[questions[place]]
            assert found == (None if expected is None else pytest.approx(expected, abs=1e-9))


def test_an_item_that_everybody_got_right_has_a_facility_and_no_discrimination() -> None:
    answers = [[1, place % 2, place % 3 == 0] for place in range(40)]
    item = describe_items(answers)[0]
    assert item.facility is not None
    assert item.facility.value == 1
    assert item.facility.high == 1
    assert item.facility.low == pytest.approx(40 / (40 + 1.959964**2))
    assert (item.item_total, item.item_rest, item.too_few) == (None, None, False)
    assert item.upper_lower == 0


@pytest.mark.parametrize("members", [ENOUGH - 1, ENOUGH])
def test_discrimination_is_told_from_twenty_learners(members: int) -> None:
    answers = [[place % 2, place % 2, place % 3 > 0] for place in range(members)]
    for item in describe_items(answers):
        assert item.facility is not None
        assert item.too_few == (members < ENOUGH)
        for figure in (item.item_total, item.item_rest, item.upper_lower):
            assert (figure is None) == (members < ENOUGH)


def test_one_question_alone_has_no_rest() -> None:
    answers = [[place % 2] for place in range(30)]
    assert item_rest_correlations(answers) == (None,)
    assert describe_items(answers)[0].item_rest is None


def test_nobody_and_nothing() -> None:
    assert describe_items([]) == ()
    assert describe_items([[], []]) == ()
    assert item_total_correlations([[1, 0]]) == (None, None)
    (item,) = describe_items([[None]])
    assert item.facility is None
