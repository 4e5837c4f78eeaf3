"""Course pages: dates, calendar, notes, certificate, planning."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from flask import Flask
from icalendar import Calendar

from tests.fakes.world import FakeClock
from tests.web.conftest import PASSWORD, Visitor
from tests.web.test_pages import text
from tutor.bootstrap.club import Club
from tutor.learning.course_work import Event
from tutor.learning.errors import PlanError
from tutor.learning.plans import CoursePlan, LessonPlan, PaperRules
from tutor.learning.records import Member, Role
from tutor.web.calendars import icalendar_bytes
from tutor.web.plan_forms import aware

LONDON = ZoneInfo("Europe/London")


@pytest.fixture
def tom(site: Flask, club: Club) -> Visitor:
    club.membership.add("tom.larch", "Tom Larch", PASSWORD, Role.TRAINER)
    visitor = Visitor(site.test_client())
    assert visitor.sign_in("tom.larch").status_code == 200
    return visitor


def test_a_course_shows_its_lessons_with_dates_and_what_they_build_on(ann: Visitor, club: Club) -> None:
    starts = datetime(2026, 3, 12, 19, 30, tzinfo=UTC)
    plan = LessonPlan(lesson="second", starts=starts, place="Back room", recording="https://films.example/7")
    club.course_work.plan_lesson(plan)
    page = ann.get("/courses/bench")
    assert "12 March 2026, 19:30 UTC, 90 minutes, Back room." in text(page)
    assert "Builds on Dividers" in text(page)
    assert 'href="https://films.example/7"' in page.get_data(as_text=True)
    assert "The second lesson 12 March 2026" in text(ann.get("/home"))


def test_a_trainer_plans_a_lesson_and_its_test_in_the_browser(tom: Visitor, club: Club) -> None:
    page = tom.get("/lessons/second/plan")
    answer = tom.send(
        page, "/plan", starts="2026-07-01T19:30", place="Hall", questions="4", closes="2026-07-02T20:00", levels="2",
        **{"topic-rc": "2"}, solutions="closed",
    )  # fmt: skip
    assert answer.status_code == 200
    plan = club.course_work.plan_of(club.shelf.lesson("second"))
    assert plan.starts == datetime(2026, 7, 1, 19, 30, tzinfo=UTC)
    assert plan.test is not None
    assert (plan.test.questions, dict(plan.test.topics), plan.test.levels) == (4, {"rc": 2}, (2,))
    shown = tom.forms(tom.get("/lessons/second/plan"))["/lessons/second/plan"]
    assert (shown["starts"], shown["closes"], shown["topic-rc"]) == ("2026-07-01T19:30", "2026-07-02T20:00", "2")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"recording": "javascript:alert(1)"}, "is no web address; it begins with https://"),
        ({"minutes": "5000"}, "Number must be between 1 and 1440"),
        ({"questions": "1", "topic-rc": "3"}, "a whole number from 3 to 30 is wanted"),
        ({"topic-rc": "some"}, "a whole number from 0 to 30 is wanted"),
        ({"starts": "soon"}, "Not a valid datetime value"),
        ({"opens": "2026-07-02T20:00", "closes": "2026-07-01T20:00"}, "is not after it opens"),
    ],
)
def test_a_plan_that_cannot_be_comes_back_with_the_reason(
    tom: Visitor, club: Club, changes: dict[str, str], says: str
) -> None:
    answer = tom.send(
        tom.get("/lessons/second/plan"),
        "/plan",
        place="Kept as typed",
        levels="1",
        **({"solutions": "handed in"} | changes),
    )
    assert answer.status_code == 422
    assert says in text(answer)
    assert "Kept as typed" in answer.get_data(as_text=True)
    assert club.course_work.plan_of(club.shelf.lesson("second")) == LessonPlan(lesson="second")


def test_an_hour_that_the_clocks_skip_is_refused() -> None:
    # Summer time began in the United Kingdom on 29 March 2026 at 01:00 (the IANA time zone database).
    with pytest.raises(PlanError, match="There is no 01:30 on 29 March 2026: the clocks go forward"):
        aware(datetime(2026, 3, 29, 1, 30), LONDON)  # noqa: DTZ001 - by the clock on the wall
    found = aware(datetime(2026, 3, 29, 2, 30), LONDON)  # noqa: DTZ001
    assert found == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


def test_the_last_day_of_a_course_is_set_and_shown(tom: Visitor, club: Club) -> None:
    answer = tom.send(tom.get("/courses/bench"), "/courses/bench/plan", ends="2026-05-01")
    assert "the course ends 1 May 2026" in text(answer)
    with club.records.look() as work:
        assert work.courses.course_plans()["bench"] == CoursePlan("bench", datetime(2026, 5, 1, tzinfo=UTC).date())


def test_notes_are_kept_and_nobody_else_reads_them(ann: Visitor, tom: Visitor) -> None:
    answer = ann.send(ann.get("/lessons/first"), "/note", text="Load before you look. <b>Mind</b> R2!")
    assert "Load before you look. &lt;b&gt;Mind&lt;/b&gt; R2!" in answer.get_data(as_text=True)
    assert "Load before" not in tom.get("/lessons/first").get_data(as_text=True)


def test_a_note_too_long_to_keep_comes_back_whole(ann: Visitor) -> None:
    answer = ann.send(ann.get("/lessons/first"), "/note", text="x" * 10_001)
    assert answer.status_code == 422
    assert "x" * 10_001 in answer.get_data(as_text=True)


def test_the_certificate_lists_what_was_shown_secure(
    ann: Visitor, club: Club, member: Member, clock: FakeClock
) -> None:
    assert "Nothing of this course is secure yet" in text(ann.get("/courses/bench/certificate"))
    for _ in range(8):
        for template in club.shelf.of_topic("dividers"):
            issue = club.practice.issue(member, club.shelf.lesson("first"), template)
            answers = {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks}
            club.practice.submit(member, issue.id, "a", answers)
        clock.pass_by(days=1)
    page = text(ann.get("/courses/bench/certificate"))
    assert "Ann Baker has taken part in the course The bench course and has shown 1 of its 3 topics secure" in page
    assert club.course_work.certificate(member, "bench").lessons == ("The first lesson",)


def test_a_calendar_follows_the_dates_and_opens_nothing_else(ann: Visitor, club: Club, stranger: Visitor) -> None:
    club.course_work.plan_lesson(
        LessonPlan(
            lesson="first",
            starts=datetime(2026, 7, 1, 19, 30, tzinfo=LONDON),
            place="Sailmakers' Hall; back room, left",
            test=PaperRules(closes=datetime(2026, 7, 9, 20, 0, tzinfo=UTC)),
        )
    )
    page = ann.send(ann.get("/courses/bench"), "/bench/calendar")
    token = page.get_data(as_text=True).split("/calendar/")[1].split(".ics")[0]
    answer = stranger.get(f"/calendar/{token}.ics")
    assert answer.mimetype == "text/calendar"
    entries = {str(entry["uid"]): entry for entry in Calendar.from_ical(answer.get_data()).walk("VEVENT")}
    assert set(entries) == {"lesson-first@localhost", "test-first@localhost"}
    lesson = entries["lesson-first@localhost"]
    assert lesson.decoded("dtstart") == datetime(2026, 7, 1, 18, 30, tzinfo=UTC)
    assert lesson.decoded("dtend") - lesson.decoded("dtstart") == timedelta(minutes=90)
    assert str(lesson["location"]) == "Sailmakers' Hall; back room, left"
    assert stranger.get("/calendar/another.ics").status_code == 404
    ann.send(ann.get("/courses/bench"), "/bench/calendar")
    assert stranger.get(f"/calendar/{token}.ics").status_code == 404


def test_the_file_keeps_to_its_standard() -> None:
    """RFC 5545: lines end in CR LF and hold 75 octets at most (3.1); commas and semicolons are escaped (3.3.11)."""
    at = datetime(2026, 3, 12, 19, 30, tzinfo=UTC)
    title = "Röhren 🔧" * 20
    body = icalendar_bytes([Event("lesson-a", title, "One, two; three\nfour", at, at, "")], "Club", "club.example", at)
    lines = body.split(b"\r\n")
    assert b"\n" not in b"".join(lines)
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode("utf-8")  # no character is cut in two
    assert b"DESCRIPTION:One\\, two\\; three\\nfour" in lines
    (entry,) = Calendar.from_ical(body).walk("VEVENT")
    assert str(entry["summary"]) == title
    assert b"DTSTAMP:20260312T193000Z" in lines
