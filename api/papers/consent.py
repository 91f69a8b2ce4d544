"""The points to go through with the owner before a freeze, each with a box to tick, and lines to sign."""

from __future__ import annotations

from api.papers.paper import Paper, Point, Row, Section
from api.papers.subject import Subject
from decision.measured import measured_for
from decision.recommendation import Step

__all__ = ["consent_points"]

ON_CONSENT = "preparation/take_consent"  # the rule that names the points of consent
SIGNED = (
    Row("Owner or agent", blank="owner_signature"),
    Row("For the practice", blank="practice_signature"),
    Row("Date", blank="signed_on"),
)


def consent_points(about: Subject) -> Paper:
    """Write the points of consent. Where no freeze is planned there is nothing to consent to, and it says so."""
    return Paper(
        title="Points of consent to a freeze" if about.may_be_frozen else "Nothing to consent to: no freeze is planned",
        subtitle=about.on_the_day("Talked over"),
        head=(Row("Animal", blank="animal"), Row("Owner or agent", blank="owner")),
        sections=_of_a_freeze(about) if about.may_be_frozen else _of_no_freeze(about),
        small_print=about.rests_on(),
        one_page=True,
    )


def _of_a_freeze(about: Subject) -> tuple[Section, ...]:
    lesion = about.lesion
    steps = [one for one in lesion["preparation"] if one["reasons"][0]["rule"] == ON_CONSENT]
    usual = [one for one in lesion["aftercare"] if one.get("kind") == "normal"]
    against = lesion["suitability"]["obstacle"]
    return (
        Section("Before anything is frozen", words=(f"{against[:1].upper()}{against[1:]}.",) if against else ()),
        Section("What is planned", rows=tuple(_planned(about))),
        Section("To be told", points=tuple(_told(one) for one in steps), ticks=True),
        Section("About this patient", points=_cautions(about), ticks=True),
        Section("Usual afterwards", points=tuple(Point(one["step"], one["detail"]) for one in usual), ticks=True),
        Section("Questions", rows=(Row("Asked and answered", blank="questions"),)),
        Section("Signed", rows=SIGNED),
    )


def _told(step: Step) -> Point:
    """A point of consent, and where its figures were measured: one counted in dogs is not one for a horse."""
    evidence = step["reasons"][0]["evidence"]
    if not evidence["citations"]:
        return Point(step["step"], step["detail"])
    where = measured_for(evidence)
    return Point(step["step"], f"{step['detail']} {where[:1].upper()}{where[1:]}.")


def _of_no_freeze(about: Subject) -> tuple[Section, ...]:
    alternatives = tuple(Point(one["in_words"], f"When: {one['by_when']}.") for one in about.lesion["alternatives"])
    return (
        Section("", words=(about.lesion["suitability"]["summary"],)),
        Section("Instead", points=alternatives),
    )


def _planned(about: Subject) -> list[Row]:
    method, plan = about.lesion["method"], about.lesion["plan"]
    rows = [
        Row("Taken to be", about.words("known_diagnosis") or "not named"),
        Row("Named by", about.words("diagnosis_basis") or "not stated"),
    ]
    if method is not None:
        rows.append(Row("Frozen with", method["summary"]))
    if plan is not None and plan["cycles"] is not None:
        rows.append(Row("Freezes in one visit", f"{plan['cycles']:g} at most"))
    return rows


def _cautions(about: Subject) -> tuple[Point, ...]:
    return tuple(Point(one["summary"], one["detail"]) for one in about.lesion["cautions"])
