"""Read the record that was sent into a case: which lesions are asked about, and what is stated of them and the patient.

Nothing is asked of a server. What is missing, incomplete or not understood is left unstated and told.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from api.code_lists import CodeLists
from api.fhir.bundles import Resource, Supplied
from api.fhir.concepts import Understood
from api.fhir.conditions import current, is_lesion, read_condition, read_sites, standing, state_facts
from api.fhir.contradicting import take_out_contradicting
from api.fhir.elements import Element
from api.fhir.findings import Parts, read_findings
from api.fhir.notes import Note
from api.fhir.orders import freeze_orders, in_doubt, reasons_of
from api.fhir.patients import read_patient
from api.fhir.procedures import read_procedures
from api.fhir.record import Lesion, Reader, not_in, refers_to
from api.fhir.reports import Report, note_unlinked, read_reports
from api.mapping import CodeMap
from decision.case_shape import MOST_LESIONS
from decision.contradictions import Contradictions

__all__ = ["KINDS_OF", "Chart", "ChartedLesion", "Sent", "read_chart"]

KINDS_OF: Mapping[str, str] = MappingProxyType(
    {
        "patient": "Patient",
        "conditions": "Condition",
        "observations": "Observation",
        "medications": "MedicationRequest",
        "allergies": "AllergyIntolerance",
        "procedures": "Procedure",
        "pathology": "DiagnosticReport",
    }
)

NO_CONTRADICTIONS = Contradictions()

Known = list[tuple[Resource, Understood]]


@dataclass(frozen=True, slots=True)
class Sent:
    """What was sent.

    Attributes:
        as_of: The day of the answer.
        patient_key: The patient in the context, as `Patient/id`.
        supplied: What was supplied for each key of the prefetch template.
        orders: The orders that are being made; None where the moment has none.
        charted: What is being charted just now; None where that is not told apart.
    """

    as_of: datetime.date
    patient_key: str
    supplied: Mapping[str, Supplied]
    orders: Sequence[Resource] | None = None
    charted: Sequence[Resource] | None = None


@dataclass(frozen=True, slots=True)
class ChartedLesion:
    """One lesion: as a part of a case, with its Condition and the orders to freeze it.

    Attributes:
        stated: As a part of a case.
        condition_key: Its Condition as `Condition/id`; empty where that has no id.
        reference: The same, or the full address of the entry where it has no id; empty where there is no Condition.
        name: What the record calls it, as somebody wrote it; empty where it has no name.
        orders: The orders to freeze it.
    """

    stated: Mapping[str, Any]
    condition_key: str
    reference: str
    name: str
    orders: Sequence[Element]


@dataclass(frozen=True, slots=True)
class Chart:
    """The record in our words.

    Attributes:
        patient: As a part of a case.
        lesions: The lesions that are asked about, at most as many as a case may have.
        left_out: How many more there are.
        in_doubt: Whether there are orders that may be about a lesion and could not be read.
        notes: What was not taken, and why.
    """

    patient: Mapping[str, Any]
    lesions: Sequence[ChartedLesion]
    left_out: int
    in_doubt: bool = False
    notes: Sequence[Note] = field(default_factory=list)


def read_chart(
    sent: Sent, lists: CodeLists, code_map: CodeMap, contradictions: Contradictions = NO_CONTRADICTIONS
) -> Chart:
    """Read what was sent.

    Args:
        sent: The record and what the call is about.
        lists: Our code lists.
        code_map: What codes of others mean.
        contradictions: What cannot be together; where the record states it, neither fact is taken.
    """
    reader = Reader(lists, code_map, sent.as_of, sent.patient_key)
    held = {key: reader.of_patient(one.resources) if one.known else [] for key, one in sent.supplied.items()}
    for key, found in sent.supplied.items():
        if found.supply == "newest":
            reader.notes.add(Element(None, ("prefetch", key)), "older_not_read")
    drafts = reader.of_patient(sent.charted or ())
    charted, findings = ([one for one in drafts if one.kind == kind] for kind in ("Condition", "Observation"))
    conditions = _current([*not_in(charted, held["conditions"]), *charted], reader)
    earlier = not_in(findings, held["observations"])
    lesions = _asked_about(sent, conditions, charted, reader)
    read, patient = lesions[:MOST_LESIONS], reader.statements("patient")
    for one in held["patient"]:
        read_patient(one.element, patient, reader)
    allergies = [one for one in held["allergies"] if standing(one.element)]
    state_facts([*(one for one, _ in conditions), *held["medications"], *allergies], patient, read, reader)
    _read_conditions(read, conditions, read_reports(held["pathology"], [*earlier, *findings], reader), reader)
    parts = Parts(patient, read, frozenset().union(*(one.keys for one in [*held["conditions"], *charted])))
    read_findings(earlier, parts, reader, drafts=False)
    read_findings(findings, parts, reader, drafts=True)
    if sent.supplied["procedures"].known:
        read_procedures(held["procedures"], read, reader)
    stated = [(lesion.statements, lesion.statements.settled()) for lesion in read]
    whole = (patient, patient.settled())
    take_out_contradicting(whole, stated, contradictions, reader.vocabulary, reader.notes)
    answered = [
        _charted(lesion, part, number) for number, (lesion, (_, part)) in enumerate(zip(read, stated, strict=True), 1)
    ]
    doubt = _in_doubt(sent.orders or (), reader)
    return Chart(whole[1], answered, len(lesions) - len(read), doubt, reader.notes.taken)


def _read_conditions(lesions: Sequence[Lesion], conditions: Known, reports: Sequence[Report], reader: Reader) -> None:
    understood_of = {id(one.element): understood for one, understood in conditions}
    for lesion in lesions:
        if lesion.condition is not None:
            read_condition(lesion, understood_of[id(lesion.condition)], reports, reader)
        for order in lesion.orders:
            read_sites(order, lesion.statements, reader)
    note_unlinked(reports, [one for one, _ in conditions], reader)


def _current(conditions: Sequence[Resource], reader: Reader) -> Known:
    """The Conditions that stand, with what their codes mean."""
    standing = [one for one in conditions if current(one.element)]
    return [(one, reader.understood(one.element.at("code"))) for one in standing]


def _asked_about(sent: Sent, conditions: Known, charted: Sequence[Resource], reader: Reader) -> list[Lesion]:
    """The lesions that a call is about: those that orders name, those being charted, or all in the record."""
    if sent.orders is not None:
        return _ordered(freeze_orders(reader.of_patient(sent.orders), reader), conditions, reader)
    if sent.charted is not None:
        return [_lesion(one, reader) for one, _ in conditions if one in charted]
    return [_lesion(one, reader) for one, understood in conditions if is_lesion(understood)]


def _in_doubt(orders: Sequence[Resource], reader: Reader) -> bool:
    """Whether an order may be one to freeze and cannot be read, or is one for another patient."""
    own = reader.of_patient(orders)
    others = [one for one in orders if one not in own]
    return bool(in_doubt(orders, reader) or freeze_orders(others, reader))


def _ordered(orders: Sequence[Resource], conditions: Known, reader: Reader) -> list[Lesion]:
    """The lesions that orders name; an order that names none is a lesion of which only its site may be known."""
    lesions: dict[int, Lesion] = {}
    for order in orders:
        reasons = reasons_of(order.element)
        named = [(i, one) for i, (one, _) in enumerate(conditions) if refers_to(reasons, one.keys)]
        for i, one in named:
            lesions.setdefault(i, _lesion(one, reader)).orders.append(order.element)
        if not named:
            reader.notes.add(order.element, "lesion_not_found" if reasons else "not_linked")
            lesions[-1 - len(lesions)] = Lesion(reader.statements("lesion"), orders=[order.element])
    return list(lesions.values())


def _lesion(one: Resource, reader: Reader) -> Lesion:
    return Lesion(reader.statements("lesion"), one.keys, one.element)


def _charted(lesion: Lesion, part: Mapping[str, Any], number: int) -> ChartedLesion:
    key = next((one for one in sorted(lesion.keys) if one.startswith("Condition/")), "")
    stated = {"lesion_id": f"lesion-{number}", **part}
    reference = key or next(iter(sorted(lesion.keys)), "")
    return ChartedLesion(stated, key, reference, _name_of(lesion.condition), lesion.orders)


def _name_of(condition: Element | None) -> str:
    """What the record calls a lesion: the text of its code, or else the words of a coding."""
    if condition is None:
        return ""
    code = condition.at("code")
    return code.text("text") or next((one.text("display") for one in code.each("coding") if one.text("display")), "")
