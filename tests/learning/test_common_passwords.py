"""Passwords that are tried first are refused with the reason; phrases that a person makes up are not."""

from __future__ import annotations

import contextlib
import time

import pytest

from tutor.learning.errors import PasswordError
from tutor.learning.membership import check_password

CLUB = "Harbour Lane Valve Society"

AGAIN = "says the same thing again and again"
KEYS = "runs along the keyboard"
COMMON = "words that are tried first"
OWN = "your name, or the club’s"

REFUSED = [
    ("passwordpassword", AGAIN),
    ("password password", AGAIN),
    ("Password-Password-1", AGAIN),
    ("letmeinletmeinletmein", AGAIN),
    ("anode7anode7anode7", AGAIN),
    ("qwertyuiopasdfghjkl", KEYS),
    ("1234567890123456", KEYS),
    ("1qaz2wsx3edc4rfv", KEYS),
    ("QWERTYUIOP-123456", KEYS),
    ("abcdefghijklmnop", KEYS),
    ("zyxwvutsrqponmlk", KEYS),
    ("iloveyouforever", COMMON),
    ("welcome.password.2026", COMMON),
    ("W3lcome-P4$$w0rd", COMMON),
    ("changeme123456789", COMMON),
    ("correcthorsebatterystaple", COMMON),
    ("correct horse battery staple", COMMON),
    ("valveamplifier1959", COMMON),
    ("triodetransformer!", COMMON),
    ("annbaker anna baker", OWN),
    ("BakerPassword1959", OWN),
    ("harbourlane-2026-harbour", OWN),
    ("Harbour Lane Society", OWN),
]


@pytest.mark.parametrize(("password", "reason"), REFUSED)
def test_what_is_tried_first_is_refused_with_the_reason(password: str, reason: str) -> None:
    with pytest.raises(PasswordError, match=reason):
        check_password(password, "ann.baker", "Anna Baker", CLUB)


@pytest.mark.parametrize(
    "password",
    [
        "copper anode lantern",
        "kettle trombone drizzle",
        "correct horse no battery",  # four words of the list, not the four that everybody knows
        "my valve hums in B flat",
        "Wmd2kbnSgH!pq8v_",
        "три ведра и одна лампа",
        "九つの真空管が光る夜に私は眠る",
        "           a lot of blanks",
    ],
)
def test_what_a_person_makes_up_is_taken(password: str) -> None:
    check_password(password, "ann.baker", "Anna Baker", CLUB)


def test_the_longest_password_is_judged_in_no_time() -> None:
    begun = time.perf_counter()
    for password in ("password" * 32, "ab1" * 85, "abcde" * 50 + "fghij", "qwertyuiop" * 25 + "x", "a1b2c" * 51):
        with pytest.raises(PasswordError):
            check_password(password + "ab" * 200, "ann.baker", "Anna Baker", CLUB)  # too long
        with contextlib.suppress(PasswordError):
            check_password(password, "ann.baker", "Anna Baker", CLUB)
    assert time.perf_counter() - begun < 2
