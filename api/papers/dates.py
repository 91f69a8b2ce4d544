"""Dates as people read them: no figures for months, the weekday where somebody must come."""

from __future__ import annotations

import datetime

from decision.calendar import MONTHS, date_in_words

__all__ = ["day_in_words", "month_in_words", "window_in_words"]

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SHORT = 3  # letters of a month in a window
LONG_DAYS = 45  # a longer window is told in months


def day_in_words(date: str) -> str:
    """One day, with its weekday and its year.

    >>> day_in_words("2026-12-04")
    'Friday 4 December 2026'
    """
    day = datetime.date.fromisoformat(date)
    return f"{WEEKDAYS[day.weekday()]} {date_in_words(date)}"


def month_in_words(month: str) -> str:
    """A month of a year.

    >>> month_in_words("2028-06")
    'June 2028'
    """
    year, _, number = month.partition("-")
    return f"{MONTHS[int(number) - 1]} {year}"


def window_in_words(first: str, last: str) -> str:
    """A window of days; a long one in months.

    >>> window_in_words("2026-11-26", "2026-11-27"), window_in_words("2026-11-24", "2026-12-01")
    ('26 to 27 Nov', '24 Nov to 1 Dec')
    >>> window_in_words("2027-01-23", "2027-11-24"), window_in_words("2026-12-01", "2026-12-01")
    ('Jan to Nov 2027', '1 Dec')
    """
    months = [one[:SHORT] for one in MONTHS]
    start, end = datetime.date.fromisoformat(first), datetime.date.fromisoformat(last)
    if (end - start).days > LONG_DAYS:
        year = "" if start.year == end.year else f" {start.year}"
        return f"{months[start.month - 1]}{year} to {months[end.month - 1]} {end.year}"
    closing = f"{end.day} {months[end.month - 1]}"
    if start == end:
        return closing
    opening = f"{start.day}" if start.month == end.month else f"{start.day} {months[start.month - 1]}"
    return f"{opening} to {closing}"
