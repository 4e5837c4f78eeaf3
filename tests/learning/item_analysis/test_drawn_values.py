"""Facility by quarter of a driver."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis.drawn_values import facility_by_quartile


def test_quarters_hold_a_quarter_each_from_low_to_high() -> None:
    drivers = [float(place) for place in range(40, 0, -1)]
    shares = [1.0 if driver <= 20 else 0.0 for driver in drivers]
    found = facility_by_quartile(drivers, shares)
    assert [(q.low, q.high, q.facility.value, q.facility.answered) for q in found] == [
        (1, 10, 1, 10), (11, 20, 1, 10), (21, 30, 0, 10), (31, 40, 0, 10),
    ]  # fmt: skip


def test_equal_drivers_stay_together() -> None:
    found = facility_by_quartile([1, 1, 1, 1, 1, 1, 2, 3], [1, 1, 1, 0, 0, 0, 1, 0])
    assert [(q.low, q.high, q.facility.answered) for q in found] == [(1, 1, 6), (2, 3, 2)]
    (one,) = facility_by_quartile([5.0] * 9, [1.0] * 9)
    assert one.facility.answered == 9


def test_answers_without_a_driver_are_left_out() -> None:
    assert facility_by_quartile([], []) == ()
    assert facility_by_quartile([None, math.nan, math.inf], [1, 1, 1]) == ()
    (one,) = facility_by_quartile([None, 3.0], [1, 0.5])
    assert (one.low, one.high, one.facility.value) == (3, 3, 0.5)


def test_drivers_and_shares_go_in_pairs() -> None:
    with pytest.raises(ValueError, match="zip"):
        facility_by_quartile([1.0], [])


@given(st.lists(st.tuples(st.one_of(st.none(), st.floats()), st.floats(0, 1)), max_size=40))
def test_every_answer_with_a_driver_is_in_one_quarter(pairs: list[tuple[float | None, float]]) -> None:
    found = facility_by_quartile([driver for driver, _ in pairs], [share for _, share in pairs])
    assert len(found) <= 4
    told = [driver for driver, _ in pairs if driver is not None and math.isfinite(driver)]
    assert sum(quarter.facility.answered for quarter in found) == len(told)
    for before, after in pairwise(found):
        assert before.high < after.low
