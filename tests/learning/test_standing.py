"""Standing: plain words, and a ledger whose sentences add up."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from tutor.learning.standing import Evidence, LedgerEntry, Standing, Word, moved

BANK = (-1.5, -0.5, 0.5, 1.5)
START = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)


def evidence(share: float = 1.0, day: int = 0, **changes: object) -> Evidence:
    made = {
        "topic": "dividers",
        "share": share,
        "difficulty": 0.5,
        "hinted": False,
        "at": START + timedelta(days=day),
        "issue": "q1",
    }
    return Evidence(**(made | changes))  # type: ignore[arg-type]


def practised(days: list[int], share: float = 1.0) -> tuple[Standing, list[LedgerEntry]]:
    standing: Standing | None = None
    ledger: list[LedgerEntry] = []
    for day in days:
        standing, entries = moved(standing, evidence(share, day), BANK)
        ledger += entries
    assert standing is not None
    return standing, ledger


def test_one_answer_is_learning() -> None:
    standing, _ = practised([0])
    assert standing.word(BANK, START.date()) is Word.LEARNING
    assert (standing.answers, standing.days, standing.weeks) == (1, 1, 1)


def test_many_right_answers_on_one_day_are_not_secure() -> None:
    standing, _ = practised([0] * 30)
    assert standing.score(BANK, START.date()).mean > 0.8
    assert standing.word(BANK, START.date()) is Word.LEARNING


def test_right_answers_on_two_days_become_secure() -> None:
    standing, _ = practised([0] * 10 + [1] * 10)
    assert standing.word(BANK, date(2026, 3, 3)) is Word.SECURE
    assert standing.was_secure


def test_what_was_secure_is_due_again_after_a_long_time() -> None:
    standing, _ = practised([0] * 10 + [1] * 10)
    assert standing.word(BANK, date(2028, 3, 3)) is Word.DUE_AGAIN


def test_secure_holds_until_it_has_faded_well_below() -> None:
    standing, _ = practised([0] * 10 + [1] * 10)
    day = next(
        d for d in (date(2026, 3, 3) + timedelta(days=n) for n in range(900)) if standing.score(BANK, d).mean < 0.79
    )
    assert standing.word(BANK, day) is Word.SECURE


def test_the_entries_of_the_ledger_add_up_to_the_needle() -> None:
    standing, ledger = practised([0, 0, 1, 9, 9, 40], share=0.5)
    assert sum(entry.moved for entry in ledger) == pytest.approx(standing.score(BANK, standing.last).mean, abs=1e-9)
    for before, after in pairwise(ledger):
        assert after.before == pytest.approx(before.after, abs=1e-12)


def test_the_ledger_tells_in_whole_sentences_what_happened() -> None:
    standing, entries = moved(None, evidence(), BANK)
    assert [entry.says for entry in entries] == [
        "Where everybody starts, with a look at your other topics.",
        "Solved a hard one.",
    ]
    _, entries = moved(standing, evidence(0.0, day=14, slip="load forgotten", difficulty=-1.5, hinted=True), BANK)
    assert [entry.says for entry in entries] == ["2 weeks away.", "Missed an easy one after a hint: load forgotten."]
    assert entries[0].moved < 0
    assert entries[1].moved < 0


def test_days_and_weeks_of_practice_are_counted_once_each() -> None:
    standing, _ = practised([0, 0, 1, 7, 8])
    assert (standing.answers, standing.days, standing.weeks) == (5, 4, 2)
