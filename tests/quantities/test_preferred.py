import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities.errors import PreferredValueError, SeriesError
from tutor.quantities.preferred import (
    SERIES,
    is_preferred,
    nearest,
    neighbours,
    round_down,
    round_up,
    usual_tolerance,
    values_between,
)

sizes = st.floats(1e-12, 1e9)
names = st.sampled_from(list(SERIES))


def test_values_between_two_bounds_include_both() -> None:
    assert values_between("E12", 47e3, 470e3) == (
        47e3, 56e3, 68e3, 82e3, 100e3, 120e3, 150e3, 180e3, 220e3, 270e3, 330e3, 390e3, 470e3,
    )  # fmt: skip
    assert values_between("E6", 1e-9, 1e-8) == (1e-9, 1.5e-9, 2.2e-9, 3.3e-9, 4.7e-9, 6.8e-9, 1e-8)
    assert values_between("E12", 4.8, 5.5) == ()
    assert values_between("E12", 10.0, 1.0) == ()


def test_values_are_exact_decimals() -> None:
    assert values_between("E24", 2e-6, 3e-6) == (2e-6, 2.2e-6, 2.4e-6, 2.7e-6, 3e-6)
    assert nearest("E12", 47_012.3) == 47000.0


def test_a_bound_that_arithmetic_missed_by_a_bit_still_counts() -> None:
    assert 0.33 in values_between("E12", 0.1, 0.1 * 3.3)
    assert round_up("E12", math.nextafter(4700.0, math.inf)) == 4700.0
    assert round_down("E12", math.nextafter(4700.0, 0.0)) == 4700.0


def test_nearest_is_by_ratio_and_not_by_difference() -> None:
    # Between 10 and 15 the geometric middle is 12.247, the arithmetic one 12.5.
    assert nearest("E6", 12.3) == 15.0
    assert nearest("E6", 12.2) == 10.0
    assert nearest("E12", 1234.0) == 1200.0
    assert nearest("E24", 9.6) == 10.0


@pytest.mark.parametrize("series", SERIES)
def test_no_value_is_equally_near_two_of_a_series(series: str) -> None:
    values = (*SERIES[series], SERIES[series][0] * 10)
    for below, above in pairwise(values):
        assert math.isqrt(below * above) ** 2 != below * above


def test_rounding_up_and_down_keep_to_their_side() -> None:
    assert (round_down("E12", 5000.0), round_up("E12", 5000.0)) == (4700.0, 5600.0)
    assert (round_down("E12", 4700.0), round_up("E12", 4700.0)) == (4700.0, 4700.0)
    assert (round_down("E12", 9.5), round_up("E12", 9.5)) == (8.2, 10.0)


def test_neighbours_leave_the_value_itself_out() -> None:
    assert neighbours("E12", 4700.0) == (3900.0, 5600.0)
    assert neighbours("E12", 10.0) == (8.2, 12.0)
    assert neighbours("E12", 5000.0) == (4700.0, 5600.0)


def test_membership_is_known() -> None:
    assert is_preferred("E12", 4700.0)
    assert is_preferred("E12", 4.7e-12)
    assert not is_preferred("E12", 5100.0)
    assert is_preferred("E24", 5100.0)


def test_the_usual_tolerance_is_a_ratio() -> None:
    assert [usual_tolerance(name) for name in ("E6", "E12", "E24", "E48", "E96")] == [
        0.2,
        0.1,
        0.05,
        0.02,
        0.01,
    ]


@pytest.mark.parametrize(
    ("series", "near"),
    [("E13", "E12"), ("E 24", "E24"), ("e95", "E96"), ("twelve", "E12"), ("E1000", "E192")],
)
def test_an_unknown_series_is_named_with_the_known_and_a_near_one(series: str, near: str) -> None:
    with pytest.raises(SeriesError) as caught:
        nearest(series, 1.0)
    assert str(caught.value) == (f"found {series!r}; known are E3, E6, E12, E24, E48, E96, E192; did you mean {near}?")
    assert (caught.value.series, caught.value.near) == (series, near)
    assert caught.value.known == tuple(SERIES)
    with pytest.raises(SeriesError):
        values_between(series, 1.0, 2.0)
    with pytest.raises(SeriesError):
        usual_tolerance(series)


@pytest.mark.parametrize("value", [0.0, -4700.0, math.nan, math.inf, 1e-300, 1e300])
def test_what_no_part_can_be_has_no_preferred_value(value: float) -> None:
    for ask in (nearest, round_up, round_down, neighbours, is_preferred):
        with pytest.raises(PreferredValueError) as caught:
            ask("E12", value)
        assert str(caught.value) == (
            f"no preferred value for {value!r}: it must be positive and of a size that parts have"
        )
    with pytest.raises(PreferredValueError):
        values_between("E12", value, 1.0)
    with pytest.raises(PreferredValueError):
        values_between("E12", 1.0, value)


@given(names, sizes)
def test_a_value_lies_between_its_roundings_and_nearest_is_one_of_them(series: str, value: float) -> None:
    below, above = round_down(series, value), round_up(series, value)
    assert below * (1 - 1e-8) <= value <= above * (1 + 1e-8)
    close = nearest(series, value)
    assert close in (below, above)
    assert abs(math.log(close / value)) <= min(abs(math.log(below / value)), abs(math.log(above / value))) + 1e-12
    assert is_preferred(series, close)


@given(names, sizes, st.integers(-3, 3))
def test_series_repeat_in_every_decade(series: str, value: float, decades: int) -> None:
    assert nearest(series, value) * 10.0**decades == pytest.approx(nearest(series, value * 10.0**decades), rel=1e-9)


@given(names, sizes)
def test_neighbours_are_next_to_each_other(series: str, value: float) -> None:
    below, above = neighbours(series, value)
    between = [each for each in values_between(series, below, above) if each not in (below, above)]
    assert len(between) <= 1
    assert all(math.isclose(each, value, rel_tol=1e-8) for each in between)
