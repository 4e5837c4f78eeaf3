"""The rules of a test: counts, levels, sittings, its time window, when solutions open; two devices at once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.errors import ClosedError, PlanError
from tutor.learning.papers import Sheet
from tutor.learning.plans import LessonPlan, PaperRules, SolutionsOpen, read_rules, rules_data
from tutor.learning.records import Member


@pytest.fixture
def member(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")


def plan(club: Club, **rules: Any) -> None:
    with club.records.work() as work:
        work.courses.put_plan(LessonPlan(lesson="second", test=PaperRules(**rules)))


def begin(club: Club, member: Member) -> Sheet:
    return club.tests.begin(member, club.shelf.lesson("second"))


def typed(sheet: Sheet, text: str = "") -> dict[str, dict[str, str]]:
    return {
        issue.id: {ask.name: text or f"{ask.value} {ask.unit}" for ask in issue.question.asks} for issue in sheet.issues
    }


def test_topics_and_levels_are_counted_out(club: Club, member: Member) -> None:
    plan(club, questions=3, topics={"dividers": 1, "rc": 1})
    topics = [issue.question.topic for issue in begin(club, member).issues]
    assert sorted(topics) == ["direction", "dividers", "rc"]


def test_only_the_levels_of_the_rules_are_asked(club: Club, member: Member) -> None:
    levels = {template.level for template in club.shelf.library.templates.values()}
    assert len(levels) > 1
    plan(club, questions=6, levels=(2,), topics={"dividers": 2})
    assert {issue.question.level for issue in begin(club, member).issues} == {2}


def test_a_test_is_sat_as_often_as_the_rules_allow(club: Club, member: Member) -> None:
    plan(club, questions=1, sittings=1)
    club.tests.hand_in(member, begin(club, member).paper.id)
    with pytest.raises(ClosedError, match="can be sat once, and you have done so"):
        begin(club, member)
    assert club.tests.offer(member, club.shelf.lesson("second")).refusal


def test_the_window_is_kept_by_the_servers_clock(club: Club, member: Member, clock: FakeClock) -> None:
    opens = clock.now() + timedelta(hours=1)
    plan(club, questions=2, opens=opens, closes=opens + timedelta(hours=2))
    with pytest.raises(ClosedError, match="not open yet"):
        begin(club, member)
    clock.pass_by(hours=1)
    sheet = begin(club, member)
    clock.pass_by(hours=2)
    with pytest.raises(ClosedError, match="was handed in"):
        club.tests.save(member, sheet.paper.id, typed(sheet))
    with pytest.raises(ClosedError, match="is closed"):
        begin(club, member)


def test_what_was_saved_is_handed_in_when_the_time_is_over(club: Club, member: Member, clock: FakeClock) -> None:
    closes = clock.now() + timedelta(hours=1)
    plan(club, questions=2, closes=closes)
    sheet = begin(club, member)
    club.tests.save(member, sheet.paper.id, typed(sheet))
    clock.pass_by(days=3)
    (paper,) = club.tests.papers(member)
    assert paper.handed_in == closes
    assert (paper.marks, paper.of) == (sheet.of, sheet.of)


def test_solutions_open_when_the_rules_say(club: Club, member: Member, clock: FakeClock) -> None:
    plan(club, questions=1, closes=clock.now() + timedelta(hours=1), solutions=SolutionsOpen.CLOSED)
    sheet = begin(club, member)
    assert not club.tests.hand_in(member, sheet.paper.id).solutions_open
    clock.pass_by(hours=1)
    assert club.tests.sheet(member, sheet.paper.id).solutions_open


def test_a_field_that_one_device_did_not_touch_keeps_what_the_other_typed(club: Club, member: Member) -> None:
    sheet = begin(club, member)
    first, second = sheet.issues[0], sheet.issues[1]
    one, two = first.question.asks[0].name, second.question.asks[0].name
    blank = {first.id: {one: ""}, second.id: {two: ""}}
    club.tests.save(member, sheet.paper.id, {first.id: {one: "12 V"}, second.id: {two: ""}}, blank)
    saved = club.tests.save(member, sheet.paper.id, {first.id: {one: ""}, second.id: {two: "3 mA"}}, blank)
    assert (saved.draft(first)[one], saved.draft(second)[two]) == ("12 V", "3 mA")
    assert saved.clashes == ()


def test_a_field_typed_on_two_devices_keeps_the_later_and_tells_the_other(club: Club, member: Member) -> None:
    sheet = begin(club, member)
    first = sheet.issues[0]
    name = first.question.asks[0].name
    blank = {first.id: {name: ""}}
    club.tests.save(member, sheet.paper.id, {first.id: {name: "12 V"}}, blank)
    saved = club.tests.save(member, sheet.paper.id, {first.id: {name: "13 V"}}, blank)
    assert saved.draft(first)[name] == "13 V"
    assert [(clash.issue, clash.ask, clash.other) for clash in saved.clashes] == [(first.id, name, "12 V")]


def test_a_field_can_be_emptied_again(club: Club, member: Member) -> None:
    sheet = begin(club, member)
    first = sheet.issues[0]
    name = first.question.asks[0].name
    club.tests.save(member, sheet.paper.id, {first.id: {name: "12 V"}}, {first.id: {name: ""}})
    saved = club.tests.save(member, sheet.paper.id, {first.id: {name: ""}}, {first.id: {name: "12 V"}})
    assert saved.draft(first)[name] == ""


def test_a_paper_outlives_its_templates_and_its_lesson(club: Club, member: Member) -> None:
    sheet = begin(club, member)
    club.tests.save(member, sheet.paper.id, typed(sheet))
    library = club.shelf.library
    withdrawn = dict(library.templates)
    courses = club.shelf.courses
    try:
        library.templates.clear()  # type: ignore[attr-defined]  # what a bank without its files would be
        club.shelf.courses = ()
        marked = club.tests.hand_in(member, sheet.paper.id)
        assert marked.marks == marked.of
        assert club.shelf.lesson_called("second").title == "Second"
    finally:
        library.templates.update(withdrawn)  # type: ignore[attr-defined]
        club.shelf.courses = courses


RULES = PaperRules(
    questions=7,
    topics={"dividers": 3},
    levels=(1, 2),
    sittings=2,
    opens=datetime(2026, 3, 29, 0, 30, tzinfo=UTC),
    closes=datetime(2026, 4, 1, 22, 0, tzinfo=UTC),
    solutions=SolutionsOpen.CLOSED,
)


@pytest.mark.parametrize("rules", [PaperRules(), RULES])
def test_rules_come_back_from_their_data(rules: PaperRules) -> None:
    assert read_rules(rules_data(rules)) == rules


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"questions": 0}, "questions: found 0; a whole number from 1 to 30 is wanted"),
        ({"questions": 31}, "from 1 to 30"),
        ({"questions": 2, "topics": {"rc": 3}}, "questions: found 2; a whole number from 3 to 30"),
        ({"question": 3}, "unknown key 'question'; known are questions, topics"),
        ({"levels": [5]}, "levels: found \\[5\\]; give some of 1, 2, 3, 4"),
        ({"opens": "2026-03-02T19:30"}, "a time with its offset is wanted"),
        ({"opens": "2026-03-02T19:30+00:00", "closes": "2026-03-02T19:30+00:00"}, "is not after it opens"),
        ({"solutions": "closed"}, "no closing time is set"),
        ({"solutions": "never"}, "they open when it is `handed in` or `closed`"),
        ({"sittings": -1}, "from 0 to 99"),
    ],
)
def test_rules_that_cannot_be_are_refused_in_words(data: dict[str, Any], says: str) -> None:
    with pytest.raises(PlanError, match=says):
        read_rules(data)
