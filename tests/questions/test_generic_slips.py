from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import DECIBEL, DEGREE, OHM, RATIO, VOLT, Tolerance, Unit
from tutor.questions.generic_slips import GENERIC_SLIPS, generic_slip, thousands_off

TWO = Tolerance(relative=0.02)


def named(key: float, value: float, unit: Unit, tolerance: Tolerance = TWO) -> str | None:
    found = generic_slip(key, value, unit, tolerance)
    return None if found is None else found.name


@pytest.mark.parametrize(
    ("unit", "value", "name"),
    [
        (VOLT, -50.0, "sign"), (VOLT, 50e3, "thousand-large"), (VOLT, 0.05, "thousand-small"), (VOLT, 5e7, "million-large"),
        (VOLT, 5e-5, "million-small"), (VOLT, 314.16, "two-pi-missing"), (VOLT, 7.9577, "two-pi-extra"),
        (VOLT, 70.71, "peak-for-rms"), (VOLT, 35.36, "rms-for-peak"), (VOLT, 100.0, "twice"), (VOLT, 25.0, "half"),
        (RATIO, 0.02, "upside-down"), (RATIO, 2500.0, "squared"), (RATIO, 7.071, "root"), (RATIO, 5000.0, "per-cent"),
        (RATIO, 0.5, "per-cent-twice"), (DEGREE, 0.8727, "radians"), (DECIBEL, 25.0, "ten-log"), (DECIBEL, 100.0, "twenty-log"),
        (DECIBEL, -50.0, "sign"), (DEGREE, -50.0, "sign"),
        # of other kinds of units they are no slips at all
        (VOLT, 0.02, None), (VOLT, 2500.0, None), (DECIBEL, 70.71, None), (DEGREE, 100.0, None), (DECIBEL, 50e3, None),
        (OHM, 0.8727, None), (VOLT, 60.0, None), (VOLT, math.inf, None), (VOLT, math.nan, None), (VOLT, 0.0, None),
    ],
)  # fmt: skip
def test_what_anybody_may_do_wrong_is_named(unit: Unit, value: float, name: str | None) -> None:
    tolerance = Tolerance(absolute=0.2, kind=unit) if unit.kind == "dB" else TWO
    assert named(50.0, value, unit, tolerance) == name


def test_every_generic_slip_is_named_somewhere() -> None:
    seen = {
        named(50.0, slip.wrong(50.0), unit)
        for slip in GENERIC_SLIPS
        for unit in (VOLT, RATIO, DECIBEL, DEGREE)
        if slip.fits(unit)
    }
    assert seen >= {slip.name for slip in GENERIC_SLIPS}


def test_what_could_be_either_of_two_slips_is_not_named() -> None:
    assert named(2.0, 4.0, RATIO) is None  # twice, or squared
    assert named(0.5, 0.25, RATIO) is None  # half, or squared
    assert named(1e4, 100.0, RATIO) is None  # per cent twice, or the root


def test_a_slip_that_could_be_rounding_is_passed_over() -> None:
    assert named(1.0, 1.01, RATIO) is None
    wide = Tolerance(relative=0.3)
    assert named(50.0, 66.0, VOLT, wide) is None


def test_of_nothing_there_are_no_slips() -> None:
    assert named(0.0, 5.0, VOLT, Tolerance(absolute=0.1, kind=VOLT)) is None


@given(st.floats(1e-9, 1e9), st.floats(-1e12, 1e12), st.sampled_from([VOLT, RATIO, DECIBEL, DEGREE]))
def test_a_named_slip_gives_the_value_and_is_told_from_the_key(key: float, value: float, unit: Unit) -> None:
    found = generic_slip(key, value, unit, TWO)
    if found is not None:
        assert TWO.accepts(found.wrong(key), value)
        assert not TWO.accepts(key, value)


@pytest.mark.parametrize(
    ("value", "off"),
    [
        (68.2, 0),
        (68.2e3, 1),
        (69.0e-3, -1),
        (68.2e6, 2),
        (68.2e-9, -3),
        (68.2e12, 4),
        (68.2e15, 0),
        (682.0, 0),
        (-68.2e3, 0),
    ],
)
def test_thousands_are_counted(value: float, off: int) -> None:
    assert thousands_off(68.2, value, TWO) == off


def test_no_sentence_of_a_slip_runs_on() -> None:
    for slip in GENERIC_SLIPS:
        assert slip.says.endswith(".")
        assert len(slip.says.split()) <= 35
