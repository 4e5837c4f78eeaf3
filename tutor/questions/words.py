"""Answers that are words: a direction, or the option of a choice."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tutor.questions.question import DrawnOption

_WORDS: dict[str, frozenset[str]] = {
    "rises": frozenset({
        "rises", "rise", "rising", "up", "increases", "increase", "increased", "higher", "more", "larger", "bigger",
        "greater", "grows", "+", "↑",
    }),
    "falls": frozenset({
        "falls", "fall", "falling", "down", "decreases", "decrease", "decreased", "lower", "less", "smaller", "drops",
        "drop", "sinks", "-", "−", "↓",
    }),
    "unchanged": frozenset({
        "unchanged", "unaffected", "same", "the same", "stays", "remains", "constant", "no change", "does not change",
        "not change", "doesn't change", "0", "=", "→",
    }),
}  # fmt: skip
_BEFORE = re.compile(r"(?:it|they|this|the value|will|goes|go|gets|get|becomes|is|stays|remains) (?=\S)")
"""What may stand before such a word and says nothing."""


def direction_in(typed: str) -> str | None:
    """Return `rises`, `falls` or `unchanged` for what was typed, or None when it says none of them.

    >>> direction_in("It goes up."), direction_in("stays the same"), direction_in("perhaps")
    ('rises', 'unchanged', None)
    """
    words = re.sub(r"\s+", " ", typed.strip().rstrip(" .!").lower())
    while True:
        found = next((direction for direction, spellings in _WORDS.items() if words in spellings), None)
        before = _BEFORE.match(words)
        if found or before is None:
            return found
        words = words[before.end() :]


def option_in(typed: str, options: Sequence[DrawnOption]) -> DrawnOption | None:
    """Return the option that was typed: by its letter (a, B, (c), d.) or its key, or None."""
    word = re.sub(r"\s+", " ", typed.strip().lower())
    letter = re.fullmatch(r"\(?([a-z])[).]?", word)
    if letter:
        index = ord(letter[1]) - ord("a")
        return options[index] if index < len(options) else None
    return next((option for option in options if option.name.lower() == word), None)


def with_article(name: str) -> str:
    """Return what is measured with its article, for sentences.

    >>> with_article("voltage"), with_article("angle in degrees")
    ('a voltage', 'an angle in degrees')
    """
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"
