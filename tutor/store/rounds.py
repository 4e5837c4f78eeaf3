"""Rounds, their papers, and addresses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from tutor.learning.round_records import Address, By, Round, RoundPaper
from tutor.store.round_tables import AddressRow, RoundPaperRow, RoundRow


class SqlRounds:
    """The adapter of `learning.ports.Rounds`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def addresses(self) -> Mapping[int, Address]:
        rows = self._session.scalars(select(AddressRow))
        return {row.member_id: Address(row.member_id, row.email, By(row.post)) for row in rows}

    def put_address(self, address: Address) -> None:
        row = self._session.get(AddressRow, address.member) or AddressRow(member_id=address.member)
        row.email, row.post = address.email, address.by.value
        self._session.add(row)
        self._session.flush()

    def add(self, round_: Round) -> None:
        self._session.add(
            RoundRow(
                id=round_.id,
                title=round_.title,
                lesson=round_.lesson,
                topics=list(round_.topics),
                templates=list(round_.templates),
                common=round_.common,
                note=round_.note,
                made=round_.made,
                closes=round_.closes,
            )
        )
        self._session.flush()

    def get(self, round_: str) -> Round | None:
        row = self._session.get(RoundRow, round_)
        return None if row is None else _round(row)

    def all(self) -> Sequence[Round]:
        return [_round(row) for row in self._session.scalars(select(RoundRow).order_by(RoundRow.made.desc()))]

    def add_paper(self, paper: RoundPaper) -> None:
        query = select(func.count()).where(RoundPaperRow.round_id == paper.round)
        self._session.add(
            RoundPaperRow(
                code=paper.code,
                round_id=paper.round,
                member_id=paper.member,
                post=paper.by.value,
                issues=" ".join(paper.issues),
                place=self._session.scalar(query) or 0,
                answered=paper.answered,
                late=paper.late,
            )
        )
        self._session.flush()

    def has_code(self, code: str) -> bool:
        return self._session.get(RoundPaperRow, code) is not None

    def paper(self, code: str) -> RoundPaper | None:
        row = self._session.get(RoundPaperRow, code)
        return None if row is None else _paper(row)

    def papers(self, round_: str) -> Sequence[RoundPaper]:
        query = select(RoundPaperRow).where(RoundPaperRow.round_id == round_).order_by(RoundPaperRow.place)
        return [_paper(row) for row in self._session.scalars(query)]

    def papers_of(self, member: int) -> Sequence[RoundPaper]:
        query = (
            select(RoundPaperRow)
            .join(RoundRow, RoundRow.id == RoundPaperRow.round_id)
            .where(RoundPaperRow.member_id == member)
            .order_by(RoundRow.made.desc(), RoundPaperRow.code)
        )
        return [_paper(row) for row in self._session.scalars(query)]

    def note_answered(self, code: str, at: datetime, *, late: bool) -> None:
        unanswered = (RoundPaperRow.code == code, RoundPaperRow.answered.is_(None))
        self._session.execute(update(RoundPaperRow).where(*unanswered).values(answered=at, late=late))


def _round(row: RoundRow) -> Round:
    return Round(
        id=row.id,
        title=row.title,
        lesson=row.lesson,
        topics=tuple(row.topics),
        templates=tuple(row.templates),
        common=row.common,
        note=row.note,
        made=row.made,
        closes=row.closes,
    )


def _paper(row: RoundPaperRow) -> RoundPaper:
    return RoundPaper(
        code=row.code,
        round=row.round_id,
        member=row.member_id,
        by=By(row.post),
        issues=tuple(row.issues.split()),
        answered=row.answered,
        late=row.late,
    )
