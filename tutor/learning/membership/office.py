"""What organisers do with the accounts of others. Every act is noted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from tutor.learning.errors import OfficeError, UnknownError
from tutor.learning.membership.accounts import ACCOUNT_MADE, JOIN_CODE_MADE, clean_names, told_code
from tutor.learning.membership.codes import new_code, secret_hash
from tutor.learning.membership.passwords import NO_PASSWORD
from tutor.learning.membership.trail import acting, tell
from tutor.learning.ports import Chance, Clock, Records, Work
from tutor.learning.records import Act, JoinCode, Member, Role, SignedIn

PRINTED_CODE_FOR = timedelta(days=7)
LINK_FOR = timedelta(minutes=30)
MOST_USES, MOST_DAYS = 1000, 365
ACTS_AT_ONCE = 100


@dataclass(frozen=True, slots=True)
class ToldAct:
    """An act with the people's names, None for those who are erased or for nobody."""

    act: Act
    actor: Member | None
    whom: Member | None


@dataclass(frozen=True, slots=True)
class Office:
    """The use cases of keeping the club's accounts. That only organisers reach them is the business of the pages."""

    records: Records
    clock: Clock
    chance: Chance

    # -- looking -------------------------------------------------------------------------------------------------------
    def member(self, member: int) -> tuple[Member, Sequence[SignedIn]]:
        """Return a member and their sign-ins.

        Raises:
            UnknownError: If there is no such member.
        """
        with self.records.look() as work:
            return _found(work, member), work.doors.sign_ins(member)

    def join_codes(self) -> Sequence[JoinCode]:
        """Return the join codes that are still good."""
        with self.records.look() as work:
            return work.people.codes(self.clock.now())

    def acts(self, before: int | None = None) -> list[ToldAct]:
        """Return the latest acts, or those before a number, the latest first."""
        with self.records.look() as work:
            acts = work.trail.latest(ACTS_AT_ONCE, before)
            people = {member.id: member for member in work.people.everybody()}

        def told(act: Act, member: int | None) -> Member | None:
            found = None if member is None else people.get(member)
            # A number may be given again when the last member was erased; who joined later did not do it.
            return found if found is not None and found.joined <= act.at else None

        return [ToldAct(act, told(act, act.actor), told(act, act.whom)) for act in acts]

    # -- accounts ------------------------------------------------------------------------------------------------------
    def add(self, actor: Member, sign_in: str, name: str, role: Role) -> tuple[Member, str]:
        """Make an account without a password.

        Returns:
            The member, and the code with which they set their password.
        Raises:
            PasswordError, SignInTakenError: If the names cannot be, or are taken.
        """
        sign_in, name = clean_names(sign_in, name)
        code, now = new_code(self.chance), self.clock.now()
        with self.records.work() as work:
            member = work.people.add(sign_in, name, role, NO_PASSWORD, now)
            work.doors.set_reset_code(member.id, secret_hash(code), now + PRINTED_CODE_FOR)
            work.trail.note(now, actor.id, ACCOUNT_MADE, member.id, role.value)
        tell(self.clock, ACCOUNT_MADE, actor.id, member.id, role.value)
        return member, code

    def set_role(self, actor: Member, member: int, role: Role) -> None:
        """Give a member another role; their sign-ins end, so that none outlives what it was made for.

        Raises:
            UnknownError: If there is no such member.
            OfficeError: If the club would be left without an organiser.
        """
        with self.records.look() as work:
            found = _found(work, member)
        if found.role is role:
            return
        with acting(self.records, self.clock, actor, "role changed", found, f"{found.role} to {role}") as work:
            if role is not Role.ORGANISER:
                keep_an_organiser(work, found)
            work.people.set_role(member, role)
            work.doors.sign_out_all(member)

    def close(self, actor: Member, member: int) -> None:
        """Close an account: nobody signs in with it, and its sign-ins end; its records stay.

        Raises:
            UnknownError, OfficeError: As for `set_role`.
        """
        with self.records.look() as work:
            found = _found(work, member)
        with acting(self.records, self.clock, actor, "account closed", found) as work:
            keep_an_organiser(work, found)
            work.people.set_closed(member, self.clock.now())
            work.doors.sign_out_all(member)
            work.doors.drop_reset_codes(member)

    def reopen(self, actor: Member, member: int) -> None:
        """Open a closed account again."""
        with self.records.look() as work:
            found = _found(work, member)
        with acting(self.records, self.clock, actor, "account opened again", found) as work:
            work.people.set_closed(member, None)

    # -- doors ---------------------------------------------------------------------------------------------------------
    def print_reset_code(self, actor: Member | None, member: int) -> str:
        """Return a code with which a member sets a new password within seven days; an earlier one is void.

        Raises:
            UnknownError, OfficeError: If there is no such member, or the account is closed.
        """
        return self._reset(actor, member, new_code(self.chance), PRINTED_CODE_FOR, "reset code printed")

    def reset_link(self, member: int) -> str:
        """Return the token of a link with which a member sets a new password within thirty minutes.

        For whoever can be sure that only the member reads it; of 256 random bits, used as a code.
        """
        return self._reset(None, member, self.chance.token(), LINK_FOR, "reset link made")

    def _reset(self, actor: Member | None, member: int, code: str, good_for: timedelta, act: str) -> str:
        with self.records.look() as work:
            found = _found(work, member)
        if found.closed is not None:
            raise OfficeError("That account is closed; open it again first.")
        with acting(self.records, self.clock, actor, act, found) as work:
            work.doors.set_reset_code(member, secret_hash(code), self.clock.now() + good_for)
        return code

    def end_sign_ins(self, actor: Member, member: int) -> int:
        """End all sign-ins of a member; returns how many."""
        with self.records.look() as work:
            found = _found(work, member)
        with acting(self.records, self.clock, actor, "sign-ins ended", found) as work:
            return work.doors.sign_out_all(member)

    def drop_second_factor(self, actor: Member, member: int) -> None:
        """Take off the second factor of a member whose device is lost; their sign-ins end."""
        with self.records.look() as work:
            found = _found(work, member)
        with acting(self.records, self.clock, actor, "second factor taken off", found) as work:
            work.people.set_second(member, "", 0)
            work.doors.set_recovery_codes(member, ())
            work.doors.sign_out_all(member)

    # -- join codes ----------------------------------------------------------------------------------------------------
    def make_join_code(self, actor: Member, role: Role, uses: int, days: int) -> JoinCode:
        """Make a join code.

        Raises:
            OfficeError: If uses or days are out of range.
        """
        if not (1 <= uses <= MOST_USES and 1 <= days <= MOST_DAYS):
            raise OfficeError(f"A join code is good for 1 to {MOST_USES} people and for 1 to {MOST_DAYS} days.")
        code = JoinCode(self.chance.code(), role, uses, self.clock.now() + timedelta(days=days))
        with acting(self.records, self.clock, actor, JOIN_CODE_MADE, None, told_code(code, days)) as work:
            work.people.add_code(code)
        return code

    def drop_join_code(self, actor: Member, code: str) -> None:
        """Make a join code void."""
        with acting(self.records, self.clock, actor, "join code made void") as work:
            work.people.drop_code(code)


def _found(work: Work, member: int) -> Member:
    found = work.people.by_id(member)
    if found is None:
        raise UnknownError("member", str(member))
    return found


def keep_an_organiser(work: Work, leaving: Member) -> None:
    """Refuse to let the last organiser go.

    Raises:
        OfficeError: If no other account of an organiser is open.
    """
    others = [
        m for m in work.people.everybody() if m.role is Role.ORGANISER and m.closed is None and m.id != leaving.id
    ]
    if leaving.role is Role.ORGANISER and not others:
        raise OfficeError("The club would be left without an organiser; make somebody else one first.")
