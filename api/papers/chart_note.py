"""The note for the chart: what was found, decided, done and planned, and why. What is not known is a blank."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from api.papers.chart_cycles import cycles_done
from api.papers.dates import day_in_words, month_in_words, window_in_words
from api.papers.paper import Paper, Point, Row, Section
from api.papers.subject import Subject
from api.text.input_words import value_in_words
from api.text.plan_text import quantities_in_words
from api.text.reason_text import evidence_in_brief
from decision.recommendation import Reason

__all__ = ["chart_note"]

SIDES = {"left": "left", "right": "right", "midline": "on the midline"}
PHOTOS = {"taken": "taken, with a scale", "not_taken": "not taken"}
TISSUE = {"submitted": "submitted", "kept": "kept, not submitted", "none_taken": "none taken"}


def chart_note(about: Subject) -> Paper:
    """Write the note for the chart of the patient."""
    return Paper(
        title="Note for the chart",
        subtitle=f"{day_in_words(about.answer['as_of'])}. Lesion {about.lesion['lesion_id']}.",
        head=(Row("Patient", blank="patient"), Row("Written by", blank="written_by")),
        sections=(
            Section("Found", rows=tuple(_found(about))),
            Section("Decided", rows=tuple(_decided(about))),
            Section("Why", points=tuple(_why(about))),
            Section("Instead", points=tuple(_instead(about))),
            Section("Planned", rows=tuple(_planned(about))),
            *cycles_done(about),
            Section("Tissue", rows=(_tissue(about),)),
            Section("With what", rows=_with_what(about)) if about.may_be_frozen or about.cycles else Section(""),
            Section("Next", rows=tuple(_next(about))),
        ),
        small_print=(
            *about.rests_on(),
            f"Case {about.answer['case_digest']}. Conclusion {about.answer['conclusion_digest']}.",
        ),
    )


def _found(about: Subject) -> Iterable[Row]:
    """Side, place and photograph, then what was stated of patient and lesion, then the check lists that were ticked."""
    yield Row("Side", SIDES.get(about.chart.get("side", ""), ""), "side")
    yield Row("Exact place", blank="exact_place")
    yield Row("Photograph", PHOTOS.get(about.chart.get("photo", ""), ""), "photo")
    vocabulary = about.book.vocabulary
    for part in ("lesion", "patient"):
        for one in vocabulary.about(part):
            listed = one.group is not None and one.group in about.ticked
            if one.name in about.stated and not listed:
                yield Row(_title(one.label), about.words(one.name))
    for name in about.ticked:
        absent = [one.label for one in vocabulary.in_group(name) if about.stated.get(one.name) == one.absent]
        yield Row(_title(name.replace("_", " ")), f"checked, none of: {', '.join(absent)}")


def _decided(about: Subject) -> Iterable[Row]:
    suitability = about.lesion["suitability"]
    yield Row("Verdict", about.verdict or "none yet")
    if suitability["obstacle"] is not None:
        yield Row("But", suitability["obstacle"])
    yield Row("Standing", "settled" if suitability["settled"] else suitability["summary"])
    inputs = about.book.vocabulary.inputs
    for one in about.lesion["presumed"]:
        if one["if_wrong"]:
            about_it = inputs[one["input"]]
            yield Row("Presumed, and it matters", f"{about_it.label}: {value_in_words(one['presumed'], about_it)}")
    for caution in about.lesion["cautions"]:
        yield Row(_title(caution["urgency"]), caution["summary"])


def _why(about: Subject) -> Iterable[Point]:
    """Every rule behind verdict and method, with its evidence."""
    method = about.lesion["method"]
    return _points([*about.lesion["suitability"]["reasons"], *(method["reasons"] if method else [])])


def _points(reasons: Sequence[Reason]) -> Iterable[Point]:
    for one in reasons:
        yield Point(one["title"], f"{evidence_in_brief(one['evidence'])}; {one['rule']}")


def _instead(about: Subject) -> Iterable[Point]:
    return (Point(_title(one["in_words"]), f"When: {one['by_when']}.") for one in about.lesion["alternatives"])


def _planned(about: Subject) -> Iterable[Row]:
    method, plan = about.lesion["method"], about.lesion["plan"]
    if method is None or plan is None:
        return
    yield Row("With", method["summary"])
    for label, window in quantities_in_words(plan, about.book, method["applicator"]):
        yield Row(_title(label), window)
    if plan["reach_note"] is not None:
        yield Row("By the estimate", plan["reach_note"])


def _tissue(about: Subject) -> Row:
    """What became of tissue; that sampling was declined stands in the case."""
    if about.stated.get("sampling_declined") is True:
        return Row("Tissue", "sampling was offered and declined by the owner")
    return Row("Tissue", TISSUE.get(about.chart.get("tissue", ""), ""), "tissue")


def _with_what(about: Subject) -> tuple[Row, ...]:
    expires = about.chart.get("canister_expires")
    return (
        Row("Frozen by", blank="frozen_by"),
        Row("Cryogen", about.words("cryogen"), "cryogen"),
        Row("Canister, lot", about.chart.get("canister_lot", ""), "canister_lot"),
        Row("Canister, expires", "" if expires is None else month_in_words(expires), "canister_expires"),
    )


def _next(about: Subject) -> Iterable[Row]:
    """The dates that the practice keeps."""
    for one in about.lesion["calendar"]:
        if one["visit_on"] is not None:
            passed = "".join(f"; {day['date']} is {day['name']}" for day in one["holidays_applied"])
            passed = passed if one["holidays_of"] else "; public holidays not known, look whether it is one"
            yield Row(_title(one["in_words"]), f"{day_in_words(one['visit_on'])}{passed}")
        elif one["from_date"] is not None and one["to_date"] is not None:
            yield Row(_title(one["in_words"]), window_in_words(one["from_date"], one["to_date"]))


def _title(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
