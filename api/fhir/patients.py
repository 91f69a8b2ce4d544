"""Read what a Patient says: species and neutering by patient-animal, age by birth date. No name is ever looked at."""

from __future__ import annotations

from api.fhir.dates import age_years, days_of
from api.fhir.elements import Element
from api.fhir.inputs import AGE
from api.fhir.record import Reader
from api.fhir.statements import Statements

__all__ = ["ANIMAL", "read_patient"]

ANIMAL = "http://hl7.org/fhir/StructureDefinition/patient-animal"
PARTS = ("species", "genderStatus")
BREED = "breed"  # read where a mapping makes something of its code; breeds are no input


def read_patient(patient: Element, stated: Statements, reader: Reader) -> None:
    """State what a Patient says.

    A full birth date gives the age exactly, a year and month within half a month, a year alone within a year; the last
    two are noted.
    """
    for extension in patient.each("extension"):
        if extension.text("url") == ANIMAL:
            for part in extension.each("extension"):
                concept = part.at("valueCodeableConcept")
                if part.text("url") in PARTS or (part.text("url") == BREED and concept.each("coding")):
                    for name, value in reader.understood(concept).facts:
                        stated.state(name, value, concept)
    written = patient.at("birthDate")
    born = days_of(written.value)
    age = age_years(born, reader.as_of) if born else None
    if age is not None:
        stated.state(AGE, age, written)
    if born is not None and age is not None and not born.exact:
        reader.notes.add(written, "age_approximate")
    elif written and age is None:
        reader.notes.add(written, "date_not_read")
