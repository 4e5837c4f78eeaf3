"""The outbox, and what came in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tutor.learning.round_records import Letter, LetterKind, LetterState, Reply, ReplyState
from tutor.store.round_tables import LetterRow, MailboxRow, ReplyRow, RoundPaperRow

_IN_ONE = 500
"""How many values stand in one IN (…)."""


class SqlLetters:
    """The adapter of `learning.ports.Letters`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(
        self, *, paper: str, kind: LetterKind, state: LetterState, message_id: str, to: str, made: datetime,
        answers_to: str = "",
    ) -> Letter:  # fmt: skip
        row = LetterRow(
            paper=paper, kind=kind.value, state=state.value, message_id=message_id, recipient=to, made=made,
            answers_to=answers_to[:500], tries=0, says="",
        )  # fmt: skip
        self._session.add(row)
        self._session.flush()
        return _letter(row)

    def get(self, letter: int) -> Letter | None:
        row = self._session.get(LetterRow, letter)
        return None if row is None else _letter(row)

    def of_round(self, round_: str) -> Sequence[Letter]:
        query = (
            select(LetterRow)
            .join(RoundPaperRow, RoundPaperRow.code == LetterRow.paper)
            .where(RoundPaperRow.round_id == round_)
            .order_by(LetterRow.id)
        )
        return [_letter(row) for row in self._session.scalars(query)]

    def of_paper(self, code: str) -> Sequence[Letter]:
        query = select(LetterRow).where(LetterRow.paper == code).order_by(LetterRow.id)
        return [_letter(row) for row in self._session.scalars(query)]

    def in_state(self, state: LetterState, limit: int = 1000) -> Sequence[Letter]:
        query = select(LetterRow).where(LetterRow.state == state.value).order_by(LetterRow.id).limit(limit)
        return [_letter(row) for row in self._session.scalars(query)]

    def by_message_id(self, message_ids: Sequence[str]) -> Sequence[Letter]:
        query = select(LetterRow).where(LetterRow.message_id.in_(list(message_ids)[:_IN_ONE]))
        return [_letter(row) for row in self._session.scalars(query)]

    def move(
        self, letter: int, before: Sequence[LetterState], after: LetterState, *, says: str | None = None,
        claimed: datetime | None = None, sent: datetime | None = None,
    ) -> bool:  # fmt: skip
        values: dict[str, Any] = {"state": after.value}
        if says is not None:
            values["says"] = says[:500]
        if claimed is not None:
            values |= {"claimed": claimed, "tries": LetterRow.tries + 1}
        if sent is not None:
            values["sent"] = sent
        # One statement decides, so that a letter claimed twice at once is sent once.
        known = (LetterRow.id == letter, LetterRow.state.in_([state.value for state in before]))
        moved = self._session.execute(
            update(LetterRow).where(*known).values(**values).execution_options(synchronize_session=False)
        )
        self._session.expire_all()
        return bool(moved.rowcount)  # type: ignore[attr-defined]  # a cursor result, which has one

    def put_raw(self, letter: int, raw: bytes) -> None:
        self._session.execute(update(LetterRow).where(LetterRow.id == letter).values(raw=raw))

    def raw(self, letter: int) -> bytes:
        return self._session.scalar(select(LetterRow.raw).where(LetterRow.id == letter)) or b""


class SqlReplies:
    """The adapter of `learning.ports.Replies`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, reply: Reply, raw: bytes) -> Reply | None:
        row = ReplyRow(digest=reply.digest, source=reply.source[:100], arrived=reply.arrived, raw=raw)
        _fill(row, reply)
        try:
            with self._session.begin_nested():
                self._session.add(row)
        except IntegrityError:
            return None
        return _reply(row)

    def get(self, reply: int) -> Reply | None:
        row = self._session.get(ReplyRow, reply)
        return None if row is None else _reply(row)

    def raw(self, reply: int) -> bytes:
        return self._session.scalar(select(ReplyRow.raw).where(ReplyRow.id == reply)) or b""

    def in_state(self, state: ReplyState, limit: int = 1000) -> Sequence[Reply]:
        query = select(ReplyRow).where(ReplyRow.state == state.value).order_by(ReplyRow.id).limit(limit)
        return [_reply(row) for row in self._session.scalars(query)]

    def of_papers(self, codes: Sequence[str]) -> Sequence[Reply]:
        found: list[Reply] = []
        for start in range(0, len(codes), _IN_ONE):
            some = list(codes[start : start + _IN_ONE])
            rows = self._session.scalars(select(ReplyRow).where(ReplyRow.paper.in_(some)).order_by(ReplyRow.id))
            found += [_reply(row) for row in rows]
        return found

    def put(self, reply: Reply) -> None:
        row = self._session.get(ReplyRow, reply.id)
        assert row is not None
        _fill(row, reply)
        self._session.flush()

    def place(self, mailbox: str) -> tuple[int, int]:
        row = self._session.get(MailboxRow, mailbox)
        return (0, 0) if row is None else (row.validity, row.number)

    def put_place(self, mailbox: str, validity: int, number: int) -> None:
        row = self._session.get(MailboxRow, mailbox) or MailboxRow(name=mailbox)
        row.validity, row.number = validity, number
        self._session.add(row)
        self._session.flush()


def _letter(row: LetterRow) -> Letter:
    return Letter(
        id=row.id,
        paper=row.paper,
        kind=LetterKind(row.kind),
        state=LetterState(row.state),
        message_id=row.message_id,
        to=row.recipient,
        made=row.made,
        claimed=row.claimed,
        sent=row.sent,
        tries=row.tries,
        says=row.says,
        answers_to=row.answers_to,
    )


def _fill(row: ReplyRow, reply: Reply) -> None:
    row.dated, row.message_id, row.sender = reply.dated, reply.message_id[:500], reply.sender[:254]
    row.subject, row.text, row.state = reply.subject[:300], reply.text, reply.state.value
    row.paper, row.why = reply.paper, reply.why[:500]
    row.found, row.unsure = dict(reply.found), dict(reply.unsure)


def _reply(row: ReplyRow) -> Reply:
    return Reply(
        id=row.id,
        digest=row.digest,
        source=row.source,
        arrived=row.arrived,
        dated=row.dated,
        message_id=row.message_id,
        sender=row.sender,
        subject=row.subject,
        text=row.text,
        state=ReplyState(row.state),
        paper=row.paper,
        why=row.why,
        found=row.found,
        unsure=row.unsure,
    )
