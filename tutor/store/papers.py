"""Tests of members."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from tutor.learning.records import Paper
from tutor.store.tables import DraftRow, PaperRow


class SqlPapers:
    """The adapter of `learning.ports.Papers`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, paper: Paper) -> None:
        self._session.add(
            PaperRow(
                id=paper.id,
                member_id=paper.member,
                lesson=paper.lesson,
                begun=paper.begun,
                handed_in=paper.handed_in,
                issues=" ".join(paper.issues),
            )
        )
        self._session.flush()

    def get(self, paper: str) -> Paper | None:
        row = self._session.get(PaperRow, paper)
        return None if row is None else self._paper(row)

    def open_one(self, member: int, lesson: str) -> Paper | None:
        query = select(PaperRow).where(
            PaperRow.member_id == member, PaperRow.lesson == lesson, PaperRow.handed_in.is_(None)
        )
        row = self._session.scalars(query.order_by(PaperRow.begun)).first()
        return None if row is None else self._paper(row)

    def of_member(self, member: int) -> Sequence[Paper]:
        query = select(PaperRow).where(PaperRow.member_id == member).order_by(PaperRow.begun.desc())
        return [self._paper(row) for row in self._session.scalars(query)]

    def save(self, paper: str, issue: str, answers: Mapping[str, str]) -> None:
        row = self._session.get(DraftRow, (paper, issue))
        if row is None:
            self._session.add(DraftRow(paper_id=paper, issue_id=issue, answers=dict(answers)))
        else:
            row.answers = dict(answers)
        self._session.flush()

    def hand_in(self, paper: str, at: datetime) -> bool:
        # One statement decides, so that a paper handed in twice at once is marked once.
        closed = self._session.execute(
            update(PaperRow).where(PaperRow.id == paper, PaperRow.handed_in.is_(None)).values(handed_in=at)
        )
        return bool(closed.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    def _paper(self, row: PaperRow) -> Paper:
        drafts = self._session.scalars(select(DraftRow).where(DraftRow.paper_id == row.id))
        return Paper(
            id=row.id,
            member=row.member_id,
            lesson=row.lesson,
            begun=row.begun,
            handed_in=row.handed_in,
            issues=tuple(row.issues.split()),
            drafts={draft.issue_id: draft.answers for draft in drafts},
        )
