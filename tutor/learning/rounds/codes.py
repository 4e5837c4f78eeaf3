"""Paper codes: short, readable from a pencilled sheet, and with a check character that catches a slip of the pen.

Source: ISO/IEC 7064:2003, hybrid system MOD 37,36: alphanumeric strings with one alphanumeric check character. It
catches every single wrong character and nearly every swap of neighbours.
"""

from __future__ import annotations

import re

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
READABLE = "BCDFGHJKMNPQRTVWXY346789"
"""What a code is made of: no character that looks like another (0 O, 1 I L, 2 Z, 5 S), no vowel that makes words."""

LENGTH = 6
_FIGURES = LENGTH - 1
_WRITTEN = re.compile(r"(?<![0-9A-Za-z-])([0-9A-Za-z]{3})[ \t]?[-–—‐‑−][ \t]?([0-9A-Za-z]{3})(?![0-9A-Za-z-])")


def check_character(text: str) -> str:
    """Return the check character of a string of capitals and figures.

    >>> check_character("A12425GABC1234002")
    'M'

    Raises:
        ValueError: If it holds anything else.
    """
    sum_ = 36
    for character in text:
        sum_ = (sum_ + ALPHABET.index(character)) % 36 or 36
        sum_ = sum_ * 2 % 37
    return ALPHABET[(37 - sum_) % 36]


def code_of(number: int) -> str | None:
    """Return the code of a number, or None where its check character could be taken for another one.

    Args:
        number: Any number of 0 or more; numbers that agree modulo 24⁵ share a code.
    """
    figures = ""
    for _ in range(_FIGURES):
        number, place = divmod(number, len(READABLE))
        figures = READABLE[place] + figures
    check = check_character(figures)
    return figures + check if check in READABLE else None


def is_code(text: str) -> bool:
    """Tell whether a tidied text has the form of a code and the right check character."""
    if len(text) != LENGTH or any(character not in READABLE for character in text):
        return False
    return check_character(text[:-1]) == text[-1]


def shown(code: str) -> str:
    """Return a code as it is printed: K7M-4XQ."""
    return f"{code[:3]}-{code[3:]}"


def tidied(typed: str) -> str:
    """Return what was typed as a code: capitals, without blanks and hyphens."""
    return re.sub(r"[\s\-–—‐‑−._]", "", typed).upper()


def codes_in(text: str) -> tuple[str, ...]:
    """Return the codes that stand in a text as they are printed, each once; only those whose check is right."""
    found = (f"{match[1]}{match[2]}".upper() for match in _WRITTEN.finditer(text))
    return tuple(dict.fromkeys(code for code in found if is_code(code)))
