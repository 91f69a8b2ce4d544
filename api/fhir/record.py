"""The record of one patient as it was sent, sorted: what readers of single resources work with."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from api.code_lists import CodeLists
from api.fhir.bundles import Resource
from api.fhir.concepts import Concepts, Understood
from api.fhir.dates import Days
from api.fhir.elements import Element
from api.fhir.notes import Notes
from api.fhir.references import key_of, referred
from api.fhir.statements import Statements
from api.mapping import CodeMap
from decision.vocabulary import Vocabulary

__all__ = ["Lesion", "Reader", "code_of", "not_in", "patient_key_of", "refers_to"]


@dataclass(slots=True)
class Lesion:
    """One lesion in the record: its Condition, or an order that names none, and what is stated about it."""

    statements: Statements
    keys: frozenset[str] = frozenset()
    condition: Element | None = None
    orders: list[Element] = field(default_factory=list)


class Reader:
    """What the readers of single resources share: codes, the day of the answer, notes, and whose record it is."""

    def __init__(self, lists: CodeLists, code_map: CodeMap, as_of: datetime.date, patient_key: str) -> None:
        """Begin without a note.

        Args:
            lists: Our code lists.
            code_map: What codes of others mean.
            as_of: The day of the answer.
            patient_key: The patient in the context of the call, as `Patient/id`.
        """
        self.vocabulary: Vocabulary = lists.vocabulary
        self.as_of = as_of
        self.notes = Notes()
        self._patient_key = patient_key
        self._concepts = Concepts(lists, code_map)

    def understood(self, concept: Element) -> Understood:
        """What a concept means here."""
        return self._concepts.read(concept, self.notes)

    def statements(self, about: str) -> Statements:
        """An empty part of a case."""
        return Statements(about, self.vocabulary, self.notes)

    def of_patient(self, resources: Iterable[Resource]) -> list[Resource]:
        """The resources that are about the patient; those about another one are noted."""
        own = []
        for one in resources:
            subject = referred(one.element.first("subject", "patient"))
            if subject.startswith("Patient/") and subject != self._patient_key:
                self.notes.add(one.element, "other_patient")
            else:
                own.append(one)
        return own

    def day(self, days: Days | None) -> datetime.date | None:
        """The day of a date that is one day and not in the future; by the clock of another place it may be tomorrow."""
        tomorrow = self.as_of + datetime.timedelta(days=1)
        return days.first if days is not None and days.exact and days.first <= tomorrow else None

    def fresh(self, day: datetime.date) -> bool:
        """Whether something seen on a day can stand for today."""
        return day >= self.as_of - datetime.timedelta(days=self.vocabulary.fresh_days)


def code_of(concept: Element, system: str) -> str:
    """The code of a concept in one code system; empty when there is none."""
    codings = (coding for coding in concept.each("coding") if coding.text("system") == system)
    return next((coding.text("code") for coding in codings), "")


def refers_to(elements: Iterable[Element], keys: frozenset[str]) -> bool:
    """Whether one of several references means a resource with one of these keys."""
    return not keys.isdisjoint(map(referred, elements))


def not_in(second: Sequence[Resource], first: Iterable[Resource]) -> list[Resource]:
    """The resources of the first of which the second has none of the same name."""
    replaced = frozenset().union(*(one.keys for one in second))
    return [one for one in first if replaced.isdisjoint(one.keys)]


def patient_key_of(patient_id: str) -> str:
    """The key of a patient by its id, which some write as a reference.

    >>> patient_key_of("Patient/dog-1"), patient_key_of("dog-1")
    ('Patient/dog-1', 'Patient/dog-1')
    """
    return key_of(patient_id if patient_id.startswith("Patient/") else f"Patient/{patient_id}")
