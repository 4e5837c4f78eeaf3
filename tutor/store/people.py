"""Members, groups and join codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import delete, or_, select, tuple_, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tutor.learning.errors import GroupTakenError, SignInTakenError
from tutor.learning.records import Group, JoinCode, Member, Role
from tutor.store.course_tables import GroupMemberRow, GroupRow
from tutor.store.personal import everything_of
from tutor.store.round_tables import AddressRow, ReplyRow, RoundPaperRow
from tutor.store.tables import JoinCodeRow, MemberRow


class SqlPeople:
    """The adapter of `learning.ports.People`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, sign_in: str, name: str, role: Role, password: str, joined: datetime) -> Member:
        row = MemberRow(sign_in=sign_in, name=name, role=role.value, password=password, joined=joined)
        try:
            with self._session.begin_nested():
                self._session.add(row)
        except IntegrityError as error:
            raise SignInTakenError(sign_in) from error
        return member_of(row)

    def by_sign_in(self, sign_in: str) -> Member | None:
        row = self._session.scalar(select(MemberRow).where(MemberRow.sign_in == sign_in))
        return None if row is None else member_of(row)

    def by_id(self, member: int) -> Member | None:
        row = self._session.get(MemberRow, member)
        return None if row is None else member_of(row)

    def everybody(self) -> Sequence[Member]:
        return [
            member_of(row) for row in self._session.scalars(select(MemberRow).order_by(MemberRow.name, MemberRow.id))
        ]

    def page(
        self, *, group: int | None = None, after: tuple[str, int] | None = None, limit: int = 50
    ) -> Sequence[Member]:
        query = select(MemberRow).where(MemberRow.role == Role.MEMBER.value)
        if group is not None:
            query = query.join(GroupMemberRow, GroupMemberRow.member_id == MemberRow.id)
            query = query.where(GroupMemberRow.group_id == group)
        if after is not None:
            query = query.where(tuple_(MemberRow.name, MemberRow.id) > tuple_(*after))
        rows = self._session.scalars(query.order_by(MemberRow.name, MemberRow.id).limit(limit))
        return [member_of(row) for row in rows]

    def lock(self, member: int) -> None:
        if self._session.get_bind().dialect.name != "sqlite":  # whose writers stand in one queue already
            self._session.execute(select(MemberRow.id).where(MemberRow.id == member).with_for_update())

    # -- groups --------------------------------------------------------------------------------------------------------
    def groups(self) -> Sequence[Group]:
        members: dict[int, set[int]] = {}
        for row in self._session.scalars(select(GroupMemberRow)):
            members.setdefault(row.group_id, set()).add(row.member_id)
        rows = self._session.scalars(select(GroupRow).order_by(GroupRow.name))
        return [Group(row.id, row.name, frozenset(members.get(row.id, ()))) for row in rows]

    def add_group(self, name: str) -> Group:
        row = GroupRow(name=name)
        try:
            with self._session.begin_nested():
                self._session.add(row)
        except IntegrityError as error:
            raise GroupTakenError(name) from error
        return Group(row.id, row.name)

    def set_group(self, group: int, members: frozenset[int]) -> None:
        self._session.execute(delete(GroupMemberRow).where(GroupMemberRow.group_id == group))
        self._session.add_all(GroupMemberRow(group_id=group, member_id=member) for member in sorted(members))
        self._session.flush()

    def drop_group(self, group: int) -> None:
        self._session.execute(delete(GroupRow).where(GroupRow.id == group))

    # -- changes -------------------------------------------------------------------------------------------------------
    def set_password(self, member: int, password: str) -> None:
        self._change(member, password=password)

    def set_role(self, member: int, role: Role) -> None:
        self._change(member, role=role.value)

    def set_closed(self, member: int, at: datetime | None) -> None:
        self._change(member, closed=at)

    def set_second(self, member: int, secret: str, step: int) -> None:
        self._change(member, second=secret, second_step=step)

    def take_step(self, member: int, step: int) -> bool:
        # One statement decides, so that a code is taken once however many send it at a time.
        taken = self._session.execute(
            update(MemberRow).where(MemberRow.id == member, MemberRow.second_step < step).values(second_step=step)
        )
        return bool(taken.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    def everything_of(self, member: int) -> Mapping[str, list[dict[str, Any]]]:
        return everything_of(self._session, member)

    def erase(self, member: int) -> None:
        # A mail that came in points at no member: it is theirs by a paper's code, or by an address of theirs alone.
        codes = select(RoundPaperRow.code).where(RoundPaperRow.member_id == member)
        own = select(AddressRow.email).where(AddressRow.member_id == member, AddressRow.email != "")
        others = select(AddressRow.email).where(AddressRow.member_id != member)
        theirs = or_(ReplyRow.paper.in_(codes), ReplyRow.sender.in_(own) & ReplyRow.sender.not_in(others))
        self._session.execute(delete(ReplyRow).where(theirs).execution_options(synchronize_session=False))
        self._session.execute(delete(MemberRow).where(MemberRow.id == member))

    def _change(self, member: int, **values: Any) -> None:
        self._session.execute(update(MemberRow).where(MemberRow.id == member).values(**values))

    # -- join codes ----------------------------------------------------------------------------------------------------

    def add_code(self, code: JoinCode) -> None:
        self._session.add(JoinCodeRow(code=code.code, role=code.role.value, uses=code.uses, expires=code.expires))

    def code(self, code: str) -> JoinCode | None:
        row = self._session.get(JoinCodeRow, code)
        return None if row is None else JoinCode(row.code, Role(row.role), row.uses, row.expires)

    def codes(self, since: datetime) -> Sequence[JoinCode]:
        query = select(JoinCodeRow).where(JoinCodeRow.expires > since, JoinCodeRow.uses > 0)
        rows = self._session.scalars(query.order_by(JoinCodeRow.expires, JoinCodeRow.code))
        return [JoinCode(row.code, Role(row.role), row.uses, row.expires) for row in rows]

    def drop_code(self, code: str) -> None:
        self._session.execute(delete(JoinCodeRow).where(JoinCodeRow.code == code))

    def use_code(self, code: str) -> bool:
        # One statement decides, so that two people cannot take the last use.
        taken = self._session.execute(
            update(JoinCodeRow).where(JoinCodeRow.code == code, JoinCodeRow.uses > 0).values(uses=JoinCodeRow.uses - 1)
        )
        return bool(taken.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one


def member_of(row: Any) -> Member:
    """Return the member that a row tells of; an object or columns."""
    return Member(
        row.id,
        row.sign_in,
        row.name,
        Role(row.role),
        row.password,
        row.joined,
        row.closed,
        row.second,
        row.second_step,
    )
