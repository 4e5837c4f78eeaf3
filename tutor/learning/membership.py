"""Accounts: joining, signing in and out."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from tutor.learning.errors import JoinCodeError, PasswordError, SignInError
from tutor.learning.ports import Chance, Clock, Passwords, Records
from tutor.learning.records import JoinCode, Member, Role, SignedIn

SHORTEST_PASSWORD, LONGEST_PASSWORD = 15, 256
"""NIST SP 800-63B-4 (2025) asks 15 characters where the password is the only factor."""

_SIGN_IN = re.compile(r"[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]")
FREE_TRIES = 5
LONGEST_WAIT = 60
FAILURES_KEPT = timedelta(hours=12)
SIGNED_IN_FOR = {
    Role.MEMBER: timedelta(days=30),
    Role.TRAINER: timedelta(hours=12),
    Role.ORGANISER: timedelta(hours=12),
}


@dataclass(frozen=True, slots=True)
class Membership:
    """The use cases of accounts."""

    records: Records
    clock: Clock
    chance: Chance
    passwords: Passwords

    # -- accounts ------------------------------------------------------------------------------------------------------
    def add(self, sign_in: str, name: str, password: str, role: Role = Role.MEMBER) -> Member:
        """Make an account.

        Raises:
            SignInTakenError, PasswordError: See there.
        """
        sign_in, name = self._names(sign_in, name)
        check_password(password, sign_in, name)
        with self.records.work() as work:
            hashed = self.passwords.hashed(normal_password(password))
            return work.people.add(sign_in, name, role, hashed, self.clock.now())

    def _names(self, sign_in: str, name: str) -> tuple[str, str]:
        sign_in = unicodedata.normalize("NFKC", sign_in).strip().lower()
        name = " ".join(unicodedata.normalize("NFC", name).split())
        if not _SIGN_IN.fullmatch(sign_in):
            raise PasswordError(
                f"{sign_in!r} cannot be a sign-in name; it has 3 to 40 small letters, figures, dots or hyphens, "
                "such as a.baker."
            )
        if not name or len(name) > 80 or any(unicodedata.category(c).startswith("C") for c in name):
            raise PasswordError("A name has 1 to 80 characters.")
        return sign_in, name

    def everybody(self) -> Sequence[Member]:
        """Return everybody with an account, by name."""
        with self.records.look() as work:
            return work.people.everybody()

    def make_code(self, role: Role = Role.MEMBER, uses: int = 1, days: int = 30) -> JoinCode:
        """Make a join code."""
        code = JoinCode(self.chance.code(), role, uses, self.clock.now() + timedelta(days=days))
        with self.records.work() as work:
            work.people.add_code(code)
        return code

    def join(self, code: str, sign_in: str, name: str, password: str) -> Member:
        """Make an account with a join code.

        Raises:
            JoinCodeError, SignInTakenError, PasswordError: See there; the code keeps its use then.
        """
        sign_in, name = self._names(sign_in, name)
        check_password(password, sign_in, name)
        code = re.sub(r"[\s-]", "", code).upper()
        hashed = self.passwords.hashed(normal_password(password))
        with self.records.work() as work:
            found = work.people.code(code)
            if found is None:
                raise JoinCodeError("That join code is not known; look at it once more, or ask the organiser.")
            if found.expires <= self.clock.now() or found.uses <= 0 or not work.people.use_code(code):
                raise JoinCodeError("That join code is used up or out of date; ask the organiser for another.")
            return work.people.add(sign_in, name, found.role, hashed, self.clock.now())

    # -- signing in ----------------------------------------------------------------------------------------------------
    def sign_in(self, sign_in: str, password: str, address: str) -> tuple[Member, str]:
        """Sign in.

        Args:
            sign_in: As typed.
            password: As typed.
            address: Where the request comes from, for slowing down guessing.
        Returns:
            The member and the token for their browser.
        Raises:
            SignInError: The same for an unknown name and a wrong password; after five failures with a growing wait.
        """
        account = unicodedata.normalize("NFKC", sign_in).strip().lower()[:80]
        now = self.clock.now()
        with self.records.look() as work:
            tries, last = work.people.failures(account, address, now - FAILURES_KEPT)
            wait = _wait(tries)
            if last is not None and wait and (now - last).total_seconds() < wait:
                raise SignInError(int(wait - (now - last).total_seconds()) + 1)
            member = work.people.by_sign_in(account)
        fits = False
        if member is None:
            self.passwords.waste_time()
        else:
            fits = self.passwords.fits(member.password, normal_password(password[: 4 * LONGEST_PASSWORD]))
        if member is None or not fits:
            with self.records.work() as work:
                work.people.note_failure(account, address, now)
            raise SignInError
        token = self.chance.token()
        with self.records.work() as work:
            work.people.clear_failures(account)
            if self.passwords.is_weak(member.password):
                work.people.set_password(member.id, self.passwords.hashed(normal_password(password)))
            expires = now + SIGNED_IN_FOR[member.role]
            work.people.sign_in(SignedIn(token_hash(token), member.id, now, expires))
        return member, token

    def member_of(self, token: str) -> Member | None:
        """Return who is signed in with a token, or None."""
        with self.records.look() as work:
            found = work.people.signed_in(token_hash(token))
        return None if found is None or found[0].expires <= self.clock.now() else found[1]

    def sign_out(self, token: str) -> None:
        """End what a token opened."""
        with self.records.work() as work:
            work.people.sign_out(token_hash(token))


def _wait(failures: int) -> int:
    """Return the seconds to wait after so many failures: 1, 2, 4 … 60 from the fifth on."""
    return 0 if failures < FREE_TRIES else min(2 ** (failures - FREE_TRIES), LONGEST_WAIT)


def token_hash(token: str) -> str:
    """Return the hash under which a token is stored: a stolen database opens no session."""
    return hashlib.sha256(token.encode()).hexdigest()


def normal_password(password: str) -> str:
    """Return a password in the form that is hashed (NFKC), so that the same keys give the same password everywhere."""
    return unicodedata.normalize("NFKC", password)


def check_password(password: str, sign_in: str, name: str) -> None:
    """Refuse a password that is easily guessed.

    Raises:
        PasswordError: Says why.
    """
    length = len(normal_password(password))
    if length < SHORTEST_PASSWORD:
        raise PasswordError(
            f"A password has at least {SHORTEST_PASSWORD} characters; "
            "three or four words that do not belong together do well."
        )
    if length > LONGEST_PASSWORD:
        raise PasswordError(f"A password has at most {LONGEST_PASSWORD} characters.")
    lowered = normal_password(password).lower()
    if len(set(lowered)) < 5:
        raise PasswordError("That password repeats too few characters.")
    for word in (sign_in.lower(), name.lower()):
        if len(word) > 3 and lowered.replace(word, "").strip() == "":
            raise PasswordError("That password is only your own name.")
