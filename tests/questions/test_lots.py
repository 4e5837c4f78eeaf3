from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.questions.lots import (
    LARGEST_SERIAL,
    key_of,
    lot,
    lot_array,
    mix,
    mix_array,
    pick,
    pick_array,
)

GOLDEN = 0x9E3779B97F4A7C15
SERIALS = st.integers(0, LARGEST_SERIAL)
NUMBERS = st.integers(0, 2**64 - 1)

# Source: S. Vigna, splitmix64.c (public domain, prng.di.unimi.it) with state 1234567; the same five numbers stand as
# the test values of "Pseudo-random numbers/Splitmix64" at rosettacode.org.
FIRST_OUTPUTS = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)


def test_the_mixing_is_that_of_splitmix64() -> None:
    states = [(1234567 + step * GOLDEN) % 2**64 for step in range(5)]
    assert tuple(mix(state) for state in states) == FIRST_OUTPUTS
    assert tuple(int(out) for out in mix_array(np.array(states, dtype=np.uint64))) == FIRST_OUTPUTS


@given(st.lists(NUMBERS, min_size=1, max_size=20))
def test_one_number_is_mixed_as_an_array_of_them(numbers: list[int]) -> None:
    assert [int(out) for out in mix_array(np.array(numbers, dtype=np.uint64))] == [mix(number) for number in numbers]


@given(NUMBERS, st.lists(SERIALS, min_size=1, max_size=20), st.integers(0, 199))
def test_one_serial_draws_as_an_array_of_them(key: int, serials: list[int], attempt: int) -> None:
    drawn = lot_array(key, np.array(serials, dtype=np.uint64), attempt)
    assert [int(one) for one in drawn] == [lot(key, serial, attempt) for serial in serials]


@given(NUMBERS, st.integers(1, 100_000))
def test_a_pick_lies_below_the_count(drawn: int, count: int) -> None:
    assert 0 <= pick(drawn, count) < count
    assert int(pick_array(np.array([drawn], dtype=np.uint64), count)[0]) == pick(drawn, count)


@pytest.mark.parametrize("count", [2, 3, 7, 12, 100])
def test_serials_in_a_row_draw_evenly(count: int) -> None:
    draws = 60_000
    drawn = pick_array(lot_array(key_of("release", "R1"), np.arange(draws, dtype=np.uint64), 0), count)
    seen = np.bincount(drawn.astype(np.int64), minlength=count)
    expected = draws / count
    # Chi-squared with count − 1 degrees of freedom: mean count − 1, standard deviation √(2(count − 1)).
    chi_squared = float(((seen - expected) ** 2 / expected).sum())
    assert abs(chi_squared - (count - 1)) < 4 * (2 * (count - 1)) ** 0.5


def test_names_draw_apart_from_each_other() -> None:
    serials = np.arange(20_000, dtype=np.uint64)
    pairs = Counter(
        zip(
            pick_array(lot_array(key_of("release", "R1"), serials, 0), 4).tolist(),
            pick_array(lot_array(key_of("release", "R2"), serials, 0), 4).tolist(),
            strict=True,
        )
    )
    assert len(pairs) == 16
    assert max(abs(count - 1250) for count in pairs.values()) < 150


@pytest.mark.parametrize(
    "other", [("releasf", "R1", 7, 0), ("release", "R2", 7, 0), ("release", "R1", 8, 0), ("release", "R1", 7, 1)]
)
def test_release_name_serial_and_try_each_count(other: tuple[str, str, int, int]) -> None:
    release, name, serial, attempt = other
    assert lot(key_of(release, name), serial, attempt) != lot(key_of("release", "R1"), 7, 0)


def test_lots_are_the_same_for_ever() -> None:
    # Pinned: every question ever issued is brought back by these numbers.
    key = key_of("0123456789ab", "R1")
    assert key == 1818350328620373891
    assert lot(key, 7, 0) == 15794970455004768843
    assert lot(key, LARGEST_SERIAL, 199) == 9296036174453845483
    assert pick(lot(key, 7, 0), 12) == 10
