"""Read FHIR dates, which may be partial, and count years and days from them."""

from __future__ import annotations

import calendar
import datetime
import re
from dataclasses import dataclass

from api.fhir.elements import Element

__all__ = ["Days", "age_years", "days_of", "first_days"]

_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2})(?:T\d.{0,40})?)?)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Days:
    """The days that a date may mean: one, or all of a month or a year."""

    first: datetime.date
    last: datetime.date

    @property
    def exact(self) -> bool:
        """Whether it is one day."""
        return self.first == self.last


def days_of(written: object) -> Days | None:
    """Read a FHIR date, dateTime or instant; the day is the one that is written, whatever its time zone.

    >>> days_of("2026-11-24T10:05:00Z").first.isoformat()
    '2026-11-24'
    >>> days_of("2024-02").last.isoformat()
    '2024-02-29'
    >>> days_of("last week") is None
    True
    """
    found = _DATE.fullmatch(written) if isinstance(written, str) else None
    if found is None:
        return None
    year, month, day = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    try:
        if day:
            one = datetime.date(year, month, day)
            return Days(one, one)
        first = datetime.date(year, month or 1, 1)
        last_month = month or 12
        return Days(first, datetime.date(year, last_month, calendar.monthrange(year, last_month)[1]))
    except ValueError:
        return None


def first_days(resource: Element, *names: str) -> Days | None:
    """The days of the first member that is there: a date, or the start of a period."""
    found = resource.first(*names)
    return days_of(found.text("start") if isinstance(found.value, dict) else found.value)


def age_years(born: Days, as_of: datetime.date) -> float | None:
    """The age in years, with two decimals.

    From a full date it is exact. From a year and month it is the age of one born in the middle of the month; from a
    year alone, the difference of the years. A birth after the day has no age.

    >>> age_years(days_of("2017-10-02"), datetime.date(2026, 11, 24))
    9.14
    >>> age_years(days_of("2017"), datetime.date(2026, 11, 24))
    9.0
    >>> age_years(days_of("2027"), datetime.date(2026, 11, 24)) is None
    True
    """
    if born.first > as_of:
        return None
    if (born.last - born.first).days > 31:
        return float(as_of.year - born.first.year)
    middle = born.first + (born.last - born.first) / 2
    years = as_of.year - middle.year
    if _birthday(middle, as_of.year) > as_of:
        years -= 1
    since = as_of - _birthday(middle, middle.year + years)
    year = _birthday(middle, middle.year + years + 1) - _birthday(middle, middle.year + years)
    # Rounded down, so that a birthday counts from its day on and not before.
    return max(0.0, years + int(100 * since / year) / 100)


def _birthday(born: datetime.date, year: int) -> datetime.date:
    """The birthday in a year; one of 29 February is kept on 1 March."""
    try:
        return born.replace(year=year)
    except ValueError:
        return datetime.date(year, 3, 1)
