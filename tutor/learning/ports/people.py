"""Port: people, join codes, sign-ins, groups."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from tutor.learning.records import Group, JoinCode, Member, Role, SignedIn


class People(Protocol):
    """Members, join codes, and who is signed in."""

    def add(self, sign_in: str, name: str, role: Role, password: str, joined: datetime) -> Member:
        """Store a member; raises SignInTakenError."""
        ...

    def by_sign_in(self, sign_in: str) -> Member | None: ...

    def by_id(self, member: int) -> Member | None: ...

    def everybody(self) -> Sequence[Member]: ...

    def page(
        self, *, group: int | None = None, after: tuple[str, int] | None = None, limit: int = 50
    ) -> Sequence[Member]:
        """Return members by name and number, those after a place, of a group or of all."""
        ...

    def lock(self, member: int) -> None:
        """Let nobody else change what belongs to this member before this transaction ends."""
        ...

    def groups(self) -> Sequence[Group]: ...

    def add_group(self, name: str) -> Group:
        """Make a group; raises GroupTakenError."""
        ...

    def set_group(self, group: int, members: frozenset[int]) -> None: ...

    def drop_group(self, group: int) -> None: ...

    def set_password(self, member: int, password: str) -> None: ...

    def add_code(self, code: JoinCode) -> None: ...

    def code(self, code: str) -> JoinCode | None: ...

    def use_code(self, code: str) -> bool:
        """Take one use of a code; False when none is left."""
        ...

    def sign_in(self, signed_in: SignedIn) -> None: ...

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        """Return a sign-in with its member."""
        ...

    def sign_out(self, token_hash: str) -> None: ...

    def note_failure(self, account: str, address: str, at: datetime) -> None: ...

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        """Return how many tries failed since a time and when the last one was."""
        ...

    def clear_failures(self, account: str) -> None: ...
