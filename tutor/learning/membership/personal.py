"""A member's own data: handed out as a whole, or deleted as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.learning.errors import UnknownError
from tutor.learning.membership.accounts import account_name
from tutor.learning.membership.office import keep_an_organiser
from tutor.learning.membership.trail import acting
from tutor.learning.ports import Clock, Records, Work
from tutor.learning.records import Member
from tutor.learning.replay import differences, replay, replayed


@dataclass(frozen=True, slots=True)
class PersonalData:
    """The use cases of personal data."""

    records: Records
    clock: Clock

    def export(self, sign_in: str, actor: Member | None = None) -> Mapping[str, list[dict[str, Any]]]:
        """Return kind of record → everything the club keeps about a member, without what would open doors.

        Raises:
            UnknownError: If nobody signs in by that name.
        """
        found = self._found(sign_in)
        with acting(self.records, self.clock, actor, "personal data exported", found) as work:
            return work.people.everything_of(found.id)

    def erase(self, sign_in: str, actor: Member | None = None) -> bool:
        """Delete a member and all that is theirs: account, answers, tests, standings, notes.

        What was learnt of the difficulties of templates rests on everybody's answers. Where the standings of the others
        follow from the evidence, they are made anew without the evidence that is gone.

        Returns:
            Whether the standings were made anew.
        Raises:
            UnknownError: If nobody signs in by that name.
            OfficeError: If the club would be left without an organiser.
        """
        found = self._found(sign_in)
        with self.records.look() as work:
            sound = _follows(work)
        with acting(self.records, self.clock, actor, "member erased", found) as work:
            keep_an_organiser(work, found)
            work.doors.clear_failures(found.sign_in)
            work.people.erase(found.id)
        if sound:
            replay(self.records)
        return sound

    def _found(self, sign_in: str) -> Member:
        with self.records.look() as work:
            found = work.people.by_sign_in(account_name(sign_in))
        if found is None:
            raise UnknownError("member", sign_in)
        return found


def _follows(work: Work) -> bool:
    """Tell whether all standings follow from the evidence; those of before evidence was kept do not."""
    members = [member.id for member in work.people.everybody()]
    return not differences(work, replayed(work.standings.facts()), members)
