"""The second factor: a code that a device makes of the time, or one of ten recovery codes on paper."""

from __future__ import annotations

from datetime import datetime

from tutor.learning.membership.codes import new_code, plain_code, secret_hash
from tutor.learning.membership.totp import fitting_step
from tutor.learning.ports import Chance, Work
from tutor.learning.records import Member

RECOVERY_CODES = 10


def takes(work: Work, member: Member, typed: str, now: datetime) -> bool:
    """Take a code of a member's second factor, or one of their recovery codes; each is good once."""
    step = fitting_step(member.second, typed, now)
    if step is not None:
        return work.people.take_step(member.id, step)
    return work.doors.use_recovery_code(member.id, secret_hash(plain_code(typed)))


def give_recovery_codes(work: Work, member: Member, chance: Chance) -> tuple[str, ...]:
    """Return ten new recovery codes; those of before open nothing any more."""
    codes = tuple(new_code(chance) for _ in range(RECOVERY_CODES))
    work.doors.set_recovery_codes(member.id, [secret_hash(code) for code in codes])
    return codes
