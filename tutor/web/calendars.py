"""A calendar of lessons as iCalendar (RFC 5545), which other calendars can follow."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from icalendar import Calendar
from icalendar import Event as Entry

from tutor.learning.course_work import Event


def icalendar_bytes(events: Iterable[Event], club: str, host: str, now: datetime) -> bytes:
    """Return the file; times are in UTC, so that no zone's rules need go along.

    Args:
        events: What to list.
        club: The club's name.
        host: Where the club's site is; makes the names of the events unique.
        now: The time at which the file is made.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Quiescent//Lessons//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", club)
    for event in events:
        entry = Entry()
        entry.add("uid", f"{event.uid}@{host}")
        entry.add("dtstamp", now.astimezone(UTC))
        entry.add("dtstart", event.starts.astimezone(UTC))
        entry.add("dtend", event.ends.astimezone(UTC))
        entry.add("summary", event.title)
        if event.words:
            entry.add("description", event.words)
        if event.place:
            entry.add("location", event.place)
        calendar.add_component(entry)
    return bytes(calendar.to_ical())
