"""Write what is wrong as a FHIR OperationOutcome, which is what a CDS client reads, instead of a problem document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal, NotRequired

from starlette.types import Scope
from typing_extensions import TypedDict

from api.problem_kinds import Kind

__all__ = ["OperationOutcome", "outcome_of", "wants_outcome"]

PATH = "/cds-services"

# The issue type (http://hl7.org/fhir/issue-type) by status.
_TYPES: Mapping[int, str] = {
    400: "structure",
    401: "login",
    404: "not-found",
    405: "not-supported",
    406: "not-supported",
    408: "timeout",
    412: "required",
    413: "too-long",
    415: "not-supported",
    422: "invalid",
    429: "throttled",
    503: "transient",
}


class IssueDetails(TypedDict):
    """What is wrong, in words."""

    text: str


class Issue(TypedDict):
    """One thing that is wrong."""

    severity: Literal["error", "fatal"]
    code: str
    details: IssueDetails
    diagnostics: NotRequired[str]


class OperationOutcome(TypedDict):
    """What is wrong with a call, as FHIR says it."""

    resourceType: Literal["OperationOutcome"]
    issue: list[Issue]


def wants_outcome(scope: Scope) -> bool:
    """Whether a request came to an address of CDS Hooks."""
    path = str(scope["path"]).removeprefix(scope.get("root_path", ""))
    return path == PATH or path.startswith(f"{PATH}/")


def outcome_of(kind: Kind, detail: str, places: Iterable[Mapping[str, Any]]) -> OperationOutcome:
    """The outcome for one refusal: an issue for each place, or one for all.

    >>> gone = Kind("not-found", 404, "There is nothing at this address", "", "")
    >>> outcome_of(gone, "no such service.", [])["issue"][0]["code"]
    'not-found'
    """
    severity: Literal["error", "fatal"] = "error" if kind.status < 500 else "fatal"
    code = _TYPES.get(kind.status, "exception")
    said = [f"{one.get('pointer') or one.get('parameter') or '#'}: {one['detail']}" for one in places] or [detail]
    return {
        "resourceType": "OperationOutcome",
        "issue": [
            {"severity": severity, "code": code, "details": {"text": kind.title}, "diagnostics": diagnostics}
            for diagnostics in said
        ],
    }
