"""Faults in words: reading what a member names, and reasoning from the readings to the one that is left."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from tutor.questions.typed_formula import listed

_SPELLINGS: dict[str, frozenset[str]] = {
    "open": frozenset({
        "open", "open circuit", "open-circuit", "o/c", "oc", "broken", "burnt out", "disconnected", "gone open",
    }),
    "short": frozenset({
        "short", "shorted", "short circuit", "short-circuit", "s/c", "sc", "shorting", "short circuited",
    }),
    "leaky": frozenset({"leaky", "leaking", "leaks", "leak", "leakage"}),
    "drifted high": frozenset({
        "drifted high", "high", "gone high", "too high", "high value", "drifted up", "risen", "increased",
    }),
    "drifted low": frozenset({
        "drifted low", "low", "gone low", "too low", "low value", "drifted down", "fallen", "decreased", "dried out",
        "lost capacity", "dry", "dried up",
    }),
    "low emission": frozenset({"low emission", "weak", "tired", "worn out", "worn", "low"}),
    "no emission": frozenset({"no emission", "dead", "open heater", "heater open", "heater out", "cold"}),
    "gassy": frozenset({"gassy", "gas", "soft", "grid current"}),
    "wiper open": frozenset({"wiper open", "open wiper", "worn wiper", "wiper worn", "wiper lifted"}),
    "shorted turns": frozenset({"shorted turns", "shorted turn", "turns shorted", "shorting turns"}),
}  # fmt: skip
_BEFORE = re.compile(r"^(?:(?:is|has|gone|it|the|a|an|with|:|,|-|=)\s+)+")


def fault_in(typed: str, parts: Sequence[str], kinds: Sequence[str]) -> tuple[str, str]:
    """Return the part and the fault that were named; "" for what was not understood.

    >>> fault_in("rk is open", ["Ra", "Rk"], ["open", "drifted high"])
    ('Rk', 'open')
    """
    words = re.sub(r"\s+", " ", typed.strip().rstrip(" .!"))
    for part in sorted(parts, key=len, reverse=True):
        match = re.search(rf"(?<![A-Za-z0-9]){re.escape(part)}(?![A-Za-z0-9])", words, re.IGNORECASE)
        if match:
            rest = f"{words[: match.start()]} {words[match.end() :]}".strip()
            return part, _kind_in(rest, kinds)
    return "", _kind_in(words, kinds)


def _kind_in(words: str, kinds: Sequence[str]) -> str:
    words = _BEFORE.sub("", words.strip().lower() + " ").strip()
    if words in kinds:
        return words
    found = [kind for kind in kinds if words in _SPELLINGS.get(kind, frozenset())]
    return found[0] if len(found) == 1 else ""


# -- the readings in sentences -----------------------------------------------------------------------------------------
def compared(detail: Mapping[str, Any]) -> str:
    """Return a sentence about which readings are off."""
    off = [row for row in detail["readings"] if row["off"]]
    sound = [f"the {row['words']}" for row in detail["readings"] if not row["off"]]
    told = [f"the {row['words']} reads {row['found']} instead of {row['healthy']}" for row in off]
    says = f"Against the healthy readings, {'; '.join(told)}."
    if sound:
        verb = "is" if len(sound) == 1 else "are"
        says += f" {_first_up(listed(sound))} {verb} as in a healthy chassis."
    return says


def ruled_out(detail: Mapping[str, Any], suspect: Mapping[str, Any]) -> str:
    """Return a sentence about what one suspect would make and where that does not fit."""
    row = detail["readings"][suspect["against"]]
    would = suspect["reads"][suspect["against"]]
    return f"With {in_a_sentence(suspect)} the {row['words']} would read {would}; it reads {row['found']}."


def remaining(detail: Mapping[str, Any], suspect: Mapping[str, Any]) -> str:
    """Return a sentence about the suspect that is left."""
    reads = [f"{would} at the {row['words']}" for row, would in zip(detail["readings"], suspect["reads"], strict=True)]
    return f"What is left is {in_a_sentence(suspect)}: that makes {listed(reads)}, which is what was read."


_IN_A_SENTENCE = {
    "no emission": "{} without emission",
    "low emission": "{} low in emission",
    "wiper open": "{} worn open",
    "shorted turns": "{} with shorted turns",
}


def in_a_sentence(suspect: Mapping[str, Any]) -> str:
    """Return a suspect as it is spoken of: R1 open, V1 without emission."""
    return _IN_A_SENTENCE.get(suspect["fault"], f"{{}} {suspect['fault']}").format(suspect["part"])


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def parts_of(suspects: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return every part under suspicion, once."""
    return list(dict.fromkeys(str(suspect["part"]) for suspect in suspects))


def kinds_of(suspects: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return every kind of fault under suspicion, once."""
    return list(dict.fromkeys(str(suspect["fault"]) for suspect in suspects))
