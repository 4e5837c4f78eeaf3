from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.questions.nearness import how_far


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (1.14, ""), (1.16, "by less than a factor of two"), (1.59, "by less than a factor of two"),
        (1.61, "by a factor of about two"), (2.9, "by a factor of about two"), (3.1, "by a factor of about five"),
        (6.9, "by a factor of about five"), (7.1, "by a factor of about ten"), (14.9, "by a factor of about ten"),
        (29.0, "by a factor of about twenty"), (69.0, "by a factor of about fifty"),
        (149.0, "by a factor of about a hundred"), (690.0, "by a factor of some hundreds"),
        (1490.0, "by a factor of about a thousand"), (9900.0, "by a factor of some thousands"),
    ],
)  # fmt: skip
def test_the_factor_is_told_roughly(factor: float, words: str) -> None:
    assert how_far(100, 100 * factor) == (f"Too high, {words}." if words else "A little too high.")
    assert how_far(100, 100 / factor) == (f"Too low, {words}." if words else "A little too low.")
    assert how_far(-100, -100 * factor).startswith("Too large in size" if words else "A little too large in size")


def test_very_far_is_far() -> None:
    assert how_far(1, 1e5) == "Far too high, by more than ten thousand times."
    assert how_far(1, 1e-5) == "Far too low, by more than ten thousand times."


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        (0, 1, "Too high."),
        (0, -1, "Too low."),
        (5, 0, "Too low."),
        (-5, 0, "Too high."),
        (5, -5, "Too low."),
        (-5, 5, "Too high."),
    ],
)
def test_with_other_signs_only_the_side_is_told(key: float, value: float, says: str) -> None:
    assert how_far(key, value) == says


def test_of_levels_only_the_side_is_told() -> None:
    assert how_far(-12, -24, level=True) == "Too low."
    assert how_far(3, 9, level=True) == "Too high."


@given(st.floats(1e-12, 1e12), st.floats(1e-12, 1e12))
def test_no_figure_is_ever_told(key: float, value: float) -> None:
    assert not re.search("[0-9]", how_far(key, value))


@given(st.floats(1e-3, 1e6))
def test_the_key_cannot_be_found_by_typing_one(key: float) -> None:
    # The same words are said of another key, a tenth away: far beyond any tolerance.
    assert how_far(key, 1.0) in (how_far(key * 1.1, 1.0), how_far(key / 1.1, 1.0))
