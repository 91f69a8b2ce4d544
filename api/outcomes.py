"""Write what is wrong as a FHIR OperationOutcome, which is what a CDS client reads, instead of a problem document.

Every issue has stable codes of the list `problem`: the kind of problem and, at a place, the fault. The place stands in
`diagnostics` as a JSON Pointer, and in `expression` as FHIRPath, which is what FHIR has for it (`location` is
deprecated there): from the root of the body, which is no resource, by names and indices alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Literal, NotRequired
from urllib.parse import unquote

from starlette.types import Scope
from typing_extensions import TypedDict

from api.code_lists import Coding, problem_coding
from api.problem_kinds import Kind

__all__ = ["OperationOutcome", "expression_of", "outcome_of", "wants_outcome"]

PATH = "/cds-services"
_INDEX = re.compile("[0-9]+", re.ASCII)
_PLAIN = re.compile("[A-Za-z_][A-Za-z0-9_]*", re.ASCII)

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
    """What is wrong: by codes of the list `problem`, the kind first, and in words."""

    coding: NotRequired[list[Coding]]
    text: str


class Issue(TypedDict):
    """One thing that is wrong."""

    severity: Literal["error", "fatal"]
    code: str
    details: IssueDetails
    diagnostics: NotRequired[str]
    expression: NotRequired[list[str]]


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
    issues = [_issue(severity, kind, one) for one in places]
    return {
        "resourceType": "OperationOutcome",
        "issue": issues or [_issue(severity, kind, {"detail": detail})],
    }


def expression_of(pointer: str) -> str:
    """A JSON Pointer, written as a URI fragment, as FHIRPath.

    >>> expression_of("#/extension/org.example.thawline.request/equipment/cone_bores_mm/0")
    'extension.`org.example.thawline.request`.equipment.cone_bores_mm[0]'
    >>> expression_of("#")
    '$this'
    """
    steps = [unquote(step).replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
    written = "".join(f"[{step}]" if _INDEX.fullmatch(step) else f".{_identifier(step)}" for step in steps)
    return written.removeprefix(".") or "$this"


def _identifier(name: str) -> str:
    """A name as FHIRPath writes it: between backticks where it is no plain word, what has no glyph as its number."""
    if _PLAIN.fullmatch(name):
        return name
    escaped = name.replace("\\", "\\\\").replace("`", "\\`")
    return f"`{''.join(one if one.isprintable() else f'{chr(92)}u{ord(one):04x}' for one in escaped)}`"


def _issue(severity: Literal["error", "fatal"], kind: Kind, one: Mapping[str, Any]) -> Issue:
    place = one.get("pointer") or one.get("parameter")
    codings = [coding for code in (kind.name, one.get("code", "")) if (coding := problem_coding(code)) is not None]
    details: IssueDetails = {"coding": codings, "text": kind.title} if codings else {"text": kind.title}
    said = one["detail"] if place is None and "code" not in one else f"{place or '#'}: {one['detail']}"
    issue: Issue = {
        "severity": severity,
        "code": _TYPES.get(kind.status, "exception"),
        "details": details,
        "diagnostics": said,
    }
    if "pointer" in one:
        issue["expression"] = [expression_of(one["pointer"])]
    return issue
