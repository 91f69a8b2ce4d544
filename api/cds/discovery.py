"""Tell which services there are, on which hooks, and what each wants prefetched."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from typing_extensions import TypedDict

from api.cds.names import CHART, HOOKS, ORDER_SELECT, ORDER_SIGN, PATIENT_VIEW, SERVICE

__all__ = ["OPTIONAL", "PREFETCH", "REQUIRED", "CdsService", "CdsServiceList", "discovery"]

PREFETCH: Mapping[str, str] = MappingProxyType(
    {
        "patient": "Patient/{{context.patientId}}",
        "encounter": "Encounter/{{context.encounterId}}",
        "conditions": "Condition?patient={{context.patientId}}&clinical-status=active",
        "observations": "Observation?patient={{context.patientId}}&category=exam&_sort=-date&_count=200",
        "medications": "MedicationRequest?patient={{context.patientId}}&status=active",
        "allergies": "AllergyIntolerance?patient={{context.patientId}}&clinical-status=active",
        "procedures": "Procedure?patient={{context.patientId}}&_sort=-date&_count=20",
        "pathology": "DiagnosticReport?patient={{context.patientId}}&category=CP,SP,PAT",
    }
)
REQUIRED = ("patient", "conditions", "observations")
OPTIONAL = ("medications", "allergies", "procedures", "pathology")

_TITLE = "May this skin lesion be frozen?"
_WHEN = {
    PATIENT_VIEW: "each lesion in the record of the patient",
    ORDER_SELECT: "each lesion that a selected order to freeze names",
    ORDER_SIGN: "each lesion that an order to freeze names, before it is signed",
    CHART: "each lesion that is being charted",
}
_REQUIRES = (
    "The service reads what is prefetched and calls no server. patient, conditions and observations must be there, "
    "whole; of the observations the newest page is enough when it reaches back beyond the days that count. The others "
    "sharpen the answer. Lesions, findings and orders are understood by codes of the code lists "
    "under /fhir/CodeSystem, or by a mapping file; text is never read. Findings name their lesion in "
    "Observation.focus and were seen within a week."
)


class CdsService(TypedDict):
    """A service on one hook."""

    hook: str
    title: str
    description: str
    id: str
    prefetch: dict[str, str]
    usageRequirements: str


class CdsServiceList(TypedDict):
    """Every service."""

    services: list[CdsService]


def discovery() -> CdsServiceList:
    """What a client reads before its first call."""
    return {
        "services": [
            {
                "hook": hook,
                "title": _TITLE,
                "description": f"Says of {_WHEN[hook]} whether it may be frozen, why, and what to do instead.",
                "id": SERVICE,
                "prefetch": dict(PREFETCH),
                "usageRequirements": _REQUIRES,
            }
            for hook in HOOKS
        ]
    }
