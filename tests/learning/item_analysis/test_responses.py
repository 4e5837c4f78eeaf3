"""The matrix of answers: what is taken, what is refused and with which words."""

from __future__ import annotations

import math

import pytest

from tutor.errors import QuiescentError
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.responses import checked, complete_rows, in_full_or_wrong, right_or_wrong


def test_numbers_and_gaps_are_taken() -> None:
    assert checked([[1, 0.5, None], [True, 0, 1.0]]) == ((1.0, 0.5, None), (1.0, 0.0, 1.0))
    assert checked([]) == ()


@pytest.mark.parametrize("entry", [-0.1, 1.001, math.nan, math.inf, -math.inf, "1", 10**400, [1], 1j])
def test_what_is_no_share_is_refused_with_its_place(entry: object) -> None:
    with pytest.raises(ResponsesError) as caught:
        checked([[0, 1], [1, entry]])  # type: ignore[list-item]
    assert (caught.value.member, caught.value.question) == (1, 1)
    assert caught.value.found is entry
    assert str(caught.value) == (
        f"answers: member 2, question 2: found {entry!r}; wanted a number from 0 to 1, or None for not answered"
    )
    assert isinstance(caught.value, QuiescentError)


def test_rows_of_different_length_are_refused() -> None:
    with pytest.raises(ResponsesError) as caught:
        checked([[0, 1], [1]])
    assert str(caught.value) == "answers: member 2: found '1 entries'; wanted 2 as for the first member"
    assert caught.value.question is None


def test_part_marks_are_refused_where_only_right_and_wrong_have_a_meaning() -> None:
    assert right_or_wrong([[1, 0.0, None]]) == ((1, 0, None),)
    with pytest.raises(ResponsesError, match=r"member 1, question 1: found 0\.5; wanted 0 for wrong or 1 for right"):
        right_or_wrong([[0.5]])


def test_right_means_every_mark() -> None:
    # Three thirds need not add up to 1 in the last figure.
    assert in_full_or_wrong([[1, 0.99, 0.1 + 0.2 + 0.7, None, 0]]) == ((1, 0, 1, None, 0),)


def test_a_question_that_nobody_answered_leaves_the_other_rows_whole() -> None:
    assert complete_rows(checked([[1, None, 0], [0, None, None], [1, None, 1]])) == ((0, 2), ((1.0, 0.0), (1.0, 1.0)))
    assert complete_rows(checked([[None], [None]])) == ((), ())
    assert complete_rows(()) == ((), ())
    assert complete_rows(((), ())) == ((), ())
