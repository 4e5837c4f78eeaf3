"""Paper codes against ISO/IEC 7064 as two published schemes use it."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.rounds.codes import (
    ALPHABET,
    LENGTH,
    READABLE,
    check_character,
    code_of,
    codes_in,
    is_code,
    shown,
    tidied,
)  # fmt: skip

codes = st.integers(0, 10**9).map(code_of).filter(lambda code: code is not None)


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # Global Release Identifier standard (IFPI), its own example A1-2425G-ABC1234002-M; from memory of the printed
        # example, and the scheme gives its check character only if both are right.
        ("A12425GABC1234002", "M"),
        # ISAN (ISO 15706), the usual example 0000-0000-D07A-0090-Q; from memory likewise.
        ("00000000D07A0090", "Q"),
    ],
)
def test_the_check_character_is_the_published_one(text: str, check: str) -> None:
    assert check_character(text) == check


def test_what_is_neither_capital_nor_figure_has_no_check_character() -> None:
    with pytest.raises(ValueError, match="substring not found"):
        check_character("ab")


@given(codes)
def test_every_single_wrong_character_is_caught(code: str) -> None:
    assert is_code(code)
    for place, wrong in itertools.product(range(LENGTH), ALPHABET):
        if wrong != code[place]:
            assert not is_code(code[:place] + wrong + code[place + 1 :])


def test_nearly_every_swap_of_neighbours_is_caught() -> None:
    swaps = caught = 0
    for number in range(0, 24**5, 2003):
        code = code_of(number)
        if code is None:
            continue
        for place in range(LENGTH - 1):
            swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
            if swapped != code:
                swaps += 1
                caught += not is_code(swapped)
    assert swaps > 10_000
    assert caught / swaps > 0.98


@given(codes)
def test_a_code_is_found_where_it_was_printed(code: str) -> None:
    assert set(code) <= set(READABLE)
    assert codes_in(f"Re: Your paper [{shown(code)}]\n> code {shown(code).lower()}, yes") == (code,)
    assert tidied(f" {shown(code).lower()} ") == code


@pytest.mark.parametrize("text", ["", "220-470 kΩ", "ECC-83A", "10-12-2026", "mid-May", "see K7M-4XX-9"])
def test_other_words_are_no_codes(text: str) -> None:
    assert codes_in(text) == ()
