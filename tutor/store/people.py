"""Members, join codes, and who is signed in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import bindparam, delete, func, select, tuple_, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tutor.learning.errors import GroupTakenError, SignInTakenError
from tutor.learning.records import Group, JoinCode, Member, Role, SignedIn
from tutor.store.course_tables import GroupMemberRow, GroupRow
from tutor.store.tables import FailureRow, JoinCodeRow, MemberRow, SignedInRow

_SIGNED_IN = (
    select(
        SignedInRow.token_hash,
        SignedInRow.made,
        SignedInRow.expires,
        MemberRow.id,
        MemberRow.sign_in,
        MemberRow.name,
        MemberRow.role,
        MemberRow.password,
        MemberRow.joined,
    )
    .join(MemberRow, MemberRow.id == SignedInRow.member_id)
    .where(SignedInRow.token_hash == bindparam("token"))
)


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
        return _member(row)

    def by_sign_in(self, sign_in: str) -> Member | None:
        row = self._session.scalar(select(MemberRow).where(MemberRow.sign_in == sign_in))
        return None if row is None else _member(row)

    def by_id(self, member: int) -> Member | None:
        row = self._session.get(MemberRow, member)
        return None if row is None else _member(row)

    def everybody(self) -> Sequence[Member]:
        return [_member(row) for row in self._session.scalars(select(MemberRow).order_by(MemberRow.name, MemberRow.id))]

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
        return [_member(row) for row in rows]

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

    def set_password(self, member: int, password: str) -> None:
        self._session.execute(update(MemberRow).where(MemberRow.id == member).values(password=password))

    def add_code(self, code: JoinCode) -> None:
        self._session.add(JoinCodeRow(code=code.code, role=code.role.value, uses=code.uses, expires=code.expires))

    def code(self, code: str) -> JoinCode | None:
        row = self._session.get(JoinCodeRow, code)
        return None if row is None else JoinCode(row.code, Role(row.role), row.uses, row.expires)

    def use_code(self, code: str) -> bool:
        # One statement decides, so that two people cannot take the last use.
        taken = self._session.execute(
            update(JoinCodeRow).where(JoinCodeRow.code == code, JoinCodeRow.uses > 0).values(uses=JoinCodeRow.uses - 1)
        )
        return bool(taken.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    def sign_in(self, signed_in: SignedIn) -> None:
        self._session.add(
            SignedInRow(
                token_hash=signed_in.token_hash,
                member_id=signed_in.member,
                made=signed_in.made,
                expires=signed_in.expires,
            )
        )

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        # Asked at every request: one statement, and columns instead of objects.
        row = self._session.execute(_SIGNED_IN, {"token": token_hash}).first()
        if row is None:
            return None
        member = Member(row.id, row.sign_in, row.name, Role(row.role), row.password, row.joined)
        return SignedIn(row.token_hash, row.id, row.made, row.expires), member

    def sign_out(self, token_hash: str) -> None:
        self._session.execute(delete(SignedInRow).where(SignedInRow.token_hash == token_hash))

    def note_failure(self, account: str, address: str, at: datetime) -> None:
        self._session.add(FailureRow(account=account, address=address, at=at))

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        count, last = self._session.execute(
            select(func.count(FailureRow.id), func.max(FailureRow.at)).where(
                FailureRow.account == account, FailureRow.address == address, FailureRow.at >= since
            )
        ).one()
        return int(count), last

    def clear_failures(self, account: str) -> None:
        self._session.execute(delete(FailureRow).where(FailureRow.account == account))


def _member(row: MemberRow) -> Member:
    return Member(row.id, row.sign_in, row.name, Role(row.role), row.password, row.joined)
