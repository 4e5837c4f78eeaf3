"""Members' addresses, and how rounds reach them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tutor.learning.errors import UnknownError
from tutor.learning.ports import Records
from tutor.learning.records import Member
from tutor.learning.round_records import Address, By
from tutor.learning.rounds.errors import RoundError

LONGEST = 254
"""Characters of a mail address. Source: RFC 5321, section 4.5.3.1.3 (a path of 256, less its brackets)."""

# An address as people have one: dot-atoms on the left, a host name on the right (RFC 5321, section 4.1.2). Quoted
# local parts and address literals are left out: nobody in a club has one, and they are how headers get forged.
_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_ADDRESS = re.compile(
    rf"{_ATOM}(?:\.{_ATOM})*@(?:[A-Za-z0-9](?:[A-Za-z0-9-]{{0,61}}[A-Za-z0-9])?\.)*[A-Za-z0-9-]{{1,63}}"
)


def read_address(typed: str) -> str:
    """Return a mail address.

    Raises:
        RoundError: If it is none.
    """
    found = typed.strip()
    if len(found) > LONGEST or not _ADDRESS.fullmatch(found):
        raise RoundError(f"{found[:80]!r} is no mail address; one reads like a.baker@club.example")
    return found


@dataclass(frozen=True, slots=True)
class Addresses:
    """The use cases of the address list."""

    records: Records

    def everybody(self) -> Sequence[tuple[Member, Address]]:
        """Return all members with their addresses, by name."""
        with self.records.look() as work:
            known = work.rounds.addresses()
            members = work.people.everybody()
        return sorted(((m, known.get(m.id, Address(m.id))) for m in members), key=lambda pair: pair[0].name.casefold())

    def put(self, member: int, email: str, by: By) -> Address:
        """Note where a member is reached.

        Raises:
            RoundError: If the address is none, or mail is wanted without one.
            UnknownError: If there is no such member.
        """
        if by is By.MAIL and not email.strip():
            raise RoundError("Rounds by mail need a mail address; give one, or choose paper.")
        address = Address(member, read_address(email) if email.strip() else "", by)
        with self.records.work() as work:
            if work.people.by_id(member) is None:
                raise UnknownError("member", str(member))
            work.rounds.put_address(address)
        return address

    def shared(self) -> Mapping[str, int]:
        """Return the addresses that several members share, in small letters, with how many."""
        counts: dict[str, int] = {}
        with self.records.look() as work:
            for address in work.rounds.addresses().values():
                if address.email:
                    counts[address.email.lower()] = counts.get(address.email.lower(), 0) + 1
        return {email: count for email, count in counts.items() if count > 1}
