"""Print what to expect when: windows in days and dates, and the working day of a visit."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from api.text.input_words import figure
from api.text.layout import heading, item, paragraph
from api.text.reason_text import show_briefly
from decision.recommendation import Milestone

__all__ = ["show_calendar"]


def show_calendar(console: Console, calendar: Sequence[Milestone]) -> None:
    """Print every milestone: the window that holds all figures, then each figure with what it rests on."""
    if calendar:
        heading(console, "Calendar")
    for one in calendar:
        item(console, "-", f"{one['in_words']}: {_window(one)}")
        if one["visit_on"] is not None:
            passed = "".join(f"; {day['date']} is {day['name']}" for day in one["holidays_applied"])
            unknown = "" if one["holidays_of"] else ". No public holidays are known here: look whether it is one"
            paragraph(console, f"Visit on {one['visit_on']}{passed}{unknown}.", depth=1)
        for found in one["figures"]:
            paragraph(console, f"{found['basis']}: {_days(found['from_day'], found['to_day'])}", depth=1)
            show_briefly(console, found["reasons"])


def _window(one: Milestone) -> str:
    days = _days(one["from_day"], one["to_day"])
    if one["from_date"] is None or one["to_date"] is None:
        return days
    dates = one["from_date"] if one["from_date"] == one["to_date"] else f"{one['from_date']} to {one['to_date']}"
    return f"{days} ({dates})"


def _days(first: float, last: float) -> str:
    """A window of days.

    >>> _days(10, 14), _days(21, 21)
    ('day 10 to 14', 'day 21')
    """
    return f"day {figure(first)}" if first == last else f"day {figure(first)} to {figure(last)}"
