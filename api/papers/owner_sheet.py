"""The sheet that the owner takes home: when to call, what to do, what is normal, and the dates.

Where nothing was frozen it says what happens instead, and nothing about the care of a freeze.
"""

from __future__ import annotations

from collections.abc import Iterable

from api.papers.dates import day_in_words, window_in_words
from api.papers.paper import Paper, Point, Row, Section
from api.papers.subject import Subject
from decision.recommendation import Milestone

__all__ = ["owner_sheet"]

RECHECK = "recheck"
FOR_THE_PRACTICE = frozenset({RECHECK, "early_look", "not_again_before", "retreat_decision"})
MOST_LETTERS = 1650  # in large type on one page; beyond it details are left out, never those of an alarm
KINDS = ("red_flag", "care", "normal")
HEAD = (
    Row("Animal", blank="animal"),
    Row("Practice", blank="practice"),
    Row("Telephone", blank="telephone"),
    Row("Out of hours", blank="out_of_hours"),
)


def owner_sheet(about: Subject) -> Paper:
    """Write the sheet for the owner of the patient."""
    if not about.may_be_frozen:
        return _instead(about)
    for count in (3, 2):
        sheet = _after_the_freeze(about, KINDS[:count])
        if sum(map(len, sheet.texts())) <= MOST_LETTERS:
            return sheet
    return _after_the_freeze(about, KINDS[:1])


def _after_the_freeze(about: Subject, explained: tuple[str, ...]) -> Paper:
    """The sheet of a freeze, with the details of some kinds of advice."""
    titles = about.node("aftercare").fields["kind"]["one_of"] if about.lesion["aftercare"] else {}
    advice = [
        Section(
            _title(titles[kind]),
            points=tuple(
                Point(one["step"], one["detail"] if kind in explained else "")
                for one in about.lesion["aftercare"]
                if one.get("kind") == kind
            ),
            alarm=kind == "red_flag",
        )
        for kind in KINDS
        if kind in titles
    ]
    visit = Section("", rows=(_visit(about),))
    dates = Section("When to expect what", rows=_dates(about.lesion["calendar"]), paired=True)
    return Paper(
        title="After the freeze",
        subtitle=about.on_the_day("Frozen"),
        head=HEAD,
        sections=(visit, *advice, dates),
        small_print=about.rests_on(),
        one_page=True,
    )


def _visit(about: Subject) -> Row:
    """The working day of the recheck; a blank where the rule book gives none."""
    days = [one["visit_on"] for one in about.lesion["calendar"] if one["milestone"] == RECHECK and one["visit_on"]]
    if not days:
        return Row("Next visit", blank="next_visit")
    return Row("Next visit", f"{day_in_words(days[0])}, at", then="visit_time")


def _dates(calendar: Iterable[Milestone]) -> tuple[Row, ...]:
    """Each milestone that an owner sees, with its window."""
    return tuple(
        Row(window_in_words(one["from_date"], one["to_date"]), _title(one["in_words"]))
        for one in calendar
        if one["milestone"] not in FOR_THE_PRACTICE and one["from_date"] is not None and one["to_date"] is not None
    )


def _instead(about: Subject) -> Paper:
    """The sheet where nothing is frozen."""
    listed = about.lesion["alternatives"]
    plain = about.node("alternatives").fields["what"]["plain"] if listed else {}
    points = tuple(
        Point(plain.get(one["what"], f"{_title(one['in_words'])}."), f"When: {one['by_when']}.") for one in listed
    )
    return Paper(
        title="What happens instead of freezing",
        subtitle=about.on_the_day("Seen"),
        head=HEAD,
        sections=(
            Section("", words=(_why_not(about),)),
            Section("What comes next", points=points),
            Section("", rows=(Row("Next visit", blank="next_visit"), Row("To be remembered", blank="remember"))),
        ),
        small_print=about.rests_on(),
        one_page=True,
    )


def _why_not(about: Subject) -> str:
    verdict = about.lesion["suitability"]["verdict"]
    if verdict is None:
        return "Nothing was frozen. It is not settled yet whether it may be frozen; the practice says what is missing."
    if about.permitted:
        return "Nothing was frozen. Nothing at hand here can freeze it; the practice says what comes next."
    return f"Nothing was frozen. What was decided: {about.plain_verdict}"


def _title(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
