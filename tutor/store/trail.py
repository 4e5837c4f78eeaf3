"""The log of acts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from tutor.learning.records import Act
from tutor.store.tables import ActRow


class SqlTrail:
    """The adapter of `learning.ports.Trail`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def note(self, at: datetime, actor: int | None, act: str, whom: int | None, detail: str) -> None:
        self._session.add(ActRow(at=at, actor=actor, act=act, whom=whom, detail=detail))

    def latest(self, limit: int, before: int | None = None) -> Sequence[Act]:
        query = select(ActRow).order_by(ActRow.id.desc()).limit(limit)
        if before is not None:
            query = query.where(ActRow.id < before)
        return [Act(row.id, row.at, row.actor, row.act, row.whom, row.detail) for row in self._session.scalars(query)]
