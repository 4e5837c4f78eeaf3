"""Answers that are words: a direction, or the option of a choice."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tutor.questions.question import DrawnOption

_RISES = frozenset(
    [
        "rises",
        "rise",
        "up",
        "goes up",
        "increases",
        "increase",
        "higher",
        "more",
        "larger",
        "bigger",
        "grows",
        "gets larger",
        "gets higher",
        "+",
        "↑",
    ]
)
_FALLS = frozenset(
    [
        "falls",
        "fall",
        "down",
        "goes down",
        "decreases",
        "decrease",
        "lower",
        "less",
        "smaller",
        "drops",
        "drop",
        "sinks",
        "gets smaller",
        "gets lower",
        "-",
        "−",
        "↓",
    ]
)
_STAYS = frozenset(
    [
        "unchanged",
        "same",
        "the same",
        "stays",
        "stays the same",
        "stays unchanged",
        "no change",
        "does not change",
        "constant",
        "remains",
        "remains the same",
        "0",
        "=",
        "→",
    ]
)


def direction_in(typed: str) -> str | None:
    """Return `rises`, `falls` or `unchanged` for what was typed, or None when it says none of them.

    >>> direction_in("It goes up."), direction_in("No change"), direction_in("perhaps")
    ('rises', 'unchanged', None)
    """
    words = re.sub(r"\s+", " ", typed.strip().strip(".!").lower())
    words = re.sub(r"^(it|they|the value|this) ", "", words)
    for direction, spellings in (("rises", _RISES), ("falls", _FALLS), ("unchanged", _STAYS)):
        if words in spellings:
            return direction
    return None


def option_in(typed: str, options: Sequence[DrawnOption]) -> DrawnOption | None:
    """Return the option that was typed: by its letter (a, B, (c), d.) or its key, or None."""
    word = typed.strip().lower()
    letter = re.fullmatch(r"\(?([a-z])[).]?", word)
    if letter:
        index = ord(letter[1]) - ord("a")
        return options[index] if index < len(options) else None
    return next((option for option in options if option.name == word), None)
