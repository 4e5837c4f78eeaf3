"""Tests: begun once, saved, looked over, handed in once."""

from __future__ import annotations

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.papers import Sheet
from tutor.learning.records import Member
from tutor.questions.marks import Verdict


@pytest.fixture
def member(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")


@pytest.fixture
def sheet(club: Club, member: Member) -> Sheet:
    return club.tests.begin(member, club.shelf.lesson("second"))


def all_right(sheet: Sheet) -> dict[str, dict[str, str]]:
    return {issue.id: {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks} for issue in sheet.issues}


def test_a_paper_has_as_many_questions_as_its_lesson_says_topics_taking_turns(sheet: Sheet) -> None:
    topics = [issue.question.topic for issue in sheet.issues]
    assert len(topics) == 3
    assert topics[0] != topics[1]
    assert len({issue.question.template for issue in sheet.issues}) == 3


def test_an_open_paper_is_gone_on_with_not_begun_again(club: Club, member: Member, sheet: Sheet) -> None:
    assert club.tests.begin(member, club.shelf.lesson("second")) == sheet


def test_what_is_typed_stays_and_nothing_is_marked_before_it_is_handed_in(
    club: Club, member: Member, sheet: Sheet
) -> None:
    first = sheet.issues[0]
    name = first.question.asks[0].name
    saved = club.tests.save(
        member, sheet.paper.id, {first.id: {name: "12 V", "nonsense": "1"}, "elsewhere": {name: "1"}}
    )
    assert saved.draft(first) == {name: "12 V"}
    assert saved.empty_fields == sum(len(issue.question.asks) for issue in sheet.issues) - 1
    assert all(issue.attempts == () for issue in saved.issues)
    assert club.progress.history(member)[0].attempts == 0


def test_a_paper_handed_in_is_marked_once_and_opens_its_solutions(club: Club, member: Member, sheet: Sheet) -> None:
    club.tests.save(member, sheet.paper.id, all_right(sheet))
    marked = club.tests.hand_in(member, sheet.paper.id)
    assert (marked.marks, marked.of) == (sheet.of, sheet.of)
    assert all(issue.opened is not None for issue in marked.issues)
    again = club.tests.hand_in(member, sheet.paper.id)
    assert [len(issue.attempts) for issue in again.issues] == [1, 1, 1]
    assert again.paper.handed_in == marked.paper.handed_in


def test_an_empty_paper_earns_nothing_and_moves_no_needle(club: Club, member: Member, sheet: Sheet) -> None:
    marked = club.tests.hand_in(member, sheet.paper.id)
    assert marked.marks == 0
    assert all(
        mark.verdict is Verdict.BLANK for issue in marked.issues for mark in issue.attempts[0].mark.asks.values()
    )
    assert all(topic.answers == 0 for topic in club.progress.topics(member))


def test_after_handing_in_nothing_can_be_changed(club: Club, member: Member, sheet: Sheet) -> None:
    club.tests.hand_in(member, sheet.paper.id)
    with pytest.raises(ClosedError, match="was handed in; nothing can be changed any more"):
        club.tests.save(member, sheet.paper.id, all_right(sheet))


def test_inside_a_test_there_are_no_hints_no_solutions_and_no_single_answers(
    club: Club, member: Member, sheet: Sheet
) -> None:
    issue = sheet.issues[0].id
    for refused in (
        lambda: club.practice.take_hint(member, issue),
        lambda: club.practice.open_solution(member, issue),
        lambda: club.practice.submit(member, issue, "a", {}),
    ):
        with pytest.raises(ClosedError, match="belongs to a test"):
            refused()


def test_somebody_elses_paper_is_as_good_as_none(club: Club, sheet: Sheet) -> None:
    other = club.membership.add("bea.cole", "Bea Cole", "copper anode lantern")
    with pytest.raises(UnknownError):
        club.tests.sheet(other, sheet.paper.id)
    with pytest.raises(UnknownError):
        club.tests.hand_in(other, sheet.paper.id)


def test_the_next_paper_has_values_of_its_own(club: Club, member: Member, sheet: Sheet, clock: FakeClock) -> None:
    club.tests.hand_in(member, sheet.paper.id)
    clock.pass_by(days=1)
    second = club.tests.begin(member, club.shelf.lesson("second"))
    assert second.paper.id != sheet.paper.id
    serials = {(i.question.template, i.question.serial) for i in (*sheet.issues, *second.issues)}
    assert len(serials) == 6
    assert [paper.id for paper in club.tests.papers(member)][-1] == sheet.paper.id
