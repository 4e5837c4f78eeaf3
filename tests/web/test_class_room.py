"""The class room: members by topics, who needs help and with which slip, one member, tests, item analysis, CSV."""

from __future__ import annotations

import csv
import io

import pytest
from flask import Flask

from tests.fakes.world import FakeClock
from tests.web.conftest import PASSWORD, Visitor
from tests.web.test_pages import text
from tutor.bootstrap.club import Club
from tutor.learning.records import Member, Role


@pytest.fixture
def tom(site: Flask, club: Club) -> Visitor:
    club.membership.add("tom.larch", "Tom Larch", PASSWORD, Role.TRAINER)
    visitor = Visitor(site.test_client())
    assert visitor.sign_in("tom.larch").status_code == 200
    return visitor


def fail(club: Club, member: Member, times: int, template: str = "loaded-divider") -> None:
    """Make the first slip of a question, again and again."""
    for _ in range(times):
        issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template(template))
        slip = issue.question.asks[0].slips[0]
        club.practice.submit(member, issue.id, "a", {issue.question.asks[0].name: str(slip.value)})


def test_who_needs_help_is_listed_with_the_slip(tom: Visitor, club: Club, member: Member, clock: FakeClock) -> None:
    bea = club.membership.add("bea.cole", "Bea Cole", PASSWORD)
    for _ in range(6):
        fail(club, member, 1)
        clock.pass_by(days=1)
    fail(club, bea, 1)
    tom.sign_in("tom.larch")  # the evening's sign-in has run out
    (need,) = club.class_room.needs()
    assert need.member == member
    assert [topic.topic.name for topic in need.stuck] == ["dividers"]
    page = text(tom.get("/class/"))
    assert "Ann Baker" in page
    assert "load forgotten, 6 times" in page
    (shared,) = club.class_room.shared_slips()
    assert (shared.words, shared.members, shared.times) == ("load forgotten", 2, 7)
    clock.pass_by(days=30)
    assert {need.member.name: need.away for need in club.class_room.needs()} == {"Ann Baker": 31, "Bea Cole": 30}


def test_the_class_shows_everybody_by_the_topics_of_a_course(tom: Visitor, club: Club, member: Member) -> None:
    fail(club, member, 1)
    club.membership.add("bea.cole", "Bea Cole", PASSWORD)
    page = text(tom.get("/class/courses/bench"))
    assert "Ann Baker" in page
    assert "learning" in page
    assert "never" in page
    assert "Tom Larch" not in page.split("Last practised")[1]


def test_a_big_class_comes_in_pages_and_nobody_is_missed(tom: Visitor, club: Club) -> None:
    names = [f"Member {number:03d}" for number in range(101)]
    with club.records.work() as work:
        for name in names:
            work.people.add(name.replace(" ", ".").lower(), name, Role.MEMBER, "new:x", club.clock.now())
    seen = []
    address = "/class/courses/bench"
    for _ in range(3):
        page = tom.get(address).get_data(as_text=True)
        seen += [name for name in names if name in page.split("<tbody>")[1]]
        address = page.split("Further members")[0].rsplit('href="', 1)[-1].split('"')[0].replace("&amp;", "&")
    assert seen == names
    assert [row.member.name for row in club.class_room.everybody("bench")] == names


def test_groups_narrow_what_is_shown(tom: Visitor, club: Club, member: Member) -> None:
    bea = club.membership.add("bea.cole", "Bea Cole", PASSWORD)
    answer = tom.send(tom.get("/class/groups"), "/class/groups", name="  Tuesday   bench ")
    assert "Tuesday bench" in text(answer)
    assert "There is a group" in text(tom.send(tom.get("/class/groups"), "/class/groups", name="Tuesday bench"))
    (group,) = club.class_room.groups()
    tom.send(tom.get("/class/groups"), f"/class/groups/{group.id}", member=str(bea.id))
    page = text(tom.get(f"/class/courses/bench?group={group.id}"))
    assert "Bea Cole" in page
    assert "Ann Baker" not in page
    assert tom.get("/class/courses/bench?group=77").status_code == 404
    tom.send(tom.get("/class/groups"), f"/class/groups/{group.id}/drop")
    assert list(club.class_room.groups()) == []
    assert club.membership.everybody()


def test_one_member_is_shown_to_trainers_only(tom: Visitor, ann: Visitor, club: Club, member: Member) -> None:
    fail(club, member, 2)
    page = text(tom.get(f"/class/members/{member.id}"))
    assert "load forgotten" in page
    assert "What the load does to a divider" in page
    assert ann.get(f"/class/members/{member.id}").status_code == 403
    assert tom.get("/class/members/9999").status_code == 404


def test_a_table_for_a_spreadsheet_holds_no_formula(tom: Visitor, club: Club) -> None:
    """OWASP, CSV injection: cells that begin with = + - @, tab or carriage return are prefixed by an apostrophe."""
    for number, name in enumerate(('=HYPERLINK("https://x.example")', "+1", "-1", "@SUM(A1)", "Plain, with comma")):
        with club.records.work() as work:
            work.people.add(f"m{number}", name, Role.MEMBER, "new:x", club.clock.now())
    answer = tom.get("/class/courses/bench.csv")
    assert answer.mimetype == "text/csv"
    rows = list(csv.reader(io.StringIO(answer.get_data(as_text=True).removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}"))))
    assert rows[0][:2] == ["Member", "Last practised"]
    assert sorted(row[0] for row in rows[1:]) == sorted(
        ['\'=HYPERLINK("https://x.example")', "'+1", "'-1", "'@SUM(A1)", "Plain, with comma"]
    )


def test_the_tests_of_a_lesson_with_what_they_say(tom: Visitor, club: Club, member: Member) -> None:
    assert "No test of this lesson was handed in yet" in text(tom.get("/class/tests/second"))
    sheet = club.tests.begin(member, club.shelf.lesson("second"))
    answers = {issue.id: {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks} for issue in sheet.issues}
    club.tests.save(member, sheet.paper.id, answers)
    club.tests.hand_in(member, sheet.paper.id)
    page = text(tom.get("/class/tests/second"))
    assert f"{sheet.of} of {sheet.of}" in page
    assert "100 of 100" in page
    csv_file = tom.get("/class/tests/second.csv").get_data(as_text=True)
    assert csv_file.rstrip().endswith(f"{sheet.of},{sheet.of}")


def test_what_the_answers_say_about_a_template(tom: Visitor, club: Club, member: Member) -> None:
    assert "Nobody has answered it yet" in text(tom.get("/class/templates/loaded-divider"))
    fail(club, member, 3)
    page = text(tom.get("/class/templates/loaded-divider"))
    assert "1 member answered 3 times" in page
    assert "load forgotten (100 of 100)" in page
    lines = club.bank_review.templates("dividers")
    assert next(line for line in lines if line.template.name == "loaded-divider").answers == 1


def test_a_wrong_key_shows_as_one_ratio_although_only_the_unit_differs(club: Club) -> None:
    """Six members who all give twice the key: their values differ, the ratio is one, and it is flagged."""
    for number in range(6):
        member = club.membership.add(f"person{number}", f"Person {number}", PASSWORD)
        issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("loaded-divider"))
        value = issue.question.asks[0].value
        assert not isinstance(value, str)
        club.practice.submit(member, issue.id, "a", {"v_tap": f"{1.731 * value:.6g} V"})
    report = club.bank_review.template("loaded-divider")
    (ask,) = report.asks
    assert ask.commonest is not None
    assert ask.commonest.is_ratio
    assert ask.commonest.what == pytest.approx(1.731, rel=1e-3)
    assert any(flag.ask == "v_tap" for flag in report.flags)
