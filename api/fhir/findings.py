"""Read Observations: which finding by its code, about which lesion by `focus`, and the value in any of its forms."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from api.fhir.bundles import Resource
from api.fhir.concepts import FINDING
from api.fhir.conditions import read_sites
from api.fhir.dates import first_days
from api.fhir.elements import Element
from api.fhir.quantities import amount
from api.fhir.record import Lesion, Reader, refers_to
from api.fhir.references import referred
from api.fhir.statements import Statements
from decision.vocabulary import Value

__all__ = ["Parts", "reach_back", "read_findings"]

READ = ("final", "amended", "corrected", "preliminary")
ABSENT = ("entered-in-error", "cancelled")
EFFECTIVE = ("effectiveDateTime", "effectiveInstant", "effectivePeriod")  # what a search sorts by
WHEN = (*EFFECTIVE, "issued")
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


@dataclass(frozen=True, slots=True)
class _Finding:
    """What is spoken of, its value where that could be taken, and where it stands."""

    name: str
    value: Value | None
    place: Element


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of a case that findings are about.

    Attributes:
        patient: What is stated about the patient.
        lesions: The lesions that are asked about.
        conditions: The names of every Condition that was sent, whether it is asked about or not.
    """

    patient: Statements
    lesions: Sequence[Lesion]
    conditions: frozenset[str]

    def of(self, name: str, about: Sequence[Statements]) -> Sequence[Statements]:
        """The parts that a finding may be about, where those lesions are named: without one, each of them."""
        if self.patient.takes(name):
            return [self.patient]
        return about or [lesion.statements for lesion in self.lesions]


def read_findings(observations: Sequence[Resource], parts: Parts, reader: Reader, *, drafts: bool) -> None:
    """State what Observations say. What one speaks of and does not say so that it can be taken is left open.

    Args:
        observations: Those about the patient.
        parts: The parts of a case that they are about.
        reader: What readers share.
        drafts: Whether they are being written just now, so that one without a date is of today.
    """
    for one in observations:
        observation = one.element
        status = observation.text("status")
        if status in READ:
            _read(observation, parts, reader, drafts=drafts)
        elif status not in ABSENT:
            reader.notes.add(observation.at("status"), "not_final" if status else "status_missing")
            _leave_open(observation, _named(observation, reader), parts, reader)


def _read(observation: Element, parts: Parts, reader: Reader, *, drafts: bool) -> None:
    about, elsewhere = _about(observation, parts)
    found = [*_found(observation, reader)]
    for part in observation.each("component"):
        found += _found(part, reader)
    wanted = [one for one in found if parts.patient.takes(one.name) or not elsewhere]
    if len(wanted) < len(found):
        _note_unknown_lesion(observation, [one.name for one in found], parts, reader)
    if not wanted:
        return
    day = _day(observation, reader, drafts=drafts)
    if day is None:
        _leave_open(observation, [one.name for one in wanted], parts, reader)
        return
    for one in wanted:
        linked = bool(about) or parts.patient.takes(one.name)
        if not linked:
            reader.notes.add(observation, "not_linked")
        for stated in parts.of(one.name, about):
            if one.value is None or not linked:
                stated.leave_open(one.name, day)
            else:
                stated.state(one.name, one.value, one.place, day)
    for stated in about:
        read_sites(observation, stated, reader, day)


def _about(observation: Element, parts: Parts) -> tuple[list[Statements], bool]:
    """The lesions that an Observation is about, and whether it is about a lesion that is none of them."""
    focus = observation.each("focus")
    about = [lesion.statements for lesion in parts.lesions if refers_to(focus, lesion.keys)]
    return about, not about and any(referred(one).startswith("Condition/") for one in focus)


def _note_unknown_lesion(observation: Element, names: Sequence[str], parts: Parts, reader: Reader) -> None:
    """Note what was found of late on a lesion that was not sent: it may be one that is asked about, named wrongly."""
    if not refers_to(observation.each("focus"), parts.conditions) and _may_count(observation, reader):
        reader.notes.add(observation, "lesion_not_found")
        _leave_open(observation, names, parts, reader)


def _leave_open(observation: Element, names: Sequence[str], parts: Parts, reader: Reader) -> None:
    """Leave open what an Observation speaks of that may count for today, on its own lesion where it names one."""
    if not _may_count(observation, reader):
        return
    about, elsewhere = _about(observation, parts)
    of_another = elsewhere and refers_to(observation.each("focus"), parts.conditions)
    for name in names:
        for stated in () if of_another and not parts.patient.takes(name) else parts.of(name, about):
            stated.leave_open(name, reader.day(first_days(observation, *WHEN)))


def reach_back(observations: Sequence[Resource], as_of: datetime.date, fresh_days: int) -> bool:
    """Whether Observations come newest first and reach back beyond the days that count.

    Only then can nothing that counts for today stand on the pages that were not sent. Each must say its day, and the
    last one must be of one moment: by its end or by its start, a period could stand anywhere.
    """
    days = [first_days(one.element, *EFFECTIVE) for one in observations]
    read = [one.first for one in days if one is not None and one.exact]
    if not read or len(read) < len(days) or read != sorted(read, reverse=True):
        return False
    moment = not observations[-1].element.at("effectivePeriod")
    # A day more, for a server may sort by the clock of another place than the one that wrote the date.
    return moment and read[-1] < as_of - datetime.timedelta(days=fresh_days + 1)


def _may_count(observation: Element, reader: Reader) -> bool:
    """Whether an Observation may be of the days that count: it is, or its date cannot be read."""
    day = reader.day(first_days(observation, *WHEN))
    return day is None or reader.fresh(day)


def _named(observation: Element, reader: Reader) -> list[str]:
    """The findings that an Observation and its components name."""
    concepts = [reader.understood(one.at("code")) for one in (observation, *observation.each("component"))]
    return [name for one in concepts for name in (*one.codes(FINDING), *(fact for fact, _ in one.facts))]


def _day(observation: Element, reader: Reader, *, drafts: bool) -> datetime.date | None:
    """The day on which it was seen; None, with a note, when that cannot stand for today."""
    if drafts and not observation.first(*WHEN):
        return reader.as_of
    day = reader.day(first_days(observation, *WHEN))
    if day is None or not reader.fresh(day):
        reader.notes.add(observation, "date_not_read" if day is None else "too_old")
        return None
    return day


def _found(part: Element, reader: Reader) -> list[_Finding]:
    """What an Observation or one of its components speaks of, with each value that it has."""
    understood, value = reader.understood(part.at("code")), _value_of(part)
    facts = understood.facts
    named = [*understood.codes(FINDING), *(name for name, _ in facts)]
    if not value:
        silent = part.at("dataAbsentReason") or part.each("component")
        if not silent and named:
            reader.notes.add(part, "value_missing")
        return [] if silent else [_Finding(name, None, part) for name in named]
    found = []
    for name in understood.codes(FINDING):
        values = _values(name, value, reader)
        found += [_Finding(name, one, value) for one in values] or [_Finding(name, None, value)]
    if value.value is True:  # a code that states a value by itself, said to be so
        return found + [_Finding(name, one, value) for name, one in facts]
    if value.value is not False and facts:
        reader.notes.add(value, "value_not_read")
        found += [_Finding(name, None, value) for name, _ in facts]
    return found


def _value_of(part: Element) -> Element:
    """The value in any of its forms, those included that no finding has."""
    written = part.value if isinstance(part.value, dict) else {}
    return part.first(*VALUES, *(name for name in written if name.startswith("value")))


def _values(name: str, value: Element, reader: Reader) -> list[Value]:
    """The values of a finding; none, with a note, when it has none that can be read."""
    about = reader.vocabulary.inputs.get(name)
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
        if not values and (facts or not (value.each("coding") or value.text("text"))):
            reader.notes.add(value, "value_not_read")
        return values
    reader.notes.add(value, "text_only" if isinstance(value.value, str) else "value_not_read")
    return []
