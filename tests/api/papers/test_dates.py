"""Dates as people read them."""

import pytest

from api.papers.dates import day_in_words, window_in_words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2026-11-24", "2026-11-24", "24 Nov"),
        ("2026-11-24", "2026-11-30", "24 to 30 Nov"),
        ("2026-12-28", "2027-01-04", "28 Dec to 4 Jan"),
        ("2026-11-24", "2027-01-08", "24 Nov to 8 Jan"),  # 45 days
        ("2026-11-24", "2027-01-09", "Nov 2026 to Jan 2027"),  # 46 days
        ("2027-01-23", "2027-11-24", "Jan to Nov 2027"),
    ],
)
def test_a_window_is_told_in_days_and_a_long_one_in_months(first, last, words):
    assert window_in_words(first, last) == words


def test_a_leap_day_has_its_weekday():
    assert day_in_words("2028-02-29") == "Tuesday 29 February 2028"
