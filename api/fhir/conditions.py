"""Read Conditions: which are lesions, which still stand, and what they say of kind, diagnosis, site and time."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from api.fhir.bundles import Resource
from api.fhir.concepts import FINDING, Understood
from api.fhir.dates import first_days
from api.fhir.elements import Element
from api.fhir.inputs import BASIS, DIAGNOSIS, KIND, LOOK, NONE_YET, SITE, WEEKS
from api.fhir.record import Lesion, Reader, code_of
from api.fhir.reports import Report, reports_about
from api.fhir.statements import Statements
from decision.vocabulary import Value

__all__ = ["current", "is_lesion", "read_condition", "read_sites", "standing", "state_facts"]

VERIFICATION = "http://terminology.hl7.org/CodeSystem/condition-ver-status"
CLINICAL = "http://terminology.hl7.org/CodeSystem/condition-clinical"
ALLERGY_VERIFICATION = "http://terminology.hl7.org/CodeSystem/allergyintolerance-verification"
ALLERGY_CLINICAL = "http://terminology.hl7.org/CodeSystem/allergyintolerance-clinical"
WITHDRAWN = ("refuted", "entered-in-error")
OVER = ("inactive", "remission", "resolved")
CONFIRMED = "confirmed"
COMPETING = "differential"
ABATED = ("abatementDateTime", "abatementAge", "abatementPeriod", "abatementRange", "abatementString")


def current(condition: Element) -> bool:
    """Whether a Condition still stands: not refuted, not entered in error, not over."""
    if code_of(condition.at("verificationStatus"), VERIFICATION) in WITHDRAWN:
        return False
    return code_of(condition.at("clinicalStatus"), CLINICAL) not in OVER and not condition.first(*ABATED)


def standing(allergy: Element) -> bool:
    """Whether an allergy still stands: not refuted, not entered in error, not over."""
    if code_of(allergy.at("verificationStatus"), ALLERGY_VERIFICATION) in WITHDRAWN:
        return False
    return code_of(allergy.at("clinicalStatus"), ALLERGY_CLINICAL) not in OVER


def is_lesion(understood: Understood) -> bool:
    """Whether a Condition is a lesion: its code names a kind or a diagnosis of ours."""
    return any(name in (KIND, DIAGNOSIS) for name, _ in understood.facts)


def read_condition(lesion: Lesion, understood: Understood, reports: Sequence[Report], reader: Reader) -> None:
    """State what the Condition of a lesion and the reports about it say of the lesion."""
    assert lesion.condition is not None
    condition, stated = lesion.condition, lesion.statements
    code = condition.at("code")
    named = [value for name, value in understood.facts if name == DIAGNOSIS and value != NONE_YET]
    for name, value in understood.facts:
        if name not in (DIAGNOSIS, BASIS):
            stated.state(name, value, code)
    _state_named(understood, code, stated, reader)
    for name in understood.hints:
        stated.hint_at(name)
    read_sites(condition, stated, reader)
    _read_onset(condition, stated, reader)
    _read_diagnosis(lesion, named, reports_about(reports, condition, lesion.keys), reader)


def read_sites(resource: Element, stated: Statements, reader: Reader, day: datetime.date | None = None) -> None:
    """State the site that a Condition, an order or an Observation (of a day) names."""
    for body_site in resource.each("bodySite"):
        for name, value in reader.understood(body_site).facts:
            if name == SITE:
                stated.state(name, value, body_site, day)


def state_facts(resources: Sequence[Resource], patient: Statements, lesions: Sequence[Lesion], reader: Reader) -> None:
    """State what Conditions, allergies and orders for medication say of the patient by their code alone.

    What such a code says of a lesion is taken where it is the code of that lesion, and otherwise left open on each.
    """
    own = [lesion.condition for lesion in lesions]
    for one in resources:
        for code in _named_by(one.element):
            understood = reader.understood(code)
            for name, value in understood.facts:
                patient.state(name, value, code)
            _state_named(understood, code, patient, reader)
            for name in understood.hints:
                patient.hint_at(name)
            if one.element not in own and not is_lesion(understood):
                _leave_open(understood, code, patient, lesions, reader)


def _state_named(understood: Understood, code: Element, stated: Statements, reader: Reader) -> None:
    """State the findings that a code names as present. What needs a value is noted, and is not taken as absent.

    Where the presence of a finding makes a freeze safer, its name alone is not taken for it.
    """
    for name in understood.codes(FINDING):
        about = reader.vocabulary.inputs.get(name)
        if not stated.takes(name):
            continue
        if about is not None and about.type == "boolean" and about.risk != "falls":
            stated.state(name, True, code)
        else:
            reader.notes.add(code, "value_missing")
            stated.name_present(name)


def _leave_open(
    understood: Understood, code: Element, patient: Statements, lesions: Sequence[Lesion], reader: Reader
) -> None:
    """Leave open on each lesion what a code says of one without saying of which."""
    named = [*understood.codes(FINDING), *(name for name, _ in understood.facts)]
    if any(not patient.takes(name) for name in named):
        reader.notes.add(code, "not_linked")
    for lesion in lesions:
        for name in (*named, *understood.hints):
            lesion.statements.hint_at(name)


def _named_by(resource: Element) -> list[Element]:
    """The concepts that a resource is about; a Medication may stand inside its order."""
    contained = [inside.at("code") for inside in resource.each("contained")]
    names = ("code", "medicationCodeableConcept", "medication")
    return [found for found in (*(resource.at(name) for name in names), *contained) if found]


def _read_onset(condition: Element, stated: Statements, reader: Reader) -> None:
    onset = condition.first("onsetDateTime", "onsetPeriod")
    if not onset:
        return
    day = reader.day(first_days(condition, "onsetDateTime", "onsetPeriod"))
    if day is None:
        reader.notes.add(onset, "date_not_read")
    else:
        stated.state(WEEKS, round(max(0, (reader.as_of - day).days) / 7, 2), onset)


def _read_diagnosis(lesion: Lesion, named: Sequence[Value], reports: Sequence[Report], reader: Reader) -> None:
    """State the diagnosis and what it rests on.

    A diagnosis rests on its look unless it is confirmed or competes with others; on a sample only when a final report
    about this lesion says so, by its own conclusion or by being the only ground of a confirmed diagnosis.
    """
    assert lesion.condition is not None
    condition, stated = lesion.condition, lesion.statements
    code, verification = condition.at("code"), condition.at("verificationStatus")
    status = code_of(verification, VERIFICATION)
    for value in named if status != COMPETING else ():
        stated.state(DIAGNOSIS, value, code)
    if named and status == COMPETING:
        reader.notes.add(verification, "names_compete")
    bases: list[Value] = []
    for report in reports:
        for value in report.diagnoses:
            stated.state(DIAGNOSIS, value, report.element)
        if report.diagnoses or report.undecided or status == CONFIRMED:
            bases += report.bases
    if bases:
        stated.state(BASIS, _firmest(bases, reader), reports[0].element)
    elif named and not reports and status not in (CONFIRMED, COMPETING):
        stated.state(BASIS, LOOK, verification if verification else code)


def _firmest(bases: Sequence[Value], reader: Reader) -> Value:
    """What a diagnosis rests on when several reports name it: the firmest of them."""
    about = reader.vocabulary.inputs.get(BASIS)
    steps = about.risk if about is not None and isinstance(about.risk, list) else []
    flat = [code for step in steps for code in (step if isinstance(step, list) else [step])]
    return min(bases, key=lambda one: flat.index(one) if one in flat else len(flat))
