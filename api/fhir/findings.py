"""Read Observations: which finding by its code, about which lesion by `focus`, and the value in any of its forms."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from api.fhir.bundles import Resource
from api.fhir.conditions import read_sites
from api.fhir.dates import first_days
from api.fhir.elements import Element
from api.fhir.quantities import amount
from api.fhir.record import Lesion, Reader, refers_to
from api.fhir.references import referred
from api.fhir.statements import Statements
from decision.vocabulary import Value

__all__ = ["read_findings"]

READ = ("final", "amended", "corrected", "preliminary", "")
ABSENT = ("entered-in-error", "cancelled")
WHEN = ("effectiveDateTime", "effectiveInstant", "effectivePeriod", "issued")
VALUES = (
    "valueCodeableConcept",
    "valueBoolean",
    "valueQuantity",
    "valueInteger",
    "valueString",
    "valueRange",
    "valueRatio",
    "valueDateTime",
)


def read_findings(
    observations: Sequence[Resource], patient: Statements, lesions: Sequence[Lesion], reader: Reader, *, drafts: bool
) -> None:
    """State what Observations say.

    Args:
        observations: Those about the patient.
        patient: What is stated about the patient.
        lesions: The lesions that are asked about.
        reader: What readers share.
        drafts: Whether they are being written just now, so that one without a date is of today.
    """
    for one in observations:
        observation = one.element
        status = observation.text("status")
        if status in READ:
            _read(observation, patient, lesions, reader, drafts=drafts)
        elif status not in ABSENT:
            reader.notes.add(observation.at("status"), "not_final")


def _read(
    observation: Element, patient: Statements, lesions: Sequence[Lesion], reader: Reader, *, drafts: bool
) -> None:
    focus = observation.each("focus")
    about = [lesion.statements for lesion in lesions if refers_to(focus, lesion.keys)]
    elsewhere = not about and any(referred(one).startswith("Condition/") for one in focus)
    found = [*_found(observation, reader)]
    for part in observation.each("component"):
        found += _found(part, reader)
    wanted = [one for one in found if patient.takes(one[0]) or not elsewhere]
    if not wanted:
        return
    day = _day(observation, reader, drafts=drafts)
    if day is None:
        return
    for name, value, place in wanted:
        if not patient.takes(name) and not about:
            reader.notes.add(observation, "not_linked")
        for stated in [patient] if patient.takes(name) else about:
            stated.state(name, value, place, day)
    for stated in about:
        read_sites(observation, stated, reader, day)


def _day(observation: Element, reader: Reader, *, drafts: bool) -> datetime.date | None:
    """The day on which it was seen; None, with a note, when that cannot stand for today."""
    if drafts and not observation.first(*WHEN):
        return reader.as_of
    day = reader.day(first_days(observation, *WHEN))
    if day is None or not reader.fresh(day):
        reader.notes.add(observation, "date_not_read" if day is None else "too_old")
        return None
    return day


def _found(part: Element, reader: Reader) -> list[tuple[str, Value, Element]]:
    """What an Observation or one of its components states: input, value, and where that stands."""
    understood, value = reader.understood(part.at("code")), part.first(*VALUES)
    found = [(name, one, value) for name in understood.codes("finding") for one in _values(name, value, reader)]
    if value.value is True:  # a code that states a value by itself, said to be so
        found += [(name, one, value) for name, one in understood.facts]
    return found


def _values(name: str, value: Element, reader: Reader) -> list[Value]:
    """The values of a finding; none, with a note, when it has none that can be read."""
    about = reader.vocabulary.inputs.get(name)
    if not value:
        return []
    if isinstance(value.value, bool) and (about is None or about.type == "boolean"):
        return [value.value]
    if about is not None and about.type == "number" and value.steps[-1] in ("valueQuantity", "valueInteger"):
        number = amount(value, about.unit)
        if number is None:
            reader.notes.add(value, "unit_not_read")
        return [] if number is None else [number]
    if about is not None and value.steps[-1] == "valueCodeableConcept":
        facts = reader.understood(value).facts
        values = [one for of, one in facts if of == name]
        if facts and not values:
            reader.notes.add(value, "value_not_read")
        return values
    reader.notes.add(value, "text_only" if isinstance(value.value, str) else "value_not_read")
    return []
