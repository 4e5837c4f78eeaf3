"""Tokens and codes: how they are stored, printed and typed."""

from __future__ import annotations

import hashlib
import re

from tutor.learning.ports import Chance


def secret_hash(secret: str) -> str:
    """Return the hash under which a token or code is stored: a stolen database opens nothing.

    A plain hash is enough for what has 100 random bits or more; passwords have their own.
    """
    return hashlib.sha256(secret.encode()).hexdigest()


def new_code(chance: Chance) -> str:
    """Return a code to be printed: twenty letters and figures, 100 bits."""
    return chance.code() + chance.code()


def grouped(code: str) -> str:
    """Return a code as it is printed.

    >>> grouped("ABCDEFGHJKLMNPQRSTUV")
    'ABCDE-FGHJK-LMNPQ-RSTUV'
    """
    return "-".join(code[i : i + 5] for i in range(0, len(code), 5))


def plain_code(typed: str) -> str:
    """Return a printed code of twenty characters as it was before it was grouped; anything else stays as it is.

    >>> plain_code(" abcde-fghjk lmnpq-rstuv ")
    'ABCDEFGHJKLMNPQRSTUV'
    """
    short = re.sub(r"[\s-]", "", typed).upper()
    return short if len(short) == 20 else typed.strip()
