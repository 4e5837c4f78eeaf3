"""How steps speak of nodes and parts: plain British English."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tutor.circuits.asked import Asked, Current, Gain, Impedance, Power, Voltage
from tutor.circuits.equations import EARTH

WORDS = {"tap": "the tap", "top": "the top", "ht": "the HT", "in": "the input", "out": "the output"}
"""Nodes whose names are words although they are short."""


def node_words(node: str) -> str:
    """Return a node in words.

    >>> node_words("tap"), node_words("0"), node_words("n2"), node_words("anode1")
    ('the tap', 'earth', 'node n2', 'node anode1')
    """
    if node == EARTH:
        return "earth"
    if node in WORDS:
        return WORDS[node]
    return f"the {node}" if re.fullmatch(r"[a-z]{4,}", node) else f"node {node}"


def between(a: str, b: str) -> str:
    """Return where something stands."""
    if EARTH in (a, b):
        return f"from {node_words(a if b == EARTH else b)} to earth"
    return f"between {node_words(a)} and {node_words(b)}"


def listed(words: Sequence[str]) -> str:
    """Return words as a list.

    >>> listed(["R1", "R2", "R3"])
    'R1, R2 and R3'
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def sentence(text: str) -> str:
    """Return a text with a capital first letter."""
    return text[:1].upper() + text[1:]


def symbol_for(asked: Asked) -> str:
    """Return the symbol of an asked quantity."""
    match asked:
        case Voltage(a, b):
            return f"v_{a}" if b == EARTH else f"v_{a}_{b}"
        case Current(part):
            return f"i_{part}"
        case Power(part):
            return f"p_{part}"
        case Gain(_, (a, _)):
            return f"gain_{a}"
        case Impedance(a):
            return f"z_{a}"
        case _:
            return "tau"
