"""What somebody wrote themselves, and what they only sent back: quotations, the paper itself, signatures, headings.

The paper is known word for word, so that its lines are recognised with or without `>` before them, broken anew or not.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

_QUOTE = re.compile(r"^[ \t]{0,3}(?:(?:[A-Z]{1,4})?>[ \t]?|\|[ \t])")
_MARKS = re.compile(r"[^0-9a-zà-ÿα-ω]+")
_ATTRIBUTION = re.compile(
    r"(?:wrote|writes|schrieb|schreibt|a écrit|écrit|ha scritto|escribió|skrev|schreef|kirjoitti|napisał\(?a?\)?|escreveu)"
    r"[^:]{0,90}:\s*$",
    re.IGNORECASE,
)
_ATTRIBUTION_BEGINS = re.compile(r"^(?:on|am|le|el|il|op|den|em|dnia|w dniu)\b.{0,80}\d", re.IGNORECASE)
_HEADING = re.compile(
    r"^\W*(?:from|sent|to|cc|subject|date|reply-to|von|gesendet|an|betreff|datum|de|envoyé|à|objet|enviado|para|asunto|"
    r"da|inviato|a|oggetto|van|verzonden|aan|onderwerp|från|skickat|till|ämne|fra|sendt|til|emne)\s?:\s",
    re.IGNORECASE,
)
_ORIGINAL = re.compile(r"^[ \t]*[-_*=]{2,}.*(?:original|forward|ursprüngliche|weitergeleitet|origine|oorspronkelijk|message|nachricht).*[-_*=]{2,}", re.IGNORECASE)  # fmt: skip
_SENT_FROM = re.compile(
    r"^(?:sent (?:from|with|via) (?:my|a)\b|von mein\w* .{2,40} gesendet|gesendet (?:von|mit)\b|envoyé (?:de|depuis) mon\b|"
    r"enviado desde\b|inviato da\b|verzonden vanaf\b|skickat från\b|sendt fra\b)",
    re.IGNORECASE,
)
_RULE = re.compile(r"^[\s\-_=*~#.·•—–]{3,}$")
_SHORT = 10
"""Squeezed characters below which a line could stand in the paper by accident."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a reply.

    Attributes:
        text: Without its quotation marks.
        quoted: Whether it was quoted, or is a line of the paper.
    """

    text: str
    quoted: bool


def squeezed(text: str) -> str:
    """Return a text's letters and figures, in small letters."""
    return _MARKS.sub("", text.casefold())


def lines_of(text: str, paper: str) -> tuple[Line, ...]:
    """Return the lines of a reply that say something.

    Args:
        text: The reply's words.
        paper: The paper's words, as they were sent.
    """
    known = squeezed(paper)
    starts = Counter(squeezed(line) for line in paper.splitlines())
    found: list[Line] = []
    signed = within = False
    for depth, line in _joined_attributions(_unquoted(text)):
        if depth:
            signed = False
        if depth == 0 and re.fullmatch(r"--[ \t]?", line):
            signed = True
            continue
        if _says_nothing(line) or (signed and not depth):
            continue
        within = bool(depth) or _is_of_paper(line, known, starts, within=within)
        found.append(Line(line.strip(), within))
    return tuple(found)


def _unquoted(text: str) -> list[tuple[int, str]]:
    lines = []
    for line in text.split("\n"):
        depth = 0
        while (mark := _QUOTE.match(line)) is not None and depth < 20:
            line = line[mark.end() :]
            depth += 1
        lines.append((depth, line.rstrip()))
    return lines


def _joined_attributions(lines: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Leave out "On 3 March … wrote:", also where it was broken into two or three lines."""
    kept: list[tuple[int, str]] = []
    skip = 0
    for index, (depth, line) in enumerate(lines):
        if skip:
            skip -= 1
            continue
        if _ATTRIBUTION_BEGINS.match(line):
            for more in range(3):
                together = " ".join(text for _, text in lines[index : index + more + 1])
                if _ATTRIBUTION.search(together):
                    skip = more
                    break
            else:
                kept.append((depth, line))
            continue
        if _ATTRIBUTION.search(line) and ("@" in line or "<" in line):
            continue
        kept.append((depth, line))
    return kept


def _says_nothing(line: str) -> bool:
    plain = line.strip()
    return not plain or any(pattern.match(plain) for pattern in (_RULE, _HEADING, _ORIGINAL, _SENT_FROM))


def _is_of_paper(line: str, known: str, starts: Counter[str], *, within: bool) -> bool:
    """Tell whether an unquoted line is one of the paper's: a whole one, or a piece of one that is long enough.

    A short one, such as an option "B: R2", only counts next to others, and as often as it stands in the paper.
    """
    core = squeezed(line)
    if not core:
        return True
    if starts[core] > 0 and (within or len(core) > _SHORT):
        starts[core] -= len(core) <= _SHORT
        return True
    return len(core) >= 2 * _SHORT and core in known
