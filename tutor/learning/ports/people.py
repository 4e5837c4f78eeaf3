"""Port: people, join codes, groups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Protocol

from tutor.learning.records import Group, JoinCode, Member, Role


class People(Protocol):
    """Members, groups and join codes."""

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

    def set_role(self, member: int, role: Role) -> None: ...

    def set_closed(self, member: int, at: datetime | None) -> None: ...

    def set_second(self, member: int, secret: str, step: int) -> None: ...

    def take_step(self, member: int, step: int) -> bool:
        """Note that the second factor's code of a step is used; False when that or a later one was."""
        ...

    def everything_of(self, member: int) -> Mapping[str, list[dict[str, Any]]]:
        """Return table → rows of a member, as plain data, without secrets."""
        ...

    def erase(self, member: int) -> None:
        """Delete a member and everything that is theirs."""
        ...

    def add_code(self, code: JoinCode) -> None: ...

    def code(self, code: str) -> JoinCode | None: ...

    def codes(self, since: datetime) -> Sequence[JoinCode]:
        """Return the join codes that are still good at a time."""
        ...

    def drop_code(self, code: str) -> None: ...

    def use_code(self, code: str) -> bool:
        """Take one use of a code; False when none is left."""
        ...
