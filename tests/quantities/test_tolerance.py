import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import units as u
from tutor.quantities.errors import DimensionError, ToleranceError
from tutor.quantities.tolerance import Tolerance, read_tolerance, rounding_interval
from tutor.quantities.units import Unit

CURE = "write 2 %, 0.2 dB, 0.5 V, exact, or 1 %, at least 0.5 mV"


@pytest.mark.parametrize(
    ("text", "tolerance", "canonical"),
    [
        ("2 %", Tolerance(relative=0.02), "2_%"),
        ("2%", Tolerance(relative=0.02), "2_%"),
        ("±2 %", Tolerance(relative=0.02), "2_%"),
        ("+/- 2 per cent", Tolerance(relative=0.02), "2_%"),
        ("0.5 %", Tolerance(relative=0.005), "0.5_%"),
        ("0.2 dB", Tolerance(absolute=0.2, kind=u.DECIBEL), "0.2_dB"),
        ("3°", Tolerance(absolute=3.0, kind=u.DEGREE), "3°"),
        ("2 V", Tolerance(absolute=2.0, kind=u.VOLT), "2_V"),
        ("0.5 V", Tolerance(absolute=0.5, kind=u.VOLT), "500_mV"),
        (
            "1 %, at least 0.5 mV",
            Tolerance(relative=0.01, absolute=5e-4, kind=u.VOLT),
            "1_%, at least 500_µV",
        ),
        ("1 % at least 2 mV", Tolerance(relative=0.01, absolute=2e-3, kind=u.VOLT), "1_%, at least 2_mV"),
        ("at least 0.05", Tolerance(absolute=0.05), "at least 0.05"),
        ("2 %, at least 0.05", Tolerance(relative=0.02, absolute=0.05), "2_%, at least 0.05"),
        ("at least 2 V", Tolerance(absolute=2.0, kind=u.VOLT), "2_V"),
        ("exact", Tolerance(), "exact"),
        (" Exact ", Tolerance(), "exact"),
    ],
)
def test_a_tolerance_is_read_and_given_back(text: str, tolerance: Tolerance, canonical: str) -> None:
    assert read_tolerance(text) == tolerance
    assert str(tolerance) == canonical.replace("_", "\u00a0")
    assert read_tolerance(str(tolerance)) == tolerance


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("5", "5 has no unit: 5 % is a share of the value, 'at least 5' a band about it"),
        ("±0.5", "0.5 has no unit: 0.5 % is a share of the value, 'at least 0.5' a band about it"),
        ("-2 %", "a tolerance is not negative"),
        ("120 %", "100 % or more would accept nought"),
        ("0.5 V, at least 2 mV", "the part before 'at least' is no per cent"),
        ("2 %, at least", "nothing was typed"),
        ("", "nothing was typed"),
        ("narrow", "expected a number, then a unit"),
        ("2 apples", "'apples' is not a unit known here"),
        ("2 % " + "x" * 100, "it is longer than 100 characters"),
    ],
)
def test_what_is_no_tolerance_is_refused_with_the_cure(text: str, reason: str) -> None:
    with pytest.raises(ToleranceError) as caught:
        read_tolerance(text)
    shown = text if len(text) <= 100 else text[:99] + "…"
    assert str(caught.value) == f"cannot read {shown!r} as a tolerance: {reason}; {CURE}"
    assert (caught.value.text, caught.value.reason, caught.value.cure) == (shown, reason, CURE)


@pytest.mark.parametrize("part", [-0.01, math.inf, math.nan])
def test_a_tolerance_cannot_be_negative_or_endless(part: float) -> None:
    for relative, absolute in ((part, 0.0), (0.0, part)):
        with pytest.raises(ToleranceError) as caught:
            Tolerance(relative=relative, absolute=absolute)
        assert caught.value.reason == "a tolerance is not negative and not infinite"


def test_the_bound_itself_is_right_and_just_outside_is_wrong() -> None:
    tolerance = read_tolerance("5 %")
    assert tolerance.accepts(100.0, 105.0)
    assert tolerance.accepts(100.0, 95.0)
    assert tolerance.accepts(0.1, 0.105)
    assert tolerance.accepts(-0.3, -0.315)
    assert not tolerance.accepts(100.0, 105.0001)
    assert not tolerance.accepts(100.0, 94.9999)


def test_a_per_cent_about_nought_accepts_nought_alone_and_an_absolute_band_more() -> None:
    assert read_tolerance("2 %").accepts(0.0, 0.0)
    assert not read_tolerance("2 %").accepts(0.0, 1e-9)
    assert read_tolerance("2 %, at least 1 mV").accepts(0.0, 1e-3)
    assert not read_tolerance("2 %, at least 1 mV").accepts(0.0, 1.1e-3)


def test_the_larger_part_holds() -> None:
    tolerance = read_tolerance("1 %, at least 0.5 V")
    assert tolerance.half_width(100.0) == 1.0
    assert tolerance.half_width(-100.0) == 1.0
    assert tolerance.half_width(10.0) == 0.5


def test_exact_forgives_the_last_bits_of_arithmetic_and_nothing_else() -> None:
    exact = read_tolerance("exact")
    assert exact.accepts(0.3, 0.1 + 0.2)
    assert not exact.accepts(47000.0, 47000.001)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_accepted(value: float) -> None:
    tolerance = read_tolerance("2 %, at least 1 V")
    assert not tolerance.accepts(1.0, value)
    assert not tolerance.accepts(value, 1.0)
    assert not tolerance.accepts(value, value)


def test_a_scaled_tolerance_has_both_parts_scaled() -> None:
    assert read_tolerance("1 %, at least 0.5 mV").scaled(2.0) == read_tolerance("2 %, at least 1 mV")


def test_a_per_cent_of_decibels_is_refused_with_the_cure() -> None:
    with pytest.raises(DimensionError) as caught:
        read_tolerance("2 %").fit(u.DECIBEL)
    assert str(caught.value) == (
        "a tolerance of 2\u00a0% does not fit level in decibels; a level takes an absolute band, for example 0.2 dB"
    )
    with pytest.raises(DimensionError):
        read_tolerance("2 %, at least 0.2 dB").fit(u.DECIBEL)


def test_an_absolute_band_in_another_unit_is_refused() -> None:
    with pytest.raises(DimensionError) as caught:
        read_tolerance("2 V").fit(u.OHM)
    assert str(caught.value) == ("a tolerance of 2\u00a0V does not fit resistance; write for example 2 % or 0.1\u00a0Ω")
    assert (caught.value.found, caught.value.wanted) == ("a tolerance of 2\u00a0V", "resistance")
    with pytest.raises(DimensionError) as plain:
        read_tolerance("2 V").fit(u.RATIO)
    assert plain.value.cure == "write for example 2 %"
    with pytest.raises(DimensionError):
        read_tolerance("3°").fit(u.RATIO)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("2 %", u.VOLT),
        ("2 %", u.RATIO),
        ("2 V", u.VOLT),
        ("1 %, at least 2 mV", u.VOLT),
        ("0.2 dB", u.DECIBEL),
        ("3°", u.DEGREE),
        ("at least 0.05", u.RATIO),
        ("0.1 W", u.VOLT_AMPERE),
        ("exact", u.DECIBEL),
    ],
)
def test_a_fitting_tolerance_is_given_back(text: str, unit: Unit) -> None:
    tolerance = read_tolerance(text)
    assert tolerance.fit(unit) is tolerance


def test_the_rounding_interval_is_half_a_unit_in_the_last_figure_at_worst() -> None:
    # A number of n figures is at least 1.00…0: half a unit in its last place is 0.5 · 10^(1 − n) of it.
    assert [rounding_interval(figures) for figures in (1, 2, 3, 4)] == [0.5, 0.05, 0.005, 0.0005]
    with pytest.raises(ToleranceError) as caught:
        rounding_interval(0)
    assert caught.value.reason == "a number has at least one figure"


@given(st.floats(1e-9, 1e9), st.sampled_from([-1, 1]), st.floats(1e-4, 0.5), st.floats(-1, 1))
def test_every_value_inside_is_accepted(size: float, sign: int, relative: float, place: float) -> None:
    key = sign * size
    tolerance = Tolerance(relative=relative)
    assert tolerance.accepts(key, key + place * tolerance.half_width(key))
    assert not tolerance.accepts(key, key + (1.000001 + abs(place)) * tolerance.half_width(key))


@given(st.floats(1e-9, 1e9), st.floats(1e-6, 0.4), st.floats(1.0, 2.0), st.floats(-2e9, 2e9))
def test_a_wider_band_accepts_all_that_a_narrower_one_does(
    key: float, relative: float, wider: float, value: float
) -> None:
    tolerance = Tolerance(relative=relative, absolute=relative / 10)
    if tolerance.accepts(key, value):
        assert tolerance.scaled(wider).accepts(key, value)


@given(st.integers(1, 9999), st.integers(0, 9999), st.sampled_from([u.VOLT, u.RATIO, u.DEGREE, u.OHM]))
def test_any_tolerance_is_read_back_from_its_text(share: int, band: int, unit: Unit) -> None:
    tolerance = Tolerance(relative=share / 10_000, absolute=band / 1000, kind=unit if band else u.RATIO)
    assert read_tolerance(str(tolerance)) == tolerance
