"""Standing: plain words, and a ledger whose sentences add up."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from tutor.learning.difficulty import Composition, Difficulties, Difficulty
from tutor.learning.standing import Credited, Evidence, LedgerEntry, Standing, Word, credited, since

BANK: Composition = (("easy", 1), ("middling", 2), ("hard", 3), ("harder", 4))
CURVE = Difficulties().curve(BANK)
START = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)


def evidence(share: float = 1.0, day: int = 0, template: str = "hard", **changes: object) -> Evidence:
    at = START + timedelta(days=day)
    made = {
        "topic": "dividers",
        "template": template,
        "title": f"A {template} one",
        "level": dict(BANK).get(template, 3),
        "share": share,
        "hinted": False,
        "at": at,
        "day": at.date(),
        "issue": "q1",
    }
    return Evidence(**(made | changes))  # type: ignore[arg-type]


def practised(
    days: list[int], share: float = 1.0, learning: bool = True
) -> tuple[Standing, list[LedgerEntry], Difficulties]:
    """Answer a different template each time; a day has as many as it is listed."""
    standing: Standing | None = None
    ledger: list[LedgerEntry] = []
    difficulties = Difficulties()
    for number, day in enumerate(days):
        found = credited(standing, evidence(share, day, f"t{number}"), difficulties, BANK)
        standing = found.standing
        difficulties = found.difficulties if learning else difficulties
        ledger += found.entries
    assert standing is not None
    return standing, ledger, difficulties


def test_one_answer_is_learning() -> None:
    standing, _, _ = practised([0])
    assert standing.word(CURVE, START.date()) is Word.LEARNING
    assert (standing.answers, standing.days, standing.weeks) == (1, 1, 1)


def test_many_right_answers_on_one_day_are_not_secure() -> None:
    standing, _, _ = practised([0] * 30)
    assert standing.score(CURVE, START.date()).mean > 0.8
    assert standing.word(CURVE, START.date()) is Word.LEARNING


def test_right_answers_on_two_days_become_secure() -> None:
    standing, _, _ = practised([0] * 10 + [1] * 10)
    assert standing.word(CURVE, date(2026, 3, 3)) is Word.SECURE
    assert standing.secured == date(2026, 3, 3)


def test_the_same_template_counts_once_a_day_and_again_the_next() -> None:
    first = credited(None, evidence(), Difficulties(), BANK)
    again = credited(first.standing, evidence(), first.difficulties, BANK)
    assert again.standing == first.standing
    assert again.difficulties == first.difficulties
    (entry,) = again.entries
    assert entry.moved == 0
    assert entry.says == "Once more on the same day: A hard one. Good practice; it counts again tomorrow."
    tomorrow = credited(again.standing, evidence(day=1), again.difficulties, BANK)
    assert (tomorrow.standing.answers, tomorrow.standing.days) == (2, 2)


def test_one_template_alone_is_secure_after_four_days_at_the_earliest() -> None:
    found: Credited | None = None
    for day in range(10):
        standing, difficulties = (found.standing, found.difficulties) if found else (None, Difficulties())
        for _ in range(20):
            found = credited(standing, evidence(day=day, template="harder"), difficulties, BANK)
            standing, difficulties = found.standing, found.difficulties
        assert found is not None
        if day < 3:
            assert found.standing.word(CURVE, found.standing.last) is Word.LEARNING


def test_what_was_secure_is_due_again_after_a_long_time() -> None:
    standing, _, _ = practised([0] * 10 + [1] * 10)
    assert standing.word(CURVE, date(2028, 3, 3)) is Word.DUE_AGAIN


def test_secure_holds_until_it_has_faded_well_below() -> None:
    standing, _, _ = practised([0] * 10 + [1] * 10)
    days = (date(2026, 3, 3) + timedelta(days=n) for n in range(900))
    day = next(d for d in days if standing.score(CURVE, d).mean < 0.79)
    assert standing.word(CURVE, day) is Word.SECURE


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_the_entries_of_the_ledger_add_up_to_the_needle(share: float) -> None:
    standing, ledger, difficulties = practised([0, 0, 1, 9, 9, 40], share)
    curve = difficulties.curve(BANK)
    day = START.date() + timedelta(days=90)
    ledger += since(standing, "dividers", curve, START + timedelta(days=90), day)
    assert sum(entry.moved for entry in ledger) == pytest.approx(standing.score(curve, day).mean, abs=1e-12)
    for before, after in pairwise(ledger):
        assert after.before == before.after


def test_a_bank_whose_difficulties_settled_anew_is_told_in_the_ledger() -> None:
    first = credited(None, evidence(), Difficulties(), BANK)
    harder = first.difficulties.with_one("easy", Difficulty(2.0, 0.1, 5, 2.0))
    found = credited(first.standing, evidence(day=1, template="easy"), harder, BANK)
    assert found.entries[0].says == "The questions of this topic turned out harder than they were taken for."
    assert found.entries[0].moved < 0
    assert found.entries[-1].after == found.standing.stood


def test_the_ledger_tells_in_whole_sentences_what_happened() -> None:
    found = credited(None, evidence(), Difficulties(), BANK)
    assert [entry.says for entry in found.entries] == [
        "Where everybody starts, with a look at your other topics.",
        "Solved a hard one: A hard one.",
    ]
    later = evidence(0.0, day=14, template="easy", slip="load forgotten", hinted=True)
    entries = credited(found.standing, later, found.difficulties, BANK).entries
    assert [entry.says for entry in entries] == [
        "2 weeks away.",
        "Missed an easy one with help: A easy one (load forgotten).",
    ]
    assert all(entry.moved < 0 for entry in entries)


def test_days_and_weeks_of_practice_are_counted_once_each() -> None:
    standing, _, _ = practised([0, 0, 1, 7, 8])
    assert (standing.answers, standing.days, standing.weeks) == (5, 4, 2)


def test_a_clock_put_back_counts_no_time_and_no_day_twice() -> None:
    standing, _, difficulties = practised([0, 5])
    found = credited(standing, evidence(day=2), difficulties, BANK)
    assert found.standing.last == standing.last
    assert found.standing.days == standing.days
    assert found.standing.answers == standing.answers + 1
    assert len(found.entries) == 1


def test_an_empty_bank_and_an_unknown_template_divide_by_nothing() -> None:
    found = credited(None, evidence(template="gone", level=2), Difficulties(), ())
    assert 0 < found.entries[-1].after < 1
