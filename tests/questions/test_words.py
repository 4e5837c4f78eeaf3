from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.questions.question import DrawnOption
from tutor.questions.words import direction_in, option_in, with_article

OPTIONS = tuple(DrawnOption(name, (name,), name == "foot", ()) for name in ("top", "foot", "a-b"))


@pytest.mark.parametrize(
    ("typed", "direction"),
    [
        ("rises", "rises"), ("It will rise.", "rises"), ("  UP ", "rises"), ("it  goes   up", "rises"), ("+", "rises"),
        ("falls!", "falls"), ("it gets smaller", "falls"), ("−", "falls"), ("-", "falls"), ("decreased", "falls"),
        ("unchanged", "unchanged"), ("it stays the same", "unchanged"), ("it does not change", "unchanged"),
        ("is unaffected", "unchanged"), ("0", "unchanged"), ("=", "unchanged"), ("The value stays constant", "unchanged"),
        ("it will not change", "unchanged"), ("", None), ("up and down", None), ("it", None), ("not up", None),
        ("rises or falls", None), ("10", None),
    ],
)  # fmt: skip
def test_a_direction_is_read_from_the_words_people_use(typed: str, direction: str | None) -> None:
    assert direction_in(typed) == direction


@given(st.text(max_size=60))
def test_any_text_is_a_direction_or_none(typed: str) -> None:
    assert direction_in(typed) in ("rises", "falls", "unchanged", None)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("a", "top"), ("B", "foot"), ("(c)", "a-b"), ("b.", "foot"), ("foot", "foot"), (" FOOT ", "foot"), ("a-b", "a-b"),
        ("d", None), ("", None), ("ab", None), ("1", None), ("((a))", None),
    ],
)  # fmt: skip
def test_an_option_is_found_by_letter_or_key(typed: str, name: str | None) -> None:
    found = option_in(typed, OPTIONS)
    assert (found.name if found else None) == name


@pytest.mark.parametrize(
    ("name", "said"),
    [("voltage", "a voltage"), ("inductance", "an inductance"), ("1/V", "a 1/V"), ("energy", "an energy")],
)
def test_a_quantity_has_its_article(name: str, said: str) -> None:
    assert with_article(name) == said
