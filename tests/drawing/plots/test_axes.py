"""What axes run over, and that their lines can be counted."""

from __future__ import annotations

import itertools
import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.drawing.plots import Axis, PlotError, date_axis, linear_axis, log_axis, small_division
from tutor.drawing.plots.days import written_date
from tutor.drawing.plots.scales import SMALLEST_GAP
from tutor.quantities import AMPERE, DEGREE, HERTZ, VOLT

values = st.lists(st.floats(-1e6, 1e6).map(lambda v: float(f"{v:.4g}")), min_size=2, max_size=6)


def lines_of(axis: Axis) -> list[float]:
    return sorted({*axis.smalls, *(tick.value for tick in axis.ticks)})


@given(values)
def test_a_linear_axis_holds_its_values_and_its_lines_are_even(found: list[float]) -> None:
    axis = linear_axis(found, name="Anode voltage", unit=VOLT)
    # A value that oversteps a line by less than a millionth of a pixel needs no further division.
    hair = 1e-8 * (axis.high - axis.low)
    assert axis.low - hair <= min(found) <= max(found) <= axis.high + hair
    lines = lines_of(axis)
    gaps = [b - a for a, b in itertools.pairwise(lines)]
    assert all(math.isclose(gap, axis.small, rel_tol=1e-6) for gap in gaps)


@given(values)
def test_small_divisions_are_far_enough_apart_to_be_counted(found: list[float]) -> None:
    axis = linear_axis(found, name="Anode voltage", unit=VOLT)
    assert 290 * axis.small / (axis.high - axis.low) >= SMALLEST_GAP * 0.99


@given(values)
def test_every_step_between_labels_has_as_many_divisions(found: list[float]) -> None:
    axis = linear_axis(found, name="Anode voltage", unit=VOLT)
    marks = [tick.value for tick in axis.ticks]
    counts = {round((b - a) / axis.small) for a, b in itertools.pairwise(marks)}
    assert len(counts) <= 1
    assert counts <= {1, 2, 3, 4, 5, 6, 9, 10, 15, 18}


@given(st.floats(1e-3, 1e6), st.floats(1.1, 1e6))
def test_a_log_axis_holds_its_values(low: float, ratio: float) -> None:
    axis = log_axis([low, low * ratio], name="Frequency", unit=HERTZ)
    assert axis.low <= low * (1 + 1e-9)
    assert axis.high >= low * ratio * (1 - 1e-9)
    assert axis.share(low) + 1e-9 >= 0
    assert math.isclose(axis.value_at(axis.share(low)), low, rel_tol=1e-6)


def test_labels_carry_the_prefix_of_the_trade() -> None:
    axis = linear_axis([0, 4e-3], name="Anode current", symbol="I_a", unit=AMPERE, upright=True)
    assert axis.title == "Anode current I_a (mA)"
    assert [tick.label for tick in axis.ticks][-1] == "4.0"
    assert [tick.label for tick in log_axis([10, 100e3], name="Frequency", unit=HERTZ).ticks] == [
        "10", "100", "1k", "10k", "100k",
    ]  # fmt: skip


def test_degrees_are_divided_as_a_circle_is() -> None:
    axis = linear_axis([-90, 90], name="Phase", unit=DEGREE, upright=True)
    assert {tick.value % 15 for tick in axis.ticks} == {0.0}


def test_a_small_division_is_told_where_a_value_stands() -> None:
    axis = log_axis([10, 1000], name="Frequency", unit=HERTZ)
    assert small_division(axis, 150) == 10 * small_division(axis, 15)
    with pytest.raises(PlotError) as caught:
        small_division(axis, math.nan)
    assert str(caught.value) == "value: found nan; a number would do"


@given(st.dates(date(1950, 1, 1), date(2090, 1, 1)), st.integers(0, 20000))
def test_an_axis_of_dates_holds_them_and_is_labelled(first: date, days: int) -> None:
    last = first + timedelta(days=days)
    axis = date_axis([first, last], name="Date")
    assert axis.low <= first.toordinal() <= last.toordinal() <= axis.high
    assert len(axis.ticks) >= 2


def test_dates_are_written_as_people_write_them() -> None:
    assert written_date(date(2026, 11, 3).toordinal()) == "3\u00a0Nov\u00a02026"


def test_values_that_cannot_be_drawn_are_left_out() -> None:
    axis = linear_axis([math.nan, math.inf, 1.0, 3.0, 1e200], name="Level")
    assert (axis.low, axis.high) == (1.0, 3.0)
    assert log_axis([-1.0, 0.0], name="Level").low == 1.0
