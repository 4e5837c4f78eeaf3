"""Accounts: making them, and the join codes with which members make their own."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from tutor.learning.errors import JoinCodeError, PasswordError
from tutor.learning.membership.passwords import check_password, normal_password
from tutor.learning.membership.throttle import refuse_guessing
from tutor.learning.membership.trail import acting, tell
from tutor.learning.ports import Chance, Clock, Passwords, Records
from tutor.learning.records import JoinCode, Member, Role

_SIGN_IN = re.compile(r"[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]")
ACCOUNT_MADE, JOIN_CODE_MADE, JOINED = "account made", "join code made", "joined by code"  # acts
_GUESSED = "a join code"  # as an account that is tried to be opened; no sign-in name has blanks


@dataclass(frozen=True, slots=True)
class Membership:
    """The use cases of accounts and join codes.

    Attributes:
        records, clock, chance, passwords: The ports.
        club: The club's name, whose words make no password.
    """

    records: Records
    clock: Clock
    chance: Chance
    passwords: Passwords
    club: str = ""

    def add(self, sign_in: str, name: str, password: str, role: Role = Role.MEMBER) -> Member:
        """Make an account.

        Raises:
            SignInTakenError, PasswordError: See there.
        """
        sign_in, name = clean_names(sign_in, name)
        check_password(password, sign_in, name, self.club)
        hashed, now = self.passwords.hashed(normal_password(password)), self.clock.now()
        with self.records.work() as work:
            member = work.people.add(sign_in, name, role, hashed, now)
            work.trail.note(now, None, ACCOUNT_MADE, member.id, role.value)
        tell(self.clock, ACCOUNT_MADE, None, member.id, role.value)
        return member

    def everybody(self) -> Sequence[Member]:
        """Return everybody with an account, by name."""
        with self.records.look() as work:
            return work.people.everybody()

    def make_code(self, role: Role = Role.MEMBER, uses: int = 1, days: int = 30) -> JoinCode:
        """Make a join code."""
        code = JoinCode(self.chance.code(), role, uses, self.clock.now() + timedelta(days=days))
        with acting(self.records, self.clock, None, JOIN_CODE_MADE, None, told_code(code, days)) as work:
            work.people.add_code(code)
        return code

    def join(self, code: str, sign_in: str, name: str, password: str, address: str = "") -> Member:
        """Make an account with a join code.

        Raises:
            JoinCodeError, SignInTakenError, PasswordError: See there; the code keeps its use then.
            SignInError: If this address has tried too many codes.
        """
        sign_in, name = clean_names(sign_in, name)
        code = re.sub(r"[\s-]", "", code).upper()[:40]
        now = self.clock.now()
        with self.records.look() as work:
            refuse_guessing(work, _GUESSED, address, now)
            found = work.people.code(code)
        if found is None:
            with self.records.work() as work:
                work.doors.note_failure(_GUESSED, address, now)
            raise JoinCodeError("That join code is not known; look at it once more, or ask the organiser.")
        check_password(password, sign_in, name, self.club)
        hashed = self.passwords.hashed(normal_password(password))
        with self.records.work() as work:
            if found.expires <= now or found.uses <= 0 or not work.people.use_code(code):
                raise JoinCodeError("That join code is used up or out of date; ask the organiser for another.")
            member = work.people.add(sign_in, name, found.role, hashed, now)
            work.trail.note(now, member.id, JOINED, member.id, found.role.value)
        tell(self.clock, JOINED, member.id, member.id, found.role.value)
        return member


def told_code(code: JoinCode, days: int) -> str:
    """Return what the log tells of a join code."""
    return f"{code.role}, {code.uses} uses, {days} days"


def clean_names(sign_in: str, name: str) -> tuple[str, str]:
    """Return sign-in name and name as they are kept.

    Raises:
        PasswordError: If either cannot be one.
    """
    sign_in = account_name(sign_in)
    name = " ".join(unicodedata.normalize("NFC", name).split())
    if not _SIGN_IN.fullmatch(sign_in):
        raise PasswordError(
            f"{sign_in!r} cannot be a sign-in name; it has 3 to 40 small letters, figures, dots or hyphens, "
            "such as a.baker."
        )
    if not name or len(name) > 80 or any(unicodedata.category(c).startswith("C") for c in name):
        raise PasswordError("A name has 1 to 80 characters.")
    return sign_in, name


def account_name(typed: str) -> str:
    """Return a sign-in name as it was typed, in the form in which it is looked up."""
    return unicodedata.normalize("NFKC", typed).strip().lower()[:80]
