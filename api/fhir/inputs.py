"""The inputs that stand in a FHIR element of their own, instead of an Observation. A rule book may have fewer."""

from __future__ import annotations

__all__ = [
    "AGE",
    "BASIS",
    "DAYS_SINCE",
    "DIAGNOSIS",
    "FREEZE",
    "FREEZES",
    "KIND",
    "LOOK",
    "NONE_YET",
    "SITE",
    "UNDECIDED",
    "WEEKS",
]

AGE = "age_years"  # Patient.birthDate
KIND = "lesion_kind"  # Condition.code
DIAGNOSIS = "known_diagnosis"  # Condition.code, DiagnosticReport.conclusionCode
BASIS = "diagnosis_basis"  # DiagnosticReport.category and code, Condition.verificationStatus
SITE = "site"  # bodySite
WEEKS = "weeks_present"  # Condition.onset
FREEZES = "earlier_freezes"  # Procedure
DAYS_SINCE = "days_since_last_freeze"  # Procedure.performed, .occurrence

LOOK = "appearance"  # what a diagnosis rests on that no sample has confirmed
NONE_YET = "none"  # the diagnosis of what has none
UNDECIDED = "nondiagnostic"  # what a sample says that gave no diagnosis
FREEZE = "freeze"  # the procedure that is ordered or was done
