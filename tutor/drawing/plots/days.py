"""Dates as numbers of days, and back in words."""

from __future__ import annotations

from datetime import date, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_number(moment: date) -> float:
    """Return a date, or a date and time of day, as a number of days.

    >>> day_number(datetime(2026, 11, 25, 12)) - day_number(date(2026, 11, 24))
    1.5
    """
    if isinstance(moment, datetime):
        seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
        return moment.toordinal() + seconds / 86400
    return float(moment.toordinal())


def written_date(day: float) -> str:
    """Return a day's number as a date: "3 Nov 2026"."""
    found = date.fromordinal(int(day))
    return f"{found.day}\u00a0{MONTHS[found.month - 1]}\u00a0{found.year}"
