"""Read from an answer which public holidays it was given with.

An answer names the day from which a visit was sought, the day that was found, and the holidays between that were
passed over. That settles every day looked at. What cannot be read as that settles nothing.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from typing import Any

from decision.calendar import LONGEST_SEARCH_DAYS

__all__ = ["recorded_holidays"]


def recorded_holidays(answer: Mapping[str, Any]) -> dict[datetime.date, str | None]:
    """Each day on which a visit was sought, with the holiday that stood in its way, or None.

    >>> visit = {"from_date": "2026-12-24", "visit_on": "2026-12-28", "holidays_applied": []}
    >>> visit["holidays_applied"].extend([{"date": f"2026-12-{day}", "name": "A feast"} for day in (24, 25)])
    >>> [str(day) for day, name in recorded_holidays({"calendar": [visit]}).items() if name]
    ['2026-12-24', '2026-12-25']
    >>> recorded_holidays({"calendar": [{"from_date": "soon", "visit_on": "later"}]})
    {}
    """
    settled: dict[datetime.date, str | None] = {}
    for milestone in _milestones(answer):
        names = dict(_named(milestone))
        settled.update({day: names.get(day.isoformat()) for day in _days_sought(milestone)})
    return settled


def _milestones(answer: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Every milestone of an answer, for one lesion or for several."""
    for part in (answer, *_objects(answer.get("lesions"))):
        yield from _objects(part.get("calendar"))


def _days_sought(milestone: Mapping[str, Any]) -> Iterator[datetime.date]:
    """The days from the first one on which a visit was sought to the one that was found."""
    try:
        day = datetime.date.fromisoformat(milestone["from_date"])
        last = datetime.date.fromisoformat(milestone["visit_on"])
    except (KeyError, TypeError, ValueError):
        return
    for days in range(min((last - day).days, LONGEST_SEARCH_DAYS) + 1):
        yield day + datetime.timedelta(days=days)


def _named(milestone: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for holiday in _objects(milestone.get("holidays_applied")):
        date, name = holiday.get("date"), holiday.get("name")
        if isinstance(date, str) and isinstance(name, str):
            yield date, name


def _objects(part: object) -> list[Mapping[str, Any]]:
    return [one for one in part if isinstance(one, dict)] if isinstance(part, list) else []
