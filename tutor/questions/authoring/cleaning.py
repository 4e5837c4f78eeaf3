"""Text as it comes out of a word processor, made plain: what nobody can see is taken out, look-alikes are replaced."""

from __future__ import annotations

import re
import unicodedata

_INVISIBLE = re.compile("[\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufffc\ufffd]")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")
_PRIVATE = re.compile("[\ue000-\uf8ff]")
_REPLACED = str.maketrans(
    {
        "\u2018": "'",
        "\u2019": "'",
        "\u201a": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u201e": '"',
        "\u2013": "-",
        "\u2014": "-",
        "\u2026": "...",
        "\u00a0": " ",
        "\u202f": " ",
        "\u2007": " ",
        "\u2009": " ",
        "\t": " ",
        "\u2028": "\n",
        "\u2029": "\n",
        "\u0085": "\n",
        "\u2022": "-",
    }
)


def clean_text(text: str, longest: int = 4000) -> str:
    """Return pasted text as plain lines: composed letters, plain quotes, no blanks at line ends, no invisible signs.

    >>> clean_text("“The load” – what now…")
    '"The load" - what now...'
    """
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n")).translate(_REPLACED)
    text = _PRIVATE.sub("", _CONTROL.sub("", _INVISIBLE.sub("", text)))
    return "\n".join(line.rstrip() for line in text.strip("\n ").split("\n"))[:longest].strip()


def clean_line(text: str, longest: int = 200) -> str:
    """Return pasted text as one plain line."""
    return " ".join(clean_text(text, longest).split())


def slug_of(title: str) -> str:
    """Return the key of a title: small letters, figures and hyphens.

    >>> slug_of("What the load does to a divider!")
    'what-the-load-does-to-a-divider'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-")
