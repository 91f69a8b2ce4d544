"""Days of healing as dates: leap years, month ends, weekends and public holidays."""

import datetime

import pytest

from decision.calendar import date_after, milestones, working_day
from decision.public_holidays import PublicHolidays

WORDS = {"crust": "a crust forms", "recheck": "the recheck"}
NO_REGION = PublicHolidays(None)


def day(written):
    return datetime.date.fromisoformat(written)


@pytest.mark.parametrize(
    ("first", "days", "date"),
    [
        ("2024-02-28", 1, "2024-02-29"),  # divisible by 4: a leap year
        ("2026-02-28", 1, "2026-03-01"),  # not divisible by 4
        ("2100-02-28", 1, "2100-03-01"),  # divisible by 100 and not by 400: no leap year
        ("2000-02-28", 1, "2000-02-29"),  # divisible by 400
        ("2026-01-31", 28, "2026-02-28"),  # January has 31 days: 28 days on is the last of February
        ("2024-01-31", 30, "2024-03-01"),  # 29 days bring it to the end of a leap February
        ("2026-12-11", 21, "2027-01-01"),  # 20 days to the end of the year
        ("2026-11-24", 42, "2027-01-05"),  # 6 to the end of November, 31 more, 5 left
    ],
)
def test_days_are_counted_over_month_ends_and_leap_days(first, days, date):
    assert date_after(day(first), days) == date


def test_a_day_beyond_the_calendar_has_no_date():
    assert date_after(datetime.date.max, 1) is None


@pytest.mark.parametrize(
    ("first", "found"),
    [
        ("2026-11-27", "2026-11-27"),  # a Friday
        ("2026-11-28", "2026-11-30"),  # a Saturday: the Monday after
        ("2026-11-29", "2026-11-30"),  # a Sunday
        ("2028-02-26", "2028-02-28"),  # a Saturday before a leap day
    ],
)
def test_a_recheck_falls_on_no_weekend(first, found):
    assert working_day(day(first), NO_REGION) == (day(found), [])


def test_a_holiday_on_a_weekend_moved_nothing_and_is_not_named():
    # 2027-12-25 is a Saturday; Monday 27 and Tuesday 28 are the days off in its place.
    found, applied = working_day(day("2027-12-25"), PublicHolidays("GB-ENG"))

    assert found == day("2027-12-29")
    assert [one["date"] for one in applied] == ["2027-12-27", "2027-12-28"]


@pytest.mark.parametrize("region", [None, "XX", "ZZ-LND"])
def test_a_region_that_is_not_covered_has_weekends_only_and_says_so(region):
    assert working_day(day("2026-12-25"), PublicHolidays(region)) == (day("2026-12-25"), [])
    [recheck] = milestones([statement("recheck", 14, 28)], WORDS, day("2026-12-11"), PublicHolidays(region))
    assert (recheck["visit_on"], recheck["holidays_of"]) == ("2026-12-25", None)


@pytest.mark.parametrize(
    ("region", "country", "visit_on"),
    [
        ("GB-LND", "GB", "2026-12-29"),  # Friday the 25th, a weekend, and Monday for Boxing Day
        ("FR-IDF", "FR", "2026-12-28"),
        ("BE-VAN", "BE", "2026-12-28"),
        ("IE-D", "IE", "2026-12-28"),
        ("ES-M", "ES", "2026-12-28"),
    ],
)
def test_a_subdivision_without_holidays_of_its_own_has_its_countrys(region, country, visit_on):
    [recheck] = milestones([statement("recheck", 14, 28)], WORDS, day("2026-12-11"), PublicHolidays(region))

    assert recheck["visit_on"] == visit_on
    assert recheck["holidays_of"] == country


def test_a_subdivision_with_holidays_of_its_own_has_those():
    scotland, country = PublicHolidays("GB-SCT"), PublicHolidays("GB")

    assert scotland.known_of == "GB-SCT"
    assert scotland.on(day("2026-11-30")) and not country.on(day("2026-11-30"))  # St Andrew's Day


def test_a_milestone_shows_every_figure_and_the_window_that_holds_them_all():
    stated = [statement("crust", 2, 5), statement("crust", 1, 4)]

    [crust] = milestones(stated, WORDS, day("2024-02-27"), NO_REGION)

    assert (crust["from_day"], crust["to_day"]) == (1, 5)
    assert (crust["from_date"], crust["to_date"]) == ("2024-02-28", "2024-03-03")
    assert len(crust["figures"]) == 2
    assert crust["visit_on"] is None


def test_only_the_recheck_is_moved_to_a_working_day():
    stated = [statement(code, 14, 28) for code in WORDS]

    crust, recheck = milestones(stated, WORDS, day("2026-12-11"), PublicHolidays("GB-SCT"))

    # Day 14 is Friday the 25th of December; Saturday and Sunday follow, then the day off for Boxing Day.
    assert crust["visit_on"] is None
    assert recheck["visit_on"] == "2026-12-29"
    assert [one["date"] for one in recheck["holidays_applied"]] == ["2026-12-25", "2026-12-28"]


def test_what_is_over_by_the_day_of_asking_is_left_out():
    stated = [statement("crust", 2, 5), statement("recheck", 10, 14)]

    found = [
        [one["milestone"] for one in milestones(stated, WORDS, day("2026-11-02"), NO_REGION, day(asked))]
        for asked in ("2026-11-07", "2026-11-08", "2026-11-17")
    ]

    assert found == [["crust", "recheck"], ["recheck"], []]  # day 5 is the 7th, day 14 the 16th of November


def test_a_visit_is_never_before_the_day_of_asking():
    [recheck] = milestones([statement("recheck", 10, 14)], WORDS, day("2026-11-02"), NO_REGION, day("2026-11-14"))

    # The window opened on Thursday the 12th; asked on Saturday, the visit is on Monday.
    assert (recheck["from_date"], recheck["visit_on"]) == ("2026-11-12", "2026-11-16")


def statement(milestone, from_day, to_day):
    days = {"from_day": from_day, "to_day": to_day}
    return {"milestone": milestone, **days}, {"basis": "published", **days, "reasons": []}
