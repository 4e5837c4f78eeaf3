"""Signing in and out, and how long it lasts."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from tutor.learning.errors import SecondFactorError, SignInError
from tutor.learning.membership.accounts import account_name
from tutor.learning.membership.codes import secret_hash
from tutor.learning.membership.passwords import LONGEST_PASSWORD, is_usable, normal_password
from tutor.learning.membership.second_factor import takes
from tutor.learning.membership.throttle import FAILURES_KEPT, refuse_guessing
from tutor.learning.membership.trail import tell
from tutor.learning.ports import Chance, Clock, Passwords, Records
from tutor.learning.records import Member, Role, SignedIn
from tutor.learning.trouble import RecordsError

SIGNED_IN_FOR = {
    Role.MEMBER: timedelta(days=30),
    Role.TRAINER: timedelta(hours=12),
    Role.ORGANISER: timedelta(hours=12),
}
IDLE_FOR = {Role.TRAINER: timedelta(minutes=30), Role.ORGANISER: timedelta(minutes=30)}
"""NIST SP 800-63B-4: 30 days where nothing but one's own is at stake (AAL1), 12 hours and 30 minutes of idling else."""

SEEN_EVERY = timedelta(minutes=1)  # how exactly it is kept when a sign-in was last used


@dataclass(frozen=True, slots=True)
class SignIns:
    """The use cases of signing in."""

    records: Records
    clock: Clock
    chance: Chance
    passwords: Passwords

    def sign_in(
        self, sign_in: str, password: str, address: str, *, second: str = "", browser: str = ""
    ) -> tuple[Member, str]:
        """Sign in.

        Args:
            sign_in: As typed.
            password: As typed.
            address: Where the request comes from, for slowing down guessing.
            second: Code of the second factor, or a recovery code, as typed.
            browser: What the browser calls itself, for the list of one's own sign-ins.
        Returns:
            The member and the token for their browser.
        Raises:
            SignInError: The same for an unknown name, a closed account and a wrong password; after five failures with
                a growing wait.
            SecondFactorError: If name and password fit and the second factor's code is missing or wrong.
        """
        account, now = account_name(sign_in), self.clock.now()
        with self.records.look() as work:
            refuse_guessing(work, account, address, now)
            member = work.people.by_sign_in(account)
        if member is None:
            self.passwords.waste_time()
        if member is None or not self._fits(member, password) or member.closed is not None:
            self._fail(account, address, now)
            raise SignInError
        if member.second and not second.strip():
            raise SecondFactorError
        with self.records.work() as work:
            fits = not member.second or takes(work, member, second, now)
        if not fits:
            self._fail(account, address, now)
            raise SecondFactorError(wrong=True)
        return member, self._let_in(member, account, password, browser, now)

    def _fits(self, member: Member, password: str) -> bool:
        if not is_usable(member.password):
            self.passwords.waste_time()
            return False
        return self.passwords.fits(member.password, normal_password(password[: 4 * LONGEST_PASSWORD]))

    def _fail(self, account: str, address: str, now: datetime) -> None:
        with self.records.work() as work:
            work.doors.note_failure(account, address, now)
        tell(self.clock, "sign-in refused", None, None, f"from {address}")

    def _let_in(self, member: Member, account: str, password: str, browser: str, now: datetime) -> str:
        token = self.chance.token()
        with self.records.work() as work:
            work.doors.clear_failures(account)
            if member.role is Role.ORGANISER:  # now and then, so that nobody's addresses are kept for ever
                work.doors.sweep(now, now - FAILURES_KEPT)
            if self.passwords.is_weak(member.password):
                work.people.set_password(member.id, self.passwords.hashed(normal_password(password)))
            expires = now + SIGNED_IN_FOR[member.role]
            work.doors.sign_in(SignedIn(secret_hash(token), member.id, now, expires, now, browser[:200]))
        tell(self.clock, "signed in", member.id)
        return token

    def member_of(self, token: str) -> Member | None:
        """Return who is signed in with a token, or None.

        That a trainer's or organiser's sign-in was used is noted once a minute: it ends by idling.
        """
        hashed, now = secret_hash(token), self.clock.now()
        with self.records.look() as work:
            found = work.doors.signed_in(hashed)
        if found is None or not is_open(*found, now):
            return None
        signed_in, member = found
        if member.role in IDLE_FOR and now - signed_in.seen >= SEEN_EVERY:
            with suppress(RecordsError), self.records.work() as work:  # a full disk stops nobody from reading
                work.doors.saw(hashed, now)
        return member

    def sign_out(self, token: str) -> None:
        """End what a token opened."""
        with self.records.work() as work:
            work.doors.sign_out(secret_hash(token))

    # -- one's own sign-ins --------------------------------------------------------------------------------------------
    def of(self, member: Member) -> Sequence[SignedIn]:
        """Return the open sign-ins of a member, the latest first."""
        now = self.clock.now()
        with self.records.look() as work:
            return [one for one in work.doors.sign_ins(member.id) if is_open(one, member, now)]

    def end(self, member: Member, handle: str) -> None:
        """End one of a member's own sign-ins; nothing happens when there is none of that handle."""
        with self.records.work() as work:
            for one in work.doors.sign_ins(member.id):
                if one.handle == handle:
                    work.doors.sign_out(one.token_hash)

    def end_others(self, member: Member, token: str) -> int:
        """End all of a member's own sign-ins but the one of a token; returns how many."""
        with self.records.work() as work:
            return work.doors.sign_out_all(member.id, but=secret_hash(token))

    def is_this(self, signed_in: SignedIn, token: str) -> bool:
        """Tell whether a sign-in is the one of a token."""
        return signed_in.token_hash == secret_hash(token)


def is_open(signed_in: SignedIn, member: Member, now: datetime) -> bool:
    """Tell whether a sign-in still opens something."""
    idle = IDLE_FOR.get(member.role)
    awake = idle is None or now - signed_in.seen < idle
    return signed_in.expires > now and awake and member.closed is None
