"""A record that contradicts itself: what is taken of it, and what is told."""

import pytest

from decision.contradictions import Contradiction, Contradictions
from decision.unary_test import Truth

ANIMAL = "http://hl7.org/fhir/StructureDefinition/patient-animal"
OLDER = "The lesion is stated to be older than the patient: check weeks present and age."
NEVER = "A result of an earlier freeze is stated, and no earlier session: check both."


def details(record):
    return [one["detail"] for one in record.read().notes if one["code"] == "facts_contradict"]


@pytest.fixture
def older(record):
    """A puppy of three months, and a lesion of more than a year."""
    record.patient["birthDate"] = "2026-08-24"
    record.lesion["onsetDateTime"] = "2025-10-01"
    return record


def test_neither_the_age_nor_the_weeks_of_a_lesion_older_than_its_patient_are_taken(older):
    chart = older.read()

    assert "age_years" not in chart.patient
    assert "weeks_present" not in chart.lesions[0].stated
    assert chart.lesions[0].stated["lesion_kind"] == "stalked_tag"


def test_both_are_told_each_at_its_place(older):
    found = {one["pointer"]: one["detail"] for one in older.read().notes if one["code"] == "facts_contradict"}

    assert found == {
        "#/prefetch/conditions/entry/0/resource/onsetDateTime": f"time it has been there: not taken. {OLDER}",
        "#/prefetch/patient/birthDate": f"age: not taken. {OLDER}",
    }


def test_a_record_that_could_be_has_no_such_note(record):
    record.patient["birthDate"] = "2022-08-24"
    record.lesion["onsetDateTime"] = "2025-10-01"

    assert details(record) == []
    assert "age_years" in record.read().patient


def test_a_result_beside_no_earlier_freeze_stays_so_that_none_is_presumed(record, of):
    record.find("earlier_freeze_result", valueCodeableConcept=of("finding-value|earlier_freeze_result.bigger"))

    stated = record.stated()

    assert (stated.get("earlier_freeze_result"), "earlier_freezes" in stated) == ("bigger", False)
    assert details(record) == [f"earlier sessions: not taken. {NEVER}"]


def test_a_pregnancy_beside_a_neutering_stays_so_that_none_is_presumed_away(record):
    neutered = {"coding": [{"system": "http://hl7.org/fhir/animal-genderstatus", "code": "neutered"}]}
    record.patient["extension"] = [
        {"url": ANIMAL, "extension": [{"url": "genderStatus", "valueCodeableConcept": neutered}]}
    ]
    pregnant = record.find("pregnant", valueBoolean=True)
    del pregnant["focus"]

    patient = record.read().patient

    assert (patient.get("pregnant"), "neutered" in patient) == (True, False)


def test_a_check_list_does_not_answer_for_a_fact_that_was_not_taken(record, of):
    """Left ticked, it would state what is in doubt as absent."""
    both = (Truth("infected", True), Truth("site_can_be_level", True))
    record.contradictions = Contradictions([Contradiction("x", both, (), "Check both of these.")])
    record.find("infected", valueBoolean=True)
    record.find("site_can_be_level", valueBoolean=True)
    record.find("lesion_signs", valueBoolean=True)

    assert {"ruled_out", "infected", "site_can_be_level"}.isdisjoint(record.stated())
