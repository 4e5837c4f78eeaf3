"""Time-based one-time passwords: RFC 6238 over RFC 4226, HMAC-SHA-1, 30 seconds, six figures, as in every app."""

from __future__ import annotations

import base64
import hashlib
import hmac
from datetime import datetime
from urllib.parse import quote

STEP_SECONDS = 30
FIGURES = 6
STEPS_EITHER_WAY = 1
"""RFC 6238, 5.2, recommends at most one step for the time on the way; one more for clocks that are fast."""


def totp(secret: bytes, step: int, figures: int = FIGURES, algorithm: str = "sha1") -> str:
    """Return the code of a time step.

    Args:
        secret: The key K.
        step: Whole steps T since 1970.
        figures: How many figures.
        algorithm: Hash of the HMAC.

    >>> totp(b"12345678901234567890", 1)
    '287082'
    """
    digest = hmac.digest(secret, step.to_bytes(8, "big"), algorithm)
    start = digest[-1] & 15
    number = int.from_bytes(digest[start : start + 4], "big") & 0x7FFF_FFFF
    return str(number % 10**figures).zfill(figures)


def step_at(time: datetime) -> int:
    """Return the time step of a time."""
    return int(time.timestamp()) // STEP_SECONDS


def fitting_step(secret: str, code: str, now: datetime) -> int | None:
    """Return the step near now whose code was typed, or None.

    Args:
        secret: In base 32.
        code: As typed; blanks do not count.
        now: The time.
    """
    typed = "".join(code.split()).encode()
    key = base64.b32decode(secret)
    fitting = None
    for step in range(step_at(now) - STEPS_EITHER_WAY, step_at(now) + STEPS_EITHER_WAY + 1):
        if hmac.compare_digest(totp(key, step).encode(), typed):
            fitting = step
    return fitting


def secret_of(token: str) -> str:
    """Return a secret of 160 bits, in base 32, made of a random token."""
    return base64.b32encode(hashlib.sha256(f"second factor {token}".encode()).digest()[:20]).decode()


def setup_address(secret: str, sign_in: str, club: str) -> str:
    """Return the address with which an app on the same device takes a secret over."""
    return (
        f"otpauth://totp/{quote(club, safe='')}:{quote(sign_in, safe='')}?secret={secret}&issuer={quote(club, safe='')}"
    )
