"""Write a case as FHIR resources in our codes: examples for integrators, and the other way round for tests.

What the writer writes the reader reads: species in patient-animal, kind and diagnosis in the code of a Condition, the
site as its bodySite, and every other fact as an Observation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from api.code_lists import CodeLists
from api.fhir.inputs import BASIS, DIAGNOSIS, FREEZE, KIND, LOOK, NONE_YET, SITE
from api.fhir.patients import ANIMAL
from api.fhir.quantities import COUNTED, UCUM, ucum_of
from decision.vocabulary import Value

__all__ = ["written_order", "written_record"]

SPECIES = "species"
CONDITION_STATUS = "http://terminology.hl7.org/CodeSystem/condition-ver-status"
CATEGORY = "http://terminology.hl7.org/CodeSystem/observation-category"
CLINICAL = "http://terminology.hl7.org/CodeSystem/condition-clinical"
CHECKED = "ruled_out"
OPEN = "left_open"


def written_record(case: Mapping[str, Any], lists: CodeLists, patient_id: str) -> dict[str, Any]:
    """Write the patient and the lesions of a case as what is prefetched.

    Args:
        case: A case as JSON data, with its date.
        lists: Our code lists.
        patient_id: The id of the patient.
    """
    written = _Written(case["as_of"], lists, {"reference": f"Patient/{patient_id}"})
    facts = dict(case["patient"])
    patient: dict[str, Any] = {"resourceType": "Patient", "id": patient_id}
    if SPECIES in facts:
        species = {"url": SPECIES, "valueCodeableConcept": written.concept(SPECIES, facts.pop(SPECIES))}
        patient["extension"] = [{"url": ANIMAL, "extension": [species]}]
    findings = list(written.findings(facts, None))
    conditions = []
    for lesion in case["lesions"]:
        condition, left = written.condition(lesion)
        conditions.append(condition)
        findings += written.findings(left, lesion["lesion_id"])
    return {"patient": patient, "conditions": _bundle(conditions), "observations": _bundle(findings)}


def written_order(lesion_id: str, lists: CodeLists, patient_id: str) -> dict[str, Any]:
    """Write a draft order to freeze a lesion."""
    coding = lists.coding("procedure", FREEZE)
    return {
        "resourceType": "ServiceRequest",
        "id": f"freeze-{lesion_id}",
        "status": "draft",
        "intent": "order",
        "code": {"coding": [coding], "text": coding["display"]},
        "subject": {"reference": f"Patient/{patient_id}"},
        "reasonReference": [{"reference": f"Condition/{lesion_id}"}],
    }


class _Written:
    """What every resource of one record shares."""

    def __init__(self, as_of: str, lists: CodeLists, subject: Mapping[str, str]) -> None:
        self._as_of = as_of
        self._lists = lists
        self._subject = subject

    def concept(self, name: str, value: Value) -> dict[str, Any]:
        coding = self._lists.coding_of(self._lists.vocabulary.inputs[name], value)
        return {"coding": [coding], "text": coding["display"]}

    def condition(self, lesion: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
        """The Condition of a lesion, and the facts that it does not hold."""
        left = {name: value for name, value in lesion.items() if name != "lesion_id"}
        if left.get(DIAGNOSIS) == NONE_YET:
            named = [name for name in (KIND,) if name in left]
        else:
            named = [name for name in (KIND, DIAGNOSIS) if name in left]
        status = "confirmed"
        if DIAGNOSIS in named and left.get(BASIS) == LOOK:
            status = "provisional"
            del left[BASIS]
        codings = [self.concept(name, left.pop(name))["coding"][0] for name in named]
        condition: dict[str, Any] = {
            "resourceType": "Condition",
            "id": lesion["lesion_id"],
            "clinicalStatus": {"coding": [{"system": CLINICAL, "code": "active"}]},
            "verificationStatus": {"coding": [{"system": CONDITION_STATUS, "code": status}]},
            "subject": self._subject,
        }
        if codings:
            condition["code"] = {"coding": codings}
        if SITE in left:
            condition["bodySite"] = [self.concept(SITE, left.pop(SITE))]
        return condition, left

    def findings(self, facts: Mapping[str, Any], lesion_id: str | None) -> Iterable[dict[str, Any]]:
        """An Observation for each fact, for each check list that was ticked, and without a value for what is open."""
        about = {} if lesion_id is None else {"focus": [{"reference": f"Condition/{lesion_id}"}]}
        ticked = {group: True for group in facts.get(CHECKED, ())}
        stated = {name: value for name, value in facts.items() if name not in (CHECKED, OPEN)}
        for name, value in {**dict.fromkeys(facts.get(OPEN, ())), **stated, **ticked}.items():
            coding = self._lists.coding("finding", name)
            yield {
                "resourceType": "Observation",
                "id": f"{lesion_id or 'patient'}-{name}".replace("_", "-"),
                "status": "final",
                "category": [{"coding": [{"system": CATEGORY, "code": "exam"}]}],
                "code": {"coding": [coding], "text": coding["display"]},
                "subject": self._subject,
                **about,
                "effectiveDateTime": self._as_of,
                **self._value(name, value),
            }

    def _value(self, name: str, value: Value | None) -> dict[str, Any]:
        if value is None:
            return {}  # a reason why there is none would say that it was not looked at
        if isinstance(value, bool):
            return {"valueBoolean": value}
        if isinstance(value, str):
            return {"valueCodeableConcept": self.concept(name, value)}
        unit = self._lists.vocabulary.inputs[name].unit or ""
        if unit in COUNTED and float(value).is_integer():
            return {"valueInteger": int(value)}
        return {"valueQuantity": {"value": value, "unit": unit, "system": UCUM, "code": ucum_of(unit)}}


def _bundle(resources: list[dict[str, Any]]) -> dict[str, Any]:
    entries = {"entry": [{"resource": one} for one in resources]} if resources else {}
    return {"resourceType": "Bundle", "type": "searchset", "total": len(resources), **entries}
