"""What was done, cycle by cycle, for the chart: as stated, beside its computed thaw and its review."""

from __future__ import annotations

from collections.abc import Iterable

from api.papers.paper import Row, Section
from api.papers.subject import CycleDone, Subject
from api.text.estimate_text import band_in_words
from api.text.input_words import value_in_words

__all__ = ["cycles_done"]

# What every chart has of a cycle; whatever else was stated follows.
ASKED = ("applicator_used", "contact_diameter_mm", "fill_reached_mm", "contact_seconds", "observed_thaw_s")


def cycles_done(about: Subject) -> Iterable[Section]:
    """A section for each cycle; one of blanks where a freeze is planned and nothing is stated of it yet."""
    if about.cycles:
        for number, cycle in enumerate(about.cycles, 1):
            yield Section(f"Done: cycle {number}", rows=tuple(_rows(about, cycle, number)))
    elif about.may_be_frozen:
        yield Section("Done: cycle 1", rows=tuple(_rows(about, CycleDone({}, None), 1)))


def _rows(about: Subject, cycle: CycleDone, number: int) -> Iterable[Row]:
    inputs = about.book.vocabulary.inputs
    names = [one.name for one in about.book.vocabulary.about("cycle") if one.name != "cycle_number"]
    for name in sorted(names, key=lambda one: ASKED.index(one) if one in ASKED else len(ASKED)):
        stated = cycle.stated.get(name)
        if stated is not None or name in ASKED:
            value = "" if stated is None else value_in_words(stated, inputs[name])
            yield Row(f"{inputs[name].label[:1].upper()}{inputs[name].label[1:]}", value, f"cycle_{number}_{name}")
    if cycle.review is None:
        return
    thaw, review = cycle.review["thaw"], cycle.review["review"]
    if thaw is not None and thaw["band"] is not None:
        yield Row("Thaw computed for it", band_in_words(thaw["band"], "s"))
    answers = about.node("cycle_review").answers
    yield Row("Review", "none yet" if review["answer"] is None else answers[review["answer"]])
    for step in cycle.review["next_time"]:
        yield Row("Next time", step["step"])
