"""Who is signed in, failed tries, and the codes that open an account without its password."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from sqlalchemy import bindparam, delete, func, select, update
from sqlalchemy.orm import Session

from tutor.learning.records import Member, SignedIn
from tutor.store.people import member_of
from tutor.store.tables import FailureRow, MemberRow, RecoveryCodeRow, ResetCodeRow, SignedInRow

_SIGNED_IN = (
    select(
        SignedInRow.token_hash,
        SignedInRow.made,
        SignedInRow.expires,
        SignedInRow.seen,
        SignedInRow.browser,
        MemberRow.id,
        MemberRow.sign_in,
        MemberRow.name,
        MemberRow.role,
        MemberRow.password,
        MemberRow.joined,
        MemberRow.closed,
        MemberRow.second,
        MemberRow.second_step,
    )
    .join(MemberRow, MemberRow.id == SignedInRow.member_id)
    .where(SignedInRow.token_hash == bindparam("token"))
)


class SqlDoors:
    """The adapter of `learning.ports.Doors`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    # -- sign-ins ------------------------------------------------------------------------------------------------------
    def sign_in(self, signed_in: SignedIn) -> None:
        self._session.add(
            SignedInRow(
                token_hash=signed_in.token_hash,
                member_id=signed_in.member,
                made=signed_in.made,
                expires=signed_in.expires,
                seen=signed_in.seen,
                browser=signed_in.browser,
            )
        )

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        # Asked at every request: one statement, and columns instead of objects.
        row = self._session.execute(_SIGNED_IN, {"token": token_hash}).first()
        if row is None:
            return None
        seen = row.seen or row.made
        return SignedIn(row.token_hash, row.id, row.made, row.expires, seen, row.browser), member_of(row)

    def sign_ins(self, member: int) -> Sequence[SignedIn]:
        query = select(SignedInRow).where(SignedInRow.member_id == member).order_by(SignedInRow.made.desc())
        return [
            SignedIn(row.token_hash, row.member_id, row.made, row.expires, row.seen or row.made, row.browser)
            for row in self._session.scalars(query)
        ]

    def saw(self, token_hash: str, at: datetime) -> None:
        self._session.execute(update(SignedInRow).where(SignedInRow.token_hash == token_hash).values(seen=at))

    def sign_out(self, token_hash: str) -> None:
        self._session.execute(delete(SignedInRow).where(SignedInRow.token_hash == token_hash))

    def sign_out_all(self, member: int, but: str = "") -> int:
        ended = self._session.execute(
            delete(SignedInRow).where(SignedInRow.member_id == member, SignedInRow.token_hash != but)
        )
        return int(ended.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    # -- failed tries --------------------------------------------------------------------------------------------------
    def note_failure(self, account: str, address: str, at: datetime) -> None:
        self._session.add(FailureRow(account=account, address=address, at=at))

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        count, last = self._session.execute(
            select(func.count(FailureRow.id), func.max(FailureRow.at)).where(
                FailureRow.account == account, FailureRow.address == address, FailureRow.at >= since
            )
        ).one()
        return int(count), last

    def failures_everywhere(self, account: str, since: datetime) -> int:
        query = select(func.count(FailureRow.id)).where(FailureRow.account == account, FailureRow.at >= since)
        return int(self._session.scalar(query) or 0)

    def clear_failures(self, account: str) -> None:
        self._session.execute(delete(FailureRow).where(FailureRow.account == account))

    def sweep(self, now: datetime, failures_before: datetime) -> None:
        self._session.execute(delete(SignedInRow).where(SignedInRow.expires <= now))
        self._session.execute(delete(ResetCodeRow).where(ResetCodeRow.expires <= now))
        self._session.execute(delete(FailureRow).where(FailureRow.at < failures_before))

    # -- codes ---------------------------------------------------------------------------------------------------------
    def set_reset_code(self, member: int, code_hash: str, expires: datetime) -> None:
        self.drop_reset_codes(member)
        self._session.add(ResetCodeRow(code_hash=code_hash, member_id=member, expires=expires))

    def reset_code(self, code_hash: str) -> tuple[int, datetime] | None:
        row = self._session.get(ResetCodeRow, code_hash)
        return None if row is None else (row.member_id, row.expires)

    def use_reset_code(self, code_hash: str) -> bool:
        # One statement decides, so that a code opens once however many try it at a time.
        used = self._session.execute(delete(ResetCodeRow).where(ResetCodeRow.code_hash == code_hash))
        return bool(used.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    def drop_reset_codes(self, member: int) -> None:
        self._session.execute(delete(ResetCodeRow).where(ResetCodeRow.member_id == member))

    def set_recovery_codes(self, member: int, code_hashes: Iterable[str]) -> None:
        self._session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.member_id == member))
        self._session.add_all(RecoveryCodeRow(member_id=member, code_hash=code) for code in code_hashes)

    def recovery_codes(self, member: int) -> int:
        query = select(func.count()).select_from(RecoveryCodeRow).where(RecoveryCodeRow.member_id == member)
        return int(self._session.scalar(query) or 0)

    def use_recovery_code(self, member: int, code_hash: str) -> bool:
        used = self._session.execute(
            delete(RecoveryCodeRow).where(RecoveryCodeRow.member_id == member, RecoveryCodeRow.code_hash == code_hash)
        )
        return bool(used.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one
