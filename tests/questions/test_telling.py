from __future__ import annotations

import pytest

from tutor.quantities import Tolerance
from tutor.questions.telling import slips_that_tell

TWO_PER_CENT = Tolerance(relative=0.02)


@pytest.mark.parametrize(
    ("values", "telling"),
    [
        ([104.0], [True]), ([103.9], [False]), ([96.0], [True]), ([96.1], [False]), ([100.0], [False]), ([None], [False]),
        ([200.0, 203.9], [False, False]), ([200.0, 204.2], [True, True]), ([200.0, 200.0, 50.0], [False, False, True]),
        ([None, 200.0], [False, True]), ([100.0, 100.0], [False, False]), ([-100.0, 200.0], [True, True]), ([], []),
    ],
)  # fmt: skip
def test_a_slip_tells_two_half_widths_from_the_key_and_one_from_the_others(
    values: list[float | None], telling: list[bool]
) -> None:
    assert slips_that_tell(TWO_PER_CENT, 100.0, values) == telling


def test_without_any_tolerance_only_the_key_itself_tells_nothing() -> None:
    assert slips_that_tell(Tolerance(), 100.0, [100.0, 100.0000001, 101.0]) == [False, False, True]
