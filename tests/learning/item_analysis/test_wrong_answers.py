"""What wrong answers have in common, whatever was drawn."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis.answers import AskAnswer
from tutor.learning.item_analysis.wrong_answers import Common, commonest_wrong, slip_shares


def wrong(value: float | str | None, key: float | str | None = None, slip: str = "") -> AskAnswer:
    return AskAnswer(ask="v_tap", share=0.0, wrong=value, key=key, slip=slip)


RIGHT = AskAnswer(ask="v_tap", share=1.0, key=10.0)


def test_a_key_that_is_wrong_by_a_factor_shows_whatever_was_drawn() -> None:
    keys = [10.0, 23.5, 140.0, 66.0, -8.0]
    answers = [wrong(2.0 * key * off, key) for key, off in zip(keys, (1.0, 1.004, 0.997, 1.0, 1.002), strict=True)]
    found = commonest_wrong([*answers, wrong(3.0, 10.0), RIGHT, RIGHT])
    assert found is not None
    assert found.what == pytest.approx(2.0, rel=0.01)
    assert (found.is_ratio, found.count, found.share) == (True, 5, pytest.approx(5 / 6))


def test_values_apart_by_more_than_the_tolerance_are_not_one() -> None:
    found = commonest_wrong([wrong(1.0, 2.0), wrong(1.03, 2.0), wrong(1.06, 2.0)])
    assert found is not None
    assert found.count == 1
    together = commonest_wrong([wrong(1.0, 2.0), wrong(1.015, 2.0), wrong(1.06, 2.0)])
    assert together is not None
    assert together.count == 2


def test_the_sign_tells_values_apart() -> None:
    found = commonest_wrong([wrong(-10.0, 10.0), wrong(-10.0, 10.0), wrong(10.5, 10.0)])
    assert found == Common(-1.0, True, 2, pytest.approx(2 / 3))


def test_options_are_compared_as_words() -> None:
    answers = [wrong("rises", "falls")] * 3 + [wrong("unchanged", "falls")]
    assert commonest_wrong(answers) == Common("rises", False, 3, 0.75)


def test_where_the_key_is_nought_numbers_are_compared_as_they_are() -> None:
    assert commonest_wrong([wrong(5.0, 0.0), wrong(5.0, 0.0), wrong(7.0, 0)]) == Common(
        5.0, False, 2, pytest.approx(2 / 3)
    )


def test_one_number_given_whatever_was_drawn_is_one_value() -> None:
    answers = [wrong(0.7, key) for key in (3.0, 8.0, 21.0)] + [wrong(16.0, 8.0), wrong(42.0, 21.0)]
    assert commonest_wrong(answers) == Common(0.7, False, 3, 0.6)
    # Where the key never changes, ratio and number are one; the ratio is told.
    same = commonest_wrong([wrong(6.0, 3.0), wrong(6.0, 3.0)])
    assert same == Common(2.0, True, 2, 1.0)
    assert commonest_wrong([wrong(5.0, None)]) == Common(5.0, False, 1, 1.0)


def test_without_wrong_values_there_is_nothing_in_common() -> None:
    assert commonest_wrong([]) is None
    assert commonest_wrong([RIGHT]) is None
    assert commonest_wrong([wrong(None, 10.0, "prefix")]) is None
    assert commonest_wrong([wrong(math.nan, 2.0), wrong(math.inf, 2.0)]) is None


def test_slips_are_shares_of_all_answers_the_most_frequent_first() -> None:
    answers = [RIGHT] * 5 + [wrong(1.0, 2.0, "peak-for-rms")] * 2 + [wrong(5.0, 2.0, "load-forgotten")] * 3
    assert slip_shares(answers) == (("load-forgotten", 0.3), ("peak-for-rms", 0.2))
    assert slip_shares([wrong(1.0, 2.0, "b"), wrong(1.0, 2.0, "a")]) == (("a", 0.5), ("b", 0.5))
    assert slip_shares([]) == ()


anything = st.one_of(st.none(), st.text(max_size=3), st.floats(allow_nan=True, allow_infinity=True))


@given(st.lists(st.builds(wrong, anything, anything, st.sampled_from(["", "sign"])), max_size=30))
def test_whatever_was_typed_shares_stay_shares(answers: list[AskAnswer]) -> None:
    found = commonest_wrong(answers)
    if found is not None:
        assert 1 <= found.count <= len(answers)
        assert 0 < found.share <= 1
        if not isinstance(found.what, str):
            assert math.isfinite(found.what)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=12))
def test_the_most_crowded_stretch_is_the_most_crowded(ratios: list[float]) -> None:
    found = commonest_wrong([wrong(ratio, 1.0) for ratio in ratios])
    assert found is not None
    crowds = [
        sum(low <= other and other - low <= 0.02 * max(abs(other), abs(low)) for other in ratios) for low in ratios
    ]
    assert found.count == max(crowds)
