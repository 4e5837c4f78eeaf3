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
                marks=paper.marks,
                of=paper.of,
            )
        )
        self._session.flush()

    def get(self, paper: str) -> Paper | None:
        row = self._session.get(PaperRow, paper)
        return None if row is None else self._whole(row)

    def of_member(self, member: int) -> Sequence[Paper]:
        query = select(PaperRow).where(PaperRow.member_id == member).order_by(PaperRow.begun.desc())
        return [_paper(row, {}) for row in self._session.scalars(query)]

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

    def put_marks(self, paper: str, marks: int, of: int) -> None:
        self._session.execute(update(PaperRow).where(PaperRow.id == paper).values(marks=marks, of=of))

    def handed_in(self, lesson: str) -> Sequence[Paper]:
        query = select(PaperRow).where(PaperRow.lesson == lesson, PaperRow.handed_in.is_not(None))
        return [_paper(row, {}) for row in self._session.scalars(query.order_by(PaperRow.handed_in.desc()))]

    def _whole(self, row: PaperRow) -> Paper:
        drafts = self._session.scalars(select(DraftRow).where(DraftRow.paper_id == row.id))
        return _paper(row, {draft.issue_id: draft.answers for draft in drafts})


def _paper(row: PaperRow, drafts: Mapping[str, Mapping[str, str]]) -> Paper:
    return Paper(
        id=row.id,
        member=row.member_id,
        lesson=row.lesson,
        begun=row.begun,
        handed_in=row.handed_in,
        issues=tuple(row.issues.split()),
        drafts=drafts,
        marks=row.marks,
        of=row.of,
    )
