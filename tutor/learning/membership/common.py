"""Passwords that are tried first, by how they are made: at fifteen characters and more a list alone would be short.

What is refused: a piece said twice or more, runs along the keyboard, the alphabet or the figures, and what is put
together of nothing but three common words at most (`common_words.txt`), one's own name and the club's, with any figures
and signs between or after, letters replaced by figures or signs or not. Four words of the list stand: there are some
10^11 of such phrases, and every try costs a slow hash.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import resources

_ROWS = (
    "qwertyuiop", "asdfghjkl", "zxcvbnm", "qwertzuiop", "yxcvbnm", "azertyuiop", "qsdfghjklm", "wxcvbn",
    "1234567890", "0123456789", "abcdefghijklmnopqrstuvwxyz",
    "1qaz", "2wsx", "3edc", "4rfv", "5tgb", "6yhn", "7ujm", "8ik", "9ol", "0p", "1q2w3e4r5t6y7u8i9o0p",
)  # fmt: skip
_LIKE_FIGURES = str.maketrans("014357", "oiaest")
_LIKE_SIGNS = str.maketrans("014357@$!|+", "oiaestasiit")
SHORTEST_RUN = 4
SHORTEST_OWN = 3
MOST_COMMON = 3


def common_reason(password: str, own: Iterable[str] = (), club: str = "") -> str:
    """Return why a password is one of those tried first, or "" when it is not.

    Args:
        password: In small letters.
        own: Names of its member.
        club: Name of the club.

    >>> common_reason("passwordpassword")
    'That password says the same thing again and again.'
    >>> common_reason("qwertyuiop123456")
    'That password runs along the keyboard.'
    >>> common_reason("w3lcome.passw0rd!2026")
    'That password is made of words that are tried first.'
    >>> common_reason("baker.ann.password99", own=["Ann Baker"])
    'That password is made of your name, or the club’s, and little else.'
    >>> common_reason("copper anode lantern")
    ''
    """
    if _repeats(password):
        return "That password says the same thing again and again."
    if _pieces(re.sub(r"[\W_]+", "", password), dict.fromkeys(_runs(), 0)) is not None:
        return "That password runs along the keyboard."
    common = dict.fromkeys(_common() | _runs(), 1)
    names = dict.fromkeys(_words_of([*own, club]), 0)
    for form in _forms(password):
        if _few(_pieces(form, common)):
            return "That password is made of words that are tried first."
        if _few(_pieces(form, common | names)):
            return "That password is made of your name, or the club’s, and little else."
    return ""


def _few(pieces: int | None) -> bool:
    return pieces is not None and pieces <= MOST_COMMON


def _forms(password: str) -> set[str]:
    """Return the letters of a password, as they stand and with figures and signs read as the letters they look like."""
    inner = re.sub(r"^[\W\d_]+|[\W\d_]+$", "", password)
    forms = (inner, inner.translate(_LIKE_FIGURES), inner.translate(_LIKE_SIGNS))
    return {re.sub(r"[\W\d_]+", "", form) for form in forms}


def _repeats(text: str) -> bool:
    """Tell whether text is a piece said twice or more, whatever stands between and a few figures or signs after it."""
    bare = re.sub(r"[\W_]+", "", text)
    return any(re.fullmatch(r"(.+?)\1+", form) is not None for form in (text, bare, bare.rstrip("0123456789")) if form)


def _pieces(text: str, costs: Mapping[str, int]) -> int | None:
    """Return the least cost at which text is nothing but pieces, one after the other; None when it is not."""
    if not text:
        return None
    longest = max(map(len, costs))
    least: list[int | None] = [0] + [None] * len(text)
    for end in range(1, len(text) + 1):
        ways = [
            before + costs[text[at:end]]
            for at in range(max(0, end - longest), end)
            if (before := least[at]) is not None and text[at:end] in costs
        ]
        least[end] = min(ways, default=None)
    return least[-1]


@cache
def _runs() -> frozenset[str]:
    """Return every piece of a row of keys, forwards and backwards."""
    found = set()
    for row in _ROWS:
        for way in (row, row[::-1]):
            shortest = min(SHORTEST_RUN, len(row))
            found |= {way[i:j] for i in range(len(way)) for j in range(i + shortest, len(way) + 1)}
    return frozenset(piece for piece in found if len(piece) > 1)


@cache
def _common() -> frozenset[str]:
    text = (resources.files("tutor.learning.membership") / "common_words.txt").read_text(encoding="utf-8")
    lines = (line.partition("#")[0] for line in text.splitlines())
    return frozenset(word for line in lines for word in line.split())


def _words_of(names: Iterable[str]) -> frozenset[str]:
    return frozenset(
        word for name in names for word in re.split(r"[\W\d_]+", name.lower()) if len(word) >= SHORTEST_OWN
    )
