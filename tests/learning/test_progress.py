"""Looking back: what is due, practice days, the course of a needle; sensible for nobody and for somebody busy."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.progress import by_due_day
from tutor.learning.records import Issue, Member
from tutor.learning.standing import Word


@pytest.fixture
def member(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")


def solve(club: Club, member: Member, template: str) -> Issue:
    issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template(template))
    answers = {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks}
    club.practice.submit(member, issue.id, "a", answers)
    return issue


def test_a_member_without_attempts_has_topics_and_nothing_else(club: Club, member: Member) -> None:
    assert {progress.word for progress in club.progress.topics(member)} == {Word.NOT_TRIED}
    assert by_due_day(club.progress.topics(member)) == []
    assert club.progress.days(member) == []
    assert club.progress.slips(member) == []
    story = club.progress.story(member, "dividers")
    assert (story.ledger, story.course) == ((), ())


def test_a_topic_becomes_secure_and_then_due(club: Club, member: Member, clock: FakeClock) -> None:
    templates = [template.name for template in club.shelf.of_topic("dividers")]
    for _ in range(14):
        for template in templates:
            solve(club, member, template)
        clock.pass_by(days=1)
    (due,) = by_due_day(club.progress.topics(member))
    assert due.topic.name == "dividers"
    assert due.word is Word.SECURE
    assert due.due is not None
    assert due.last is not None
    assert due.due - due.last in (timedelta(days=10), timedelta(days=45))


def test_days_of_practice_are_the_clubs_own_days(club: Club, member: Member, clock: FakeClock) -> None:
    clock.zone = ZoneInfo("Europe/London")
    # Summer time begins on 29 March 2026: 23:30 UTC is half past midnight then, and half past eleven the night before.
    clock.time = datetime(2026, 3, 28, 23, 30, tzinfo=UTC)
    solve(club, member, "loaded-divider")
    clock.time = datetime(2026, 3, 29, 23, 30, tzinfo=UTC)
    solve(club, member, "loaded-divider")
    assert [(day.day.day, day.questions, day.solved) for day in club.progress.days(member)] == [(28, 1, 1), (30, 1, 1)]


def test_the_course_of_a_needle_has_a_point_a_day_and_ends_today(club: Club, member: Member, clock: FakeClock) -> None:
    for _ in range(3):
        solve(club, member, "loaded-divider")
        solve(club, member, "loaded-divider")
        clock.pass_by(days=9)
    story = club.progress.story(member, "dividers")
    assert len(story.course) == 4
    assert story.course[-1].at == clock.now()
    assert story.progress.score == story.course[-1].score
    assert sum(entry.moved for entry in story.ledger) == pytest.approx(story.course[-1].score.mean, abs=1e-12)
    assert story.ledger[0].says == "One week away."
