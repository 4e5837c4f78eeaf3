"""The tables of standings: needles, ledgers, the evidence behind them, learnt difficulties, tallies."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, Float, ForeignKey, Index, Integer, String
from sqlalchemy.orm import Mapped, mapped_column

from tutor.store.tables import Table

_RISING = BigInteger().with_variant(Integer, "sqlite")
_EXACT = Float(53)


def _member(**more: Any) -> Any:
    return mapped_column(ForeignKey("members.id", ondelete="CASCADE"), **more)


class StandingRow(Table):
    """A member's needle in one topic; derived from the evidence and made anew from it at will."""

    __tablename__ = "standings"
    member_id: Mapped[int] = _member(primary_key=True)
    topic: Mapped[str] = mapped_column(String(100), primary_key=True)
    weights: Mapped[list[float]]
    answers: Mapped[int]
    days: Mapped[int]
    weeks: Mapped[int]
    last: Mapped[date]
    stood: Mapped[float] = mapped_column(_EXACT)
    counted: Mapped[list[str]] = mapped_column(JSON)
    secured: Mapped[date | None]
    reviews: Mapped[int]


class LedgerRow(Table):
    """A sentence of a ledger."""

    __tablename__ = "ledger"
    id: Mapped[int] = mapped_column(_RISING, primary_key=True, autoincrement=True)
    member_id: Mapped[int] = _member()
    topic: Mapped[str] = mapped_column(String(100))
    at: Mapped[datetime]
    says: Mapped[str] = mapped_column(String(400))
    before: Mapped[float] = mapped_column(_EXACT)
    after: Mapped[float] = mapped_column(_EXACT)
    low: Mapped[float] = mapped_column(_EXACT)
    high: Mapped[float] = mapped_column(_EXACT)
    issue: Mapped[str] = mapped_column(String(64))
    __table_args__ = (Index("ix_ledger_member_topic_id", "member_id", "topic", "id"),)


class FactRow(Table):
    """What one first attempt said about one topic: from these every standing can be made anew."""

    __tablename__ = "facts"
    id: Mapped[int] = mapped_column(_RISING, primary_key=True, autoincrement=True)
    member_id: Mapped[int] = _member(index=True)
    attempt_id: Mapped[int] = mapped_column(ForeignKey("attempts.id", ondelete="CASCADE"), index=True)
    issue_id: Mapped[str] = mapped_column(String(64))
    topic: Mapped[str] = mapped_column(String(100))
    template: Mapped[str] = mapped_column(String(100))
    title: Mapped[str] = mapped_column(String(200))
    level: Mapped[int]
    share: Mapped[float] = mapped_column(_EXACT)
    guess: Mapped[float] = mapped_column(_EXACT)
    hinted: Mapped[bool]
    slip: Mapped[str] = mapped_column(String(100))
    day: Mapped[date]
    at: Mapped[datetime]
    bank: Mapped[str] = mapped_column(ForeignKey("compositions.id"))
    __table_args__ = (Index("ix_facts_template_id", "template", "id"),)


class CompositionRow(Table):
    """The templates of a topic's bank at one time; its key is a hash of them."""

    __tablename__ = "compositions"
    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    templates: Mapped[list[Any]] = mapped_column(JSON)


class DifficultyRow(Table):
    """What is learnt of one template's difficulty, by topic."""

    __tablename__ = "difficulties"
    topic: Mapped[str] = mapped_column(String(100), primary_key=True)
    template: Mapped[str] = mapped_column(String(100), primary_key=True)
    value: Mapped[float] = mapped_column(_EXACT)
    variance: Mapped[float] = mapped_column(_EXACT)
    answers: Mapped[int]
    settled: Mapped[float] = mapped_column(_EXACT)


class MetRow(Table):
    """One template as a member has met it."""

    __tablename__ = "met"
    member_id: Mapped[int] = _member(primary_key=True)
    template: Mapped[str] = mapped_column(String(100), primary_key=True)
    topic: Mapped[str] = mapped_column(String(100))
    times: Mapped[int]
    last: Mapped[datetime]
    answered: Mapped[date | None]
    solved: Mapped[bool]


class SlipRow(Table):
    """A slip that a member made, counted."""

    __tablename__ = "slips"
    member_id: Mapped[int] = _member(primary_key=True)
    template: Mapped[str] = mapped_column(String(100), primary_key=True)
    slip: Mapped[str] = mapped_column(String(100), primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    topic: Mapped[str] = mapped_column(String(100))
    says: Mapped[list[Any]] = mapped_column(JSON)
    times: Mapped[int]
    last: Mapped[datetime]
    overcome: Mapped[datetime | None]


class PracticeDayRow(Table):
    """One day of a member's practice, counted."""

    __tablename__ = "practice_days"
    member_id: Mapped[int] = _member(primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)
    questions: Mapped[int]
    solved: Mapped[int]


class ForecastRow(Table):
    """How often a member was right when they said to be so sure, counted."""

    __tablename__ = "forecasts"
    member_id: Mapped[int] = _member(primary_key=True)
    sure: Mapped[int] = mapped_column(primary_key=True)
    answers: Mapped[int]
    right: Mapped[int]
