"""The refusals that only a CDS client meets, answered as OperationOutcome. Their pages are where all problems are."""

from __future__ import annotations

from api.problem_kinds import Kind

__all__ = ["CDS_KINDS", "MISSING_PREFETCH", "NO_CREDENTIAL", "UNUSABLE_CALL"]

UNUSABLE_CALL = Kind(
    "unusable-call",
    422,
    "The call cannot be used",
    "The body is JSON, but not a call of CDS Hooks 2.0.1: a member is missing or has the wrong type, or the hook is "
    "not one that this service is offered on. Members that are not known are let be.",
    "Compare the body with GET /cds-services and with the hook.",
)
MISSING_PREFETCH = Kind(
    "missing-prefetch",
    412,
    "Data that the service needs was not supplied",
    "The service reads what is prefetched and calls no server. The patient, the conditions and the observations must "
    "be there, whole: not left out, not an OperationOutcome, not one page of several. One page of observations is "
    "taken when it holds the newest first and reaches back beyond the days that count.",
    "Supply these keys of the prefetch template that GET /cds-services lists.",
)
NO_CREDENTIAL = Kind(
    "no-credential",
    401,
    "The call needs a credential",
    "The service is run with authentication, and the call has no credential that it accepts.",
    "Send a JWT as CDS Hooks describes, of an issuer that the operator has registered.",
)
CDS_KINDS = (NO_CREDENTIAL, MISSING_PREFETCH, UNUSABLE_CALL)
