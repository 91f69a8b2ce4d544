"""Read DiagnosticReports: which lesion they are about, what kind of sample they rest on, and what they conclude."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from api.fhir.bundles import Resource
from api.fhir.elements import Element
from api.fhir.inputs import BASIS, DIAGNOSIS, UNDECIDED
from api.fhir.record import Reader, refers_to
from api.fhir.references import referred
from decision.vocabulary import Value

__all__ = ["Report", "note_unlinked", "read_reports", "reports_about"]

FINAL = ("final", "amended", "corrected", "appended")
ABSENT = ("entered-in-error", "cancelled")


@dataclass(frozen=True, slots=True)
class Report:
    """A final report, in our words."""

    element: Element
    keys: frozenset[str]
    bases: tuple[Value, ...]
    diagnoses: tuple[Value, ...]
    undecided: bool
    focuses: frozenset[str]


def read_reports(reports: Sequence[Resource], observations: Sequence[Resource], reader: Reader) -> list[Report]:
    """Read the reports that are final; others are noted."""
    read = []
    for one in reports:
        status = one.element.text("status")
        if status in FINAL:
            read.append(_report(one, observations, reader))
        elif status not in ABSENT:
            reader.notes.add(one.element.at("status"), "not_final")
    return read


def reports_about(reports: Sequence[Report], condition: Element, keys: frozenset[str]) -> list[Report]:
    """The reports that a Condition gives as evidence, or whose results are about it by one of its keys."""
    evidence = condition.each("evidence")
    grounds = [*evidence, *(detail for one in evidence for detail in one.each("detail"))]
    return [one for one in reports if refers_to(grounds, one.keys) or not one.focuses.isdisjoint(keys)]


def note_unlinked(reports: Sequence[Report], conditions: Sequence[Resource], reader: Reader) -> None:
    """Note the reports that are about no Condition of the record."""
    linked = [report for one in conditions for report in reports_about(reports, one.element, one.keys)]
    for report in reports:
        if report not in linked and not report.focuses:
            reader.notes.add(report.element, "not_linked")


def _report(one: Resource, observations: Sequence[Resource], reader: Reader) -> Report:
    report = one.element
    grounds: list[tuple[str, Value]] = []
    concluded: list[tuple[str, Value]] = []
    for concept in (*report.each("category"), report.at("code")):
        grounds += reader.understood(concept).facts
    for concept in report.each("conclusionCode"):
        concluded += reader.understood(concept).facts
    undecided = (BASIS, UNDECIDED) in (*grounds, *concluded)
    bases = tuple(value for name, value in grounds if name == BASIS and value != UNDECIDED)
    results = frozenset(referred(result) for result in report.each("result"))
    about = [obs.element for obs in observations if not obs.keys.isdisjoint(results)]
    return Report(
        element=report,
        keys=one.keys,
        bases=(UNDECIDED,) if undecided else bases,
        diagnoses=() if undecided else tuple(value for name, value in concluded if name == DIAGNOSIS),
        undecided=undecided,
        focuses=frozenset(referred(focus) for obs in about for focus in obs.each("focus")) - {""},
    )
