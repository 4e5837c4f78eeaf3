"""What members do with their own account: password, forgotten password, second factor."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.learning.errors import PasswordError, ResetCodeError, SecondFactorError
from tutor.learning.membership.codes import plain_code, secret_hash
from tutor.learning.membership.passwords import check_password, is_usable, normal_password
from tutor.learning.membership.second_factor import give_recovery_codes, takes
from tutor.learning.membership.throttle import refuse_guessing
from tutor.learning.membership.totp import fitting_step, secret_of
from tutor.learning.membership.trail import acting
from tutor.learning.ports import Chance, Clock, Passwords, Records, Work
from tutor.learning.records import Member

_RESETTING = "a reset code"  # as an account that is tried to be opened; no sign-in name has blanks


@dataclass(frozen=True, slots=True)
class OwnAccount:
    """The use cases of one's own account.

    Attributes:
        records, clock, chance, passwords: The ports.
        club: The club's name, whose words make no password.
    """

    records: Records
    clock: Clock
    chance: Chance
    passwords: Passwords
    club: str = ""

    # -- password ------------------------------------------------------------------------------------------------------
    def change_password(self, member: Member, old: str, new: str, token: str, address: str) -> None:
        """Set a new password; all other sign-ins end.

        Args:
            member: Whose.
            old: The password of before, as typed.
            new: The new one, as typed.
            token: Of the sign-in that stays.
            address: Where the request comes from, for slowing down guessing.
        Raises:
            PasswordError: If the old one is wrong or the new one is refused.
            SignInError: After too many wrong ones.
        """
        self._must_know(member, old, address)
        check_password(new, member.sign_in, member.name, self.club)
        hashed = self.passwords.hashed(normal_password(new))
        with acting(self.records, self.clock, member, "password changed", member) as work:
            self._set_password(work, member, hashed, keep=token)

    def _must_know(self, member: Member, password: str, address: str) -> None:
        now = self.clock.now()
        with self.records.look() as work:
            refuse_guessing(work, member.sign_in, address, now)
        if not is_usable(member.password) or not self.passwords.fits(member.password, normal_password(password)):
            with self.records.work() as work:
                work.doors.note_failure(member.sign_in, address, now)
            raise PasswordError("Your present password is another one.")

    def _set_password(self, work: Work, member: Member, hashed: str, keep: str = "") -> None:
        work.people.set_password(member.id, hashed)
        work.doors.drop_reset_codes(member.id)
        work.doors.clear_failures(member.sign_in)
        work.doors.sign_out_all(member.id, but=secret_hash(keep) if keep else "")

    def reset(self, code: str, new: str, address: str) -> Member:
        """Set a new password with a reset code; all sign-ins end, and the code is used up.

        Raises:
            ResetCodeError: If the code is unknown, used or out of date.
            PasswordError: If the password is refused; the code stays good.
            SignInError: If this address has tried too many codes.
        """
        hashed_code, now = secret_hash(plain_code(code)), self.clock.now()
        with self.records.look() as work:
            refuse_guessing(work, _RESETTING, address, now)
            found = work.doors.reset_code(hashed_code)
            member = None if found is None else work.people.by_id(found[0])
        if found is None or member is None or found[1] <= now or member.closed is not None:
            with self.records.work() as work:
                work.doors.note_failure(_RESETTING, address, now)
            raise ResetCodeError
        check_password(new, member.sign_in, member.name, self.club)
        hashed = self.passwords.hashed(normal_password(new))
        with acting(self.records, self.clock, member, "password reset", member) as work:
            if not work.doors.use_reset_code(hashed_code):
                raise ResetCodeError
            self._set_password(work, member, hashed)
        return member

    # -- second factor -------------------------------------------------------------------------------------------------
    def new_secret(self) -> str:
        """Return a secret for a second factor; nothing is stored before a code of it is typed."""
        return secret_of(self.chance.token())

    def set_second_factor(self, member: Member, secret: str, code: str) -> tuple[str, ...]:
        """Make signing in ask for a second factor from now on.

        Args:
            member: Whose.
            secret: Of `new_secret`.
            code: What the device shows: proof that it has the secret.
        Returns:
            Ten recovery codes, told once.
        Raises:
            SecondFactorError: If the code does not fit, or there is a second factor already.
        """
        step = fitting_step(secret, code, self.clock.now())
        if step is None or member.second:
            raise SecondFactorError(wrong=True)
        with acting(self.records, self.clock, member, "second factor set up", member) as work:
            work.people.set_second(member.id, secret, step)
            return give_recovery_codes(work, member, self.chance)

    def drop_second_factor(self, member: Member, password: str, code: str, address: str) -> None:
        """Sign in by password alone from now on.

        Raises:
            PasswordError, SecondFactorError: If the password or the code is wrong.
            SignInError: After too many wrong ones.
        """
        self._must_know(member, password, address)
        now = self.clock.now()
        with self.records.work() as work:
            fits = bool(member.second) and takes(work, member, code, now)
            if not fits:
                work.doors.note_failure(member.sign_in, address, now)
        if not fits:
            raise SecondFactorError(wrong=True)
        with acting(self.records, self.clock, member, "second factor taken off", member) as work:
            work.people.set_second(member.id, "", 0)
            work.doors.set_recovery_codes(member.id, ())

    def recovery_codes(self, member: Member) -> int:
        """Return how many recovery codes are left."""
        with self.records.look() as work:
            return work.doors.recovery_codes(member.id)
