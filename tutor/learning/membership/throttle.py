"""Slowing down guesses. The failures stand in the records: neither a restart nor another worker forgets them."""

from __future__ import annotations

from datetime import datetime, timedelta

from tutor.learning.errors import SignInError
from tutor.learning.ports import Work

FREE_TRIES = 5
LONGEST_WAIT = 60
MOST_FAILURES = 100
"""NIST SP 800-63B-4, 3.2.2: no more than 100 failed tries in a row on one account."""

FAILURES_KEPT = timedelta(hours=12)


def refuse_guessing(work: Work, account: str, address: str, now: datetime) -> None:
    """Refuse a try that comes too soon after failed ones.

    Args:
        work: The records.
        account: What is tried to be opened.
        address: Where the request comes from.
        now: The time.
    Raises:
        SignInError: With the seconds to wait: 1, 2, 4 … 60 after five failures from one address; twelve hours after a
            hundred from anywhere, which a reset code of the organiser ends at once.
    """
    since = now - FAILURES_KEPT
    if work.doors.failures_everywhere(account, since) >= MOST_FAILURES:
        raise SignInError(int(FAILURES_KEPT.total_seconds()))
    tries, last = work.doors.failures(account, address, since)
    wait = wait_after(tries)
    if last is not None and wait and (now - last).total_seconds() < wait:
        raise SignInError(int(wait - (now - last).total_seconds()) + 1)


def wait_after(failures: int) -> int:
    """Return the seconds to wait after so many failures.

    >>> [wait_after(failures) for failures in (4, 5, 6, 7, 10, 11, 99)]
    [0, 1, 2, 4, 32, 60, 60]
    """
    return 0 if failures < FREE_TRIES else min(2 ** (failures - FREE_TRIES), LONGEST_WAIT)
