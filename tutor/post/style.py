"""How the post speaks: the club's name, times in its zone, lines of a width that no mail program breaks again."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from tutor.questions.fragments import text_of
from tutor.questions.text import Filled

WIDTH = 72
RULE = "-" * WIDTH


@dataclass(frozen=True, slots=True)
class House:
    """Whose post it is.

    Attributes:
        club: The club's name.
        zone: Its time zone.
        address: Its mail address, or "".
    """

    club: str
    zone: tzinfo = UTC
    address: str = ""

    def moment(self, time: datetime) -> str:
        """Return day and time, such as 3 March 2026, 19:42 GMT."""
        there = time.astimezone(self.zone)
        return f"{there.day} {there:%B %Y, %H:%M %Z}"


def wrapped(text: str, indent: str = "") -> str:
    """Return a text in lines of `WIDTH`, its paragraphs kept."""
    lines: list[str] = []
    for line in text.splitlines():
        fitted = textwrap.wrap(
            line, WIDTH, initial_indent=indent, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
        )
        lines += fitted or [""]
    return "\n".join(lines)


def plain_words(filled: Filled) -> str:
    """Return a template's text as plain words, without the marks of emphasis, paragraphs on lines of their own."""
    text = re.sub(r"(\*\*|__)(?=\S)(.+?)(?<=\S)\1", r"\2", text_of(filled))
    paragraphs = [" ".join(paragraph.split("\n")) for paragraph in re.split(r"\n\s*\n", text)]
    return "\n\n".join(paragraphs)


def counted(number: int, one: str) -> str:
    """Return a number with its noun."""
    return f"{number} {one if number == 1 else one + 's'}"


def one_line(text: str, longest: int = 200) -> str:
    r"""Return a text that may stand in a header: one line, no control characters.

    >>> one_line("Bert\r\nBcc: all@club.example")
    'Bert Bcc: all@club.example'
    """
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:longest]
