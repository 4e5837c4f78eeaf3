"""Tallies: counted with one statement each, so that two at once lose nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from tutor.learning.records import Sureness
from tutor.learning.tallies import Forecasts, Met, PracticeDay, SlipTally
from tutor.questions.text import filled_from_data, filled_to_data
from tutor.store.standing_tables import ForecastRow, MetRow, PracticeDayRow, SlipRow
from tutor.store.tables import Table


class SqlTallies:
    """The adapter of `learning.ports.Tallies`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def _put(self, table: type[Table], key: Sequence[str], first: Mapping[str, Any], then: Mapping[str, Any]) -> None:
        """Insert a row, or change the one that is there."""
        postgres = self._session.get_bind().dialect.name == "postgresql"
        insert: Any = postgresql.insert if postgres else sqlite.insert
        statement = insert(table).values(**first).on_conflict_do_update(index_elements=list(key), set_=dict(then))
        self._session.execute(statement)

    # -- templates met -------------------------------------------------------------------------------------------------
    def met(self, member: int) -> Mapping[str, Met]:
        rows = self._session.scalars(select(MetRow).where(MetRow.member_id == member))
        return {
            row.template: Met(
                template=row.template,
                topic=row.topic,
                times=row.times,
                last=row.last,
                answered=row.answered,
                solved=row.solved,
            )
            for row in rows
        }

    def note_issued(self, member: int, template: str, topic: str, at: datetime) -> None:
        first = {"member_id": member, "template": template, "topic": topic, "times": 1, "last": at, "solved": False}
        self._put(MetRow, ("member_id", "template"), first, {"times": MetRow.times + 1, "last": at, "topic": topic})

    def note_answered(self, member: int, template: str, day: date, solved: bool) -> None:
        self._session.execute(
            update(MetRow)
            .where(MetRow.member_id == member, MetRow.template == template)
            .values(answered=day, solved=solved)
        )

    # -- slips ---------------------------------------------------------------------------------------------------------
    def note_slip(self, member: int, slip: SlipTally) -> None:
        says = filled_to_data(slip.says)
        first = {
            "member_id": member,
            "template": slip.template,
            "slip": slip.slip,
            "title": slip.title,
            "topic": slip.topic,
            "says": says,
            "times": slip.times,
            "last": slip.last,
        }
        then = {"times": SlipRow.times + slip.times, "last": slip.last, "says": says, "overcome": None}
        self._put(SlipRow, ("member_id", "template", "slip"), first, then)

    def note_overcome(self, member: int, template: str, at: datetime) -> None:
        self._session.execute(
            update(SlipRow)
            .where(SlipRow.member_id == member, SlipRow.template == template, SlipRow.overcome.is_(None))
            .values(overcome=at)
        )

    def slips(self, member: int) -> Sequence[SlipTally]:
        query = select(SlipRow).where(SlipRow.member_id == member)
        rows = self._session.scalars(query.order_by(SlipRow.overcome.is_not(None), SlipRow.last.desc(), SlipRow.slip))
        return [_slip(row) for row in rows]

    def slips_of(self, members: Sequence[int]) -> Mapping[int, Sequence[SlipTally]]:
        query = select(SlipRow).where(SlipRow.member_id.in_(members), SlipRow.overcome.is_(None))
        found: dict[int, list[SlipTally]] = defaultdict(list)
        for row in self._session.scalars(query.order_by(SlipRow.times.desc(), SlipRow.last.desc(), SlipRow.slip)):
            found[row.member_id].append(_slip(row))
        return found

    # -- days and forecasts --------------------------------------------------------------------------------------------
    def count_day(self, member: int, day: date, solved: bool) -> None:
        first = {"member_id": member, "day": day, "questions": 1, "solved": int(solved)}
        then = {"questions": PracticeDayRow.questions + 1, "solved": PracticeDayRow.solved + int(solved)}
        self._put(PracticeDayRow, ("member_id", "day"), first, then)

    def days(self, member: int, since: date) -> Sequence[PracticeDay]:
        query = select(PracticeDayRow).where(PracticeDayRow.member_id == member, PracticeDayRow.day >= since)
        return [
            PracticeDay(row.day, row.questions, row.solved)
            for row in self._session.scalars(query.order_by(PracticeDayRow.day))
        ]

    def count_forecast(self, member: int, sure: Sureness, right: bool) -> None:
        first = {"member_id": member, "sure": int(sure), "answers": 1, "right": int(right)}
        then = {"answers": ForecastRow.answers + 1, "right": ForecastRow.right + int(right)}
        self._put(ForecastRow, ("member_id", "sure"), first, then)

    def forecasts(self, member: int) -> Sequence[Forecasts]:
        query = select(ForecastRow).where(ForecastRow.member_id == member).order_by(ForecastRow.sure)
        return [Forecasts(row.sure, row.answers, row.right) for row in self._session.scalars(query)]


def _slip(row: SlipRow) -> SlipTally:
    return SlipTally(
        template=row.template,
        title=row.title,
        topic=row.topic,
        slip=row.slip,
        says=filled_from_data(row.says),
        times=row.times,
        last=row.last,
        overcome=row.overcome,
    )
