"""Days of healing as dates, and the working day on which to see the patient again.

Day 0 is the day of the freeze. The public holidays that moved a date are named in the answer, so that it can be
checked, and given again, without the library they came from.
"""

from __future__ import annotations

import datetime
import functools
from collections.abc import Mapping, Sequence
from typing import Any

from decision.public_holidays import PublicHolidays
from decision.recommendation import CalendarFigure, HolidayApplied, Milestone

__all__ = ["LONGEST_SEARCH_DAYS", "MONTHS", "date_after", "date_in_words", "milestones", "working_day"]

LONGEST_SEARCH_DAYS = 14
VISIT = "recheck"
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


@functools.lru_cache(maxsize=1024)  # most cases are of today, and rules name few days
def date_after(day: datetime.date, days: float) -> str | None:
    """The date some days later, as ISO 8601; None beyond the calendar.

    >>> date_after(datetime.date(2024, 2, 28), 1), date_after(datetime.date(2026, 1, 31), 28)
    ('2024-02-29', '2026-02-28')
    """
    try:
        return (day + datetime.timedelta(days=days)).isoformat()
    except OverflowError:
        return None


def date_in_words(date: str) -> str:
    """A date as people read it.

    >>> date_in_words("2026-12-05")
    '5 December 2026'
    """
    day = datetime.date.fromisoformat(date)
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def working_day(first: datetime.date, holidays: PublicHolidays) -> tuple[datetime.date, list[HolidayApplied]]:
    """The first working day from a date on, and the public holidays passed over.

    Args:
        first: The earliest day.
        holidays: The public holidays; where none are known, weekends only are passed over.

    >>> working_day(datetime.date(2026, 12, 25), PublicHolidays("GB-SCT"))
    (datetime.date(2026, 12, 29), [{'date': '2026-12-25', 'name': 'Christmas Day'}, \
{'date': '2026-12-28', 'name': 'Boxing Day (observed)'}])
    >>> working_day(datetime.date(2026, 12, 25), PublicHolidays(None))
    (datetime.date(2026, 12, 25), [])
    """
    applied: list[HolidayApplied] = []
    day = first
    for _ in range(LONGEST_SEARCH_DAYS):
        named = holidays.on(day)
        if named is not None and day.weekday() < 5:
            applied.append({"date": day.isoformat(), "name": named})
        if named is None and day.weekday() < 5:
            break
        if day == datetime.date.max:
            return first, []
        day += datetime.timedelta(days=1)
    return day, applied


def milestones(
    statements: Sequence[tuple[Mapping[str, Any], CalendarFigure]],
    words: Mapping[str, str],
    frozen_on: datetime.date,
    holidays: PublicHolidays,
    as_of: datetime.date | None = None,
) -> list[Milestone]:
    """Put the figures for each milestone together: all of them, and the window that holds them all.

    What is over by the day on which it is asked is left out, and a visit is never before that day.

    Args:
        statements: For each rule that holds its conclusion (`milestone`, `from_day`, `to_day`) and its figure.
        words: The milestones in the order of healing, with their words.
        frozen_on: Day 0.
        holidays: The public holidays that a visit keeps clear of.
        as_of: The day on which it is asked; None for day 0.

    Returns:
        One entry for each milestone stated, in the order of `words`.
    """
    found: dict[str, list[tuple[Mapping[str, Any], CalendarFigure]]] = {}
    for one in statements:
        found.setdefault(one[0]["milestone"], []).append(one)
    asked_on = as_of or frozen_on
    every = (
        _milestone(code, said, found[code], frozen_on, holidays, asked_on)
        for code, said in words.items()
        if code in found
    )
    return [one for one in every if one["to_date"] is None or one["to_date"] >= asked_on.isoformat()]


def _milestone(
    code: str,
    words: str,
    stated: Sequence[tuple[Mapping[str, Any], CalendarFigure]],
    frozen_on: datetime.date,
    holidays: PublicHolidays,
    asked_on: datetime.date,
) -> Milestone:
    first = min(conclusion["from_day"] for conclusion, _ in stated)
    last = max(conclusion["to_day"] for conclusion, _ in stated)
    from_date = date_after(frozen_on, first)
    entry: Milestone = {
        "milestone": code,
        "in_words": words,
        "from_day": first,
        "to_day": last,
        "from_date": from_date,
        "to_date": date_after(frozen_on, last),
        "visit_on": None,
        "holidays_of": None,
        "holidays_applied": [],
        "figures": [figure for _, figure in stated],
    }
    if code == VISIT and from_date is not None:
        day, applied = working_day(max(datetime.date.fromisoformat(from_date), asked_on), holidays)
        entry["visit_on"], entry["holidays_applied"] = day.isoformat(), applied
        entry["holidays_of"] = holidays.known_of
    return entry
