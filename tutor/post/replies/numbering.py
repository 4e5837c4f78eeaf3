"""Numbers before answers, in the ways people write them: "1.", "2)", "Q3:", "a)", "Frage 2", "réponse 3", "1a -".

A marker is only taken for one when the paper has such a label; where it could be part of a value, it is none.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from tutor.learning.rounds.labels import AskPlace

_WORDS = (
    r"questions?|quest|qu|q|answers?|answ|ans|numbers?|num|no|nr|item|part|problem|prob|exercise|task|"
    r"aufgabe|frage|antwort|nummer|lösung|loesung|réponse|reponse|rép|exercice|pregunta|respuesta|ejercicio|núm|"
    r"domanda|risposta|esercizio|vraag|antwoord|opgave|oppgave|fråga|svar|uppgift|spørgsmål|spørsmål|"
    r"pergunta|resposta|questão|pytanie|odpowiedź|zadanie|kysymys|vastaus|otázka|odpověď"
)
_LOOSE = r"to|for|on|ad|zu|à|n|a|r|f"
"""Words that only count where a colon or bracket follows the number."""
_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8, "ix": 9, "x": 10}
_SAID = {
    "one": 1, "first": 1, "two": 2, "second": 2, "three": 3, "third": 3, "four": 4, "fourth": 4, "five": 5,
    "fifth": 5, "six": 6, "sixth": 6, "seven": 7, "seventh": 7, "eight": 8, "eighth": 8,
    "eins": 1, "erstens": 1, "zwei": 2, "zweitens": 2, "drei": 3, "drittens": 3, "vier": 4, "viertens": 4, "fünf": 5,
    "un": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "uno": 1, "dos": 2, "due": 2, "tres": 3, "tre": 3,
    "cuatro": 4, "quattro": 4, "een": 1, "twee": 2, "drie": 3, "två": 2,
}  # fmt: skip

_LEAD = r"[\s*_•·→(\[{]*"
_N = r"(?P<number>[1-9]\d?)(?!\d)"
_L = r"(?P<letter>[a-hA-H])(?![\w'’])"
_SAID_WORDS = "|".join(sorted(_SAID, key=len, reverse=True))
_MANNER = r"(?:\s*\([^)\n]{1,40}\)\s*:)?"
"""What stands beside a field of the paper: "(in mA):"."""

_PATTERNS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (name, re.compile(pattern, re.IGNORECASE))
    for name, pattern in (
        ("worded", rf"{_LEAD}(?:my |the |la |le |die |de )?(?:{_WORDS})\b[\s.:#°º№*]*(?:to |for |zu |à )?(?:(?:{_WORDS})\b[\s.:]*)?"
                   rf"(?:{_N}|(?P<said>{_SAID_WORDS})\b)(?:[\s.(-]{{0,2}}{_L})?[)\]*_]*{_MANNER}\s*(?P<close>=>|→|[-–—]+>?(?=\s|$)|[).:=,|]*)\s*"),
        ("worded", rf"{_LEAD}(?:[qarf]\.?|n[°º]\s*|[#№]\s*){_N}(?:[\s.(-]{{0,2}}{_L})?[)\]*_]*\s*(?P<close>[-–—]+>?(?=\s|$)|[).:=|]*)\s*"),
        ("worded", rf"{_LEAD}(?:{_LOOSE})\s+{_N}(?:[\s.(-]{{0,2}}{_L})?\s*(?P<close>[):]+)\s*"),
        ("lettered", rf"{_LEAD}{_N}[\s.(-]{{0,2}}{_L}[)\]*_]*\s*(?P<close>=>|→|[-–—]+>?(?=\s|$)|[).:=|]*)\s*"),
        ("numbered", rf"{_LEAD}{_N}\s*[)\]*_]*\s*(?P<close>[)\].:=|]+[*_]*|=>|→|[-–—]+>)\s*"),
        ("bracketed", rf"\s*[(\[]{_N}\s*(?P<close>[)\]])\s*"),
        ("dashed", rf"{_LEAD}{_N}\s*(?P<close>[-–—]+)\s+"),
        ("alone", rf"{_LEAD}{_L}\s*(?P<close>[)\].:=|]+)\s*"),
        ("roman", rf"{_LEAD}(?P<roman>viii|vii|iii|iv|vi|ix|ii|i|v|x)(?P<close>[).:\]]+)\s+"),
        ("said", rf"{_LEAD}(?:the )?(?P<said>{_SAID_WORDS})(?: one| question)?\s*(?P<close>[).:=]+|\s[-–—]+)\s*"),
        ("bare", rf"[\s*_]*{_N}(?P<close>[ \t]+)"),
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Marker:
    """A number before an answer.

    Attributes:
        number: Of the question.
        letter: Of the ask, or "".
        end: Where the answer begins.
        strong: Whether it can be nothing else but a number before an answer.
        dash: Whether a dash parts the two, which may also be a sign.
    """

    number: int
    letter: str
    end: int
    strong: bool
    dash: bool


class Labels:
    """The labels of one paper."""

    def __init__(self, places: Sequence[AskPlace]) -> None:
        self.places = tuple(places)
        self.by_label = {place.label: place for place in places}
        self.order = [place.label for place in places]
        self.lettered = {place.number for place in places if place.letter}
        self.numbers = {place.number for place in places}

    def marker_at(self, text: str, start: int, number_now: int) -> Marker | None:
        """Return the marker that begins at a place.

        Args:
            text: A line.
            start: Where in it.
            number_now: The question whose letters may stand alone, or 0.
        """
        for kind, pattern in _PATTERNS:
            found = pattern.match(text, start)
            marker = self._marker(kind, found, text, number_now) if found is not None else None
            if marker is not None:
                return marker
        return None

    def _marker(self, kind: str, found: re.Match[str], text: str, number_now: int) -> Marker | None:
        groups = found.groupdict()
        letter = (groups.get("letter") or "").lower()
        number = _number(groups) or (number_now if kind == "alone" else 0)
        end = found.end()
        if number not in self.numbers:
            return None
        if letter and number not in self.lettered:
            # "2) b" and "2 b" of a choice: the letter is the answer, and not part of the label.
            if kind != "worded":
                return None
            letter, end = "", found.start("letter")
        close, following = groups["close"] or "", text[end : end + 1]
        if kind == "numbered" and close.endswith((".", ":")) and following.isdigit() and not text[end - 1].isspace():
            return None  # "1.5 V" is a value, and so is "2:1"; after a letter or a word they are none
        if kind == "lettered" and not close and following and not text[end - 1 : end].isspace() and found.end() == end:
            return None
        dash = bool(re.search(r"[-–—]$", close.strip())) or (
            not close.strip() and following in "-–—−" and following != ""
        )
        return Marker(number, letter, end, strong=kind != "bare", dash=dash)


def _number(groups: dict[str, str | None]) -> int:
    if groups.get("number"):
        return int(groups["number"] or 0)
    if groups.get("roman"):
        return _ROMAN.get((groups["roman"] or "").lower(), 0)
    return _SAID.get((groups.get("said") or "").lower(), 0)
