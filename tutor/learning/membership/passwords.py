"""What may be a password. NIST SP 800-63B-4, 3.1.1.2: long, of any characters, and not one that is tried first."""

from __future__ import annotations

import unicodedata

from tutor.learning.errors import PasswordError
from tutor.learning.membership.common import common_reason

SHORTEST_PASSWORD, LONGEST_PASSWORD = 15, 256
"""NIST SP 800-63B-4 (2025) asks 15 characters where the password is the only factor."""

NO_PASSWORD = "none"  # noqa: S105 - stands where a hash would: nothing fits it
FEWEST_DIFFERENT = 5


def is_usable(stored: str) -> bool:
    """Tell whether an account has a password at all."""
    return stored != NO_PASSWORD


def normal_password(password: str) -> str:
    """Return a password in the form that is hashed (NFKC), so that the same keys give the same password everywhere."""
    return unicodedata.normalize("NFKC", password)


def check_password(password: str, sign_in: str, name: str, club: str = "") -> None:
    """Refuse a password that is easily guessed.

    Args:
        password: As typed.
        sign_in: Sign-in name of its member.
        name: Their name.
        club: The club's name.
    Raises:
        PasswordError: Says why.
    """
    normal = normal_password(password)
    if len(normal) < SHORTEST_PASSWORD:
        raise PasswordError(
            f"A password has at least {SHORTEST_PASSWORD} characters; "
            "three or four words that do not belong together do well."
        )
    if len(normal) > LONGEST_PASSWORD:
        raise PasswordError(f"A password has at most {LONGEST_PASSWORD} characters.")
    lowered = normal.lower()
    if len(set(lowered)) < FEWEST_DIFFERENT:
        raise PasswordError("That password repeats too few characters.")
    for word in (sign_in.lower(), name.lower()):
        if len(word) > 3 and lowered.replace(word, "").strip() == "":
            raise PasswordError("That password is only your own name.")
    reason = common_reason(lowered, own=(sign_in, name), club=club)
    if reason:
        raise PasswordError(f"{reason} Three or four words that do not belong together do well.")
