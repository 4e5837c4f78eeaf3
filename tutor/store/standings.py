"""Needles and their ledgers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from tutor.learning.standing import LedgerEntry, Standing
from tutor.store.tables import LedgerRow, StandingRow


class SqlStandings:
    """The adapter of `learning.ports.Standings`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def of_member(self, member: int) -> Mapping[str, Standing]:
        rows = self._session.scalars(
            select(StandingRow).where(StandingRow.member_id == member).order_by(StandingRow.topic)
        )
        return {row.topic: _standing(row) for row in rows}

    def put(self, member: int, topic: str, standing: Standing) -> None:
        row = self._session.get(StandingRow, (member, topic)) or StandingRow(member_id=member, topic=topic)
        row.weights = list(standing.weights)
        row.answers, row.days, row.weeks = standing.answers, standing.days, standing.weeks
        row.last, row.was_secure = standing.last, standing.was_secure
        self._session.add(row)
        self._session.flush()

    def enter(self, member: int, entry: LedgerEntry) -> None:
        self._session.add(
            LedgerRow(
                member_id=member,
                topic=entry.topic,
                at=entry.at,
                says=entry.says,
                before=entry.before,
                after=entry.after,
                issue=entry.issue,
            )
        )
        self._session.flush()

    def ledger(self, member: int, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        query = (
            select(LedgerRow)
            .where(LedgerRow.member_id == member, LedgerRow.topic == topic)
            .order_by(LedgerRow.id.desc())
            .limit(limit)
        )
        return [
            LedgerEntry(topic=r.topic, at=r.at, says=r.says, before=r.before, after=r.after, issue=r.issue)
            for r in self._session.scalars(query)
        ]


def _standing(row: StandingRow) -> Standing:
    return Standing(
        weights=tuple(row.weights),
        answers=row.answers,
        days=row.days,
        weeks=row.weeks,
        last=row.last,
        was_secure=row.was_secure,
    )
