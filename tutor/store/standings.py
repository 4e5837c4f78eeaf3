"""Needles, ledgers, the evidence behind them, and learnt difficulties."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from tutor.learning.difficulty import Composition, Difficulties, Difficulty
from tutor.learning.facts import Fact
from tutor.learning.standing import Evidence, LedgerEntry, Standing
from tutor.store.standing_tables import CompositionRow, DifficultyRow, FactRow, LedgerRow, StandingRow
from tutor.store.tables import MemberRow

FACTS_AT_ONCE = 2000


class SqlStandings:
    """The adapter of `learning.ports.Standings`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def lock(self, member: int, topics: Iterable[str]) -> None:
        # SQLite's writers stand in one queue already. Elsewhere always in the same order, so that none waits in a ring.
        if self._session.get_bind().dialect.name == "sqlite":
            return
        self._session.execute(select(MemberRow.id).where(MemberRow.id == member).with_for_update())
        for topic in sorted(topics):
            self._session.execute(select(func.pg_advisory_xact_lock(_lock_number(topic))))

    def of_member(self, member: int) -> Mapping[str, Standing]:
        return self.of_members([member])[member]

    def of_members(self, members: Sequence[int]) -> Mapping[int, Mapping[str, Standing]]:
        rows = self._session.scalars(
            select(StandingRow).where(StandingRow.member_id.in_(members)).order_by(StandingRow.topic)
        )
        found: dict[int, dict[str, Standing]] = {member: {} for member in members}
        for row in rows:
            found[row.member_id][row.topic] = _standing(row)
        return found

    def put(self, member: int, topic: str, standing: Standing) -> None:
        row = self._session.get(StandingRow, (member, topic)) or StandingRow(member_id=member, topic=topic)
        row.weights = list(standing.weights)
        row.answers, row.days, row.weeks = standing.answers, standing.days, standing.weeks
        row.last, row.stood, row.counted = standing.last, standing.stood, list(standing.counted)
        row.secured, row.reviews = standing.secured, standing.reviews
        self._session.add(row)
        self._session.flush()

    def enter(self, member: int, entries: Sequence[LedgerEntry]) -> None:
        self._session.add_all(
            LedgerRow(
                member_id=member,
                topic=entry.topic,
                at=entry.at,
                says=entry.says,
                before=entry.before,
                after=entry.after,
                low=entry.low,
                high=entry.high,
                issue=entry.issue,
            )
            for entry in entries
        )
        self._session.flush()

    def ledger(self, member: int, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        query = select(LedgerRow).where(LedgerRow.member_id == member, LedgerRow.topic == topic)
        return [_entry(row) for row in self._session.scalars(query.order_by(LedgerRow.id.desc()).limit(limit))]

    def course_of(self, member: int, topic: str, since: datetime) -> Sequence[LedgerEntry]:
        query = select(LedgerRow).where(LedgerRow.member_id == member, LedgerRow.topic == topic, LedgerRow.at >= since)
        return [_entry(row) for row in self._session.scalars(query.order_by(LedgerRow.id))]

    # -- difficulties --------------------------------------------------------------------------------------------------
    def difficulties(self, topic: str) -> Difficulties:
        rows = self._session.scalars(select(DifficultyRow).where(DifficultyRow.topic == topic))
        return Difficulties({row.template: _difficulty(row) for row in rows})

    def all_difficulties(self) -> Mapping[str, Difficulties]:
        learnt: dict[str, dict[str, Difficulty]] = defaultdict(dict)
        for row in self._session.scalars(select(DifficultyRow)):
            learnt[row.topic][row.template] = _difficulty(row)
        return {topic: Difficulties(found) for topic, found in learnt.items()}

    def put_difficulty(self, topic: str, template: str, difficulty: Difficulty) -> None:
        row = self._session.get(DifficultyRow, (topic, template)) or DifficultyRow(topic=topic, template=template)
        row.value, row.variance = difficulty.value, difficulty.variance
        row.answers, row.settled = difficulty.answers, difficulty.settled
        self._session.add(row)
        self._session.flush()

    # -- evidence ------------------------------------------------------------------------------------------------------
    def add_fact(self, member: int, attempt: int, evidence: Evidence, bank: Composition) -> None:
        self._session.add(
            FactRow(
                member_id=member,
                attempt_id=attempt,
                issue_id=evidence.issue,
                topic=evidence.topic,
                template=evidence.template,
                title=evidence.title,
                level=evidence.level,
                share=evidence.share,
                guess=evidence.guess,
                hinted=evidence.hinted,
                slip=evidence.slip,
                day=evidence.day,
                at=evidence.at,
                bank=self._composition(bank),
            )
        )
        self._session.flush()

    def _composition(self, bank: Composition) -> str:
        key = hashlib.sha256(json.dumps(bank).encode()).hexdigest()[:32]
        if self._session.get(CompositionRow, key) is None:
            self._session.add(CompositionRow(id=key, templates=[list(pair) for pair in bank]))
            self._session.flush()
        return key

    def facts(self) -> Iterator[Fact]:
        banks = {
            row.id: tuple((str(name), int(level)) for name, level in row.templates)
            for row in self._session.scalars(select(CompositionRow))
        }
        after = 0
        while True:
            query = select(FactRow).where(FactRow.id > after).order_by(FactRow.id).limit(FACTS_AT_ONCE)
            rows = self._session.scalars(query).all()
            if not rows:
                return
            for row in rows:
                yield Fact(row.id, row.member_id, row.attempt_id, _evidence(row), banks[row.bank])
            after = rows[-1].id
            self._session.expunge_all()

    def shares_elsewhere(self, members: Sequence[int], template: str) -> Mapping[int, float]:
        query = (
            select(FactRow.member_id, func.avg(FactRow.share))
            .where(FactRow.member_id.in_(members), FactRow.template != template)
            .group_by(FactRow.member_id)
        )
        return {member: float(share) for member, share in self._session.execute(query)}

    def correct(self, attempt: int, topic: str, share: float, slip: str) -> None:
        self._session.execute(
            update(FactRow)
            .where(FactRow.attempt_id == attempt, FactRow.topic == topic)
            .values(share=share, slip=slip[:100])
        )

    def clear(self) -> None:
        for table in (StandingRow, LedgerRow, DifficultyRow):
            self._session.execute(delete(table))
        self._session.expunge_all()


def _lock_number(topic: str) -> int:
    return int.from_bytes(hashlib.sha256(topic.encode()).digest()[:8], "big", signed=True)


def _standing(row: StandingRow) -> Standing:
    return Standing(
        weights=tuple(row.weights),
        answers=row.answers,
        days=row.days,
        weeks=row.weeks,
        last=row.last,
        stood=row.stood,
        counted=tuple(row.counted),
        secured=row.secured,
        reviews=row.reviews,
    )


def _entry(row: LedgerRow) -> LedgerEntry:
    return LedgerEntry(
        topic=row.topic,
        at=row.at,
        says=row.says,
        before=row.before,
        after=row.after,
        low=row.low,
        high=row.high,
        issue=row.issue,
    )


def _difficulty(row: DifficultyRow) -> Difficulty:
    return Difficulty(row.value, row.variance, row.answers, row.settled)


def _evidence(row: FactRow) -> Evidence:
    fields: dict[str, Any] = {
        name: getattr(row, name)
        for name in ("topic", "template", "title", "level", "share", "guess", "hinted", "slip", "day", "at")
    }
    return Evidence(issue=row.issue_id, **fields)
