from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.questions.values import MOST_VALUES, even_steps


def test_an_even_range_goes_from_its_first_to_its_last_value() -> None:
    assert even_steps(Decimal("0.1"), Decimal("0.7"), Decimal("0.2")) == (0.1, 0.3, 0.5, 0.7)
    assert even_steps(Decimal("-3"), Decimal("-3"), Decimal("1")) == (-3.0,)


@pytest.mark.parametrize(
    ("low", "high", "step", "message"),
    [
        ("1", "2", "0", "the step must be more than nothing"),
        ("1", "2", "-1", "the step must be more than nothing"),
        ("2", "1", "1", "`to` lies below `from`; exchange them"),
        ("1", "2", "0.3", "the steps do not end at `to`; change `to` or the step"),
        ("0", "1", "0.00001", f"it makes more than {MOST_VALUES} values; take a larger step"),
    ],
)
def test_a_range_that_is_none_says_why(low: str, high: str, step: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        even_steps(Decimal(low), Decimal(high), Decimal(step))


@given(st.integers(-1000, 1000), st.integers(1, 50), st.integers(0, 200), st.integers(0, 3))
def test_every_value_of_a_range_is_the_float_of_its_decimal(first: int, step: int, count: int, places: int) -> None:
    scale = Decimal(1).scaleb(-places)
    low, width = first * scale, step * scale
    values = even_steps(low, low + count * width, width)
    assert values == tuple(float(str(low + index * width)) for index in range(count + 1))
