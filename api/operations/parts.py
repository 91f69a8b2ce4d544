"""The parts of the OpenAPI document that are the same for every operation: headers, refusals, tags."""

from __future__ import annotations

from collections import defaultdict
from http import HTTPStatus
from typing import Any

from api.access import GUARDED
from api.outcomes import PATH as HOOKS
from api.problem_kinds import KINDS, Kind
from api.problems import ProblemDocument, document_of

__all__ = ["HEADERS", "SECURITY_SCHEMES", "TAGS", "every_answer", "headers_for", "page_answer", "refusals", "security"]

PRINTED = "[!#-~]"
REQUEST_ID = "4f1c2a9be0d84c7f9a51c3d2e6b70815"

TAGS = [
    {"name": "recommendations", "description": "Ask what to do in a case."},
    {"name": "reviews", "description": "Ask whether a freeze was enough, and whether it heals."},
    {"name": "reviewer", "description": "Ask what would change an answer, and whether it is given again."},
    {"name": "papers", "description": "Print what is to be handed over, signed or filed."},
    {"name": "freeze table", "description": "Ask what one freeze reaches, and how a pool stands. No patient, no rule."},
    {"name": "rule book", "description": "Read what answers rest on: rules, sources, vocabulary."},
    {"name": "CDS Hooks", "description": "Be asked by practice software while a record is open. CDS Hooks 2.0.1."},
    {"name": "code lists", "description": "Read the codes that FHIR resources are understood by. CC0."},
    {"name": "operation", "description": "Run the service."},
    {"name": "description", "description": "What the service says about itself."},
]


def _header(description: str, example: str, *, required: bool = True, **schema: Any) -> dict[str, Any]:
    return {
        "description": description,
        "required": required,
        "schema": {"type": "string", "maxLength": 200, **schema},
        "example": example,
    }


HEADERS = {
    "X-Request-ID": _header("Names the request, here and in the log.", REQUEST_ID, pattern="^[A-Za-z0-9._-]{8,64}$"),
    "traceparent": _header(
        "W3C Trace Context: your trace, or a new one.",
        f"00-{REQUEST_ID}-00f067aa0ba902b7-01",
        pattern="^[0-9a-f]{2}-[0-9a-f]{32}-[0-9a-f]{16}-[0-9a-f]{2}$",
    ),
    "Cache-Control": _header("Whether the answer may be kept.", "no-store", pattern="^[a-z0-9, =-]+$"),
    "ETag": _header("Digest of the answer.", '"8c1f..."', pattern=f'^"{PRINTED}+"$'),
    "Allow": _header("The methods allowed here.", "GET, HEAD", pattern="^[A-Z]+(, [A-Z]+)*$"),
    "WWW-Authenticate": _header("Which credential is asked for.", "Bearer", enum=["ApiKey", "Bearer"]),
    "Retry-After": _header("Seconds after which to ask again.", "5", pattern="^[0-9]{1,5}$"),
    "RateLimit": _header(
        "Where a key is needed: `r` requests are left, and after `t` seconds all are there again "
        "(draft-ietf-httpapi-ratelimit-headers-10).",
        '"minute";r=599;t=1',
        required=False,
        pattern='^"minute";r=[0-9]+;t=[0-9]+$',
    ),
    "RateLimit-Policy": _header(
        "Where a key is needed: `q` requests in `w` seconds were agreed for it.",
        '"minute";q=600;w=60',
        required=False,
        pattern='^"minute";q=[0-9]+;w=60$',
    ),
    "Access-Control-Allow-Origin": _header(
        "For a browser page of an origin that the operator allows: that origin, or `*`.",
        "https://records.example.org",
        required=False,
        pattern=f"^{PRINTED}+$",
    ),
}

SECURITY_SCHEMES = {
    "apiKey": {
        "type": "apiKey",
        "in": "header",
        "name": "X-API-Key",
        "description": "A key that the operator gave out. Asked for only where the operator has set keys.",
    },
    "cdsToken": {
        "type": "http",
        "scheme": "bearer",
        "bearerFormat": "JWT",
        "description": (
            "The token of CDS Hooks 2.0.1, signed with ES384 or RS384, checked as RFC8725 asks, and taken once. Asked "
            "for only where the operator has set keys of clients; it then takes the place of the API key."
        ),
    },
}

_ALWAYS = ("X-Request-ID", "traceparent", "Cache-Control")
_AT_TIMES = ("RateLimit", "RateLimit-Policy", "Access-Control-Allow-Origin")
_OF_STATUS = {401: ("WWW-Authenticate",), 405: ("Allow",), 429: ("Retry-After",), 503: ("Retry-After",)}


def every_answer() -> dict[str, Any]:
    """The headers of every answer, errors included."""
    return _headers(*_ALWAYS, *_AT_TIMES)


def page_answer() -> dict[str, Any]:
    """The headers of an answer that need not be sent again."""
    return {**every_answer(), **_headers("ETag")}


def refusals() -> dict[str, Any]:
    """The answers other than success, by status."""
    kinds: dict[int, list[Kind]] = defaultdict(list)
    for kind in KINDS.values():
        kinds[kind.status].append(kind)
    not_modified = {"description": "You have it already.", "headers": page_answer()}
    return {"304": not_modified, **{str(status): _refusal(status, kinds[status]) for status in sorted(kinds)}}


def headers_for(status: int) -> dict[str, Any]:
    """The headers of a refusal."""
    return {**every_answer(), **_headers(*_OF_STATUS.get(status, ()))}


def security(path: str) -> list[dict[str, Any]]:
    """Which credentials an address takes; the empty one stands for none, where the operator asks for none."""
    if path.startswith(HOOKS):
        return [{}, {"apiKey": []}, {"cdsToken": []}]
    return [{}, {"apiKey": []}] if path.startswith(GUARDED) else [{}]


def _headers(*names: str) -> dict[str, Any]:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


def _refusal(status: int, kinds: list[Kind]) -> dict[str, Any]:
    return {
        "description": f"{HTTPStatus(status).phrase}. {'; or: '.join(kind.title for kind in kinds)}.",
        "headers": headers_for(status),
        "content": {
            "application/problem+json": {
                "schema": {"$ref": "#/components/schemas/ProblemDocument"},
                "examples": {kind.name: {"summary": kind.title, "value": _example(kind)} for kind in kinds},
            }
        },
    }


def _example(kind: Kind) -> ProblemDocument:
    return document_of(kind, kind.meaning, request_id=REQUEST_ID, docs_url="")
