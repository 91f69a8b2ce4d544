"""Say what is wrong as a problem document (RFC 9457), for every error the service answers with.

A problem says where and what is allowed. It never repeats a value that was sent: what is typed into a wrong field may
be a name, and an answer ends up in logs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NotRequired

import orjson
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from typing_extensions import TypedDict

from api.outcomes import outcome_of, wants_outcome
from api.problem_kinds import KINDS, Kind, kind_of_status
from decision.errors import CaseError, MatcherFault, UnknownVersion

__all__ = [
    "MEDIA_TYPE",
    "Place",
    "Problem",
    "ProblemDocument",
    "answer_problems",
    "document_of",
    "problem_document",
    "problem_response",
    "refusal_of",
]

MEDIA_TYPE = "application/problem+json"


class Place(TypedDict):
    """One fault: where it is, a stable code, and what is allowed there."""

    pointer: NotRequired[str]
    parameter: NotRequired[str]
    code: str
    detail: str


class ProblemDocument(TypedDict):
    """What is wrong with a request, or with the service (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    instance: str
    request_id: str
    errors: list[Place]


class Problem(Exception):
    """A request that is refused."""

    def __init__(
        self,
        kind: Kind,
        detail: str,
        errors: Iterable[Place] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        """Keep what the problem document will say."""
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.errors = list(errors)
        self.headers = headers


def problem_response(
    request: Request,
    kind: Kind,
    detail: str,
    errors: Iterable[Place] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Write a problem document for a request; for one of CDS Hooks, an OperationOutcome; for a person, a page."""
    if wants_outcome(request.scope):
        content = orjson.dumps(outcome_of(kind, detail, errors))
        return Response(content, kind.status, dict(headers or {}), "application/json")
    document = problem_document(request, kind, detail, errors)
    page: Response | None = request.app.state.problem_page(request, kind, document, headers or {})
    return page or Response(orjson.dumps(document), kind.status, dict(headers or {}), MEDIA_TYPE)


def problem_document(request: Request, kind: Kind, detail: str, errors: Iterable[Place] = ()) -> ProblemDocument:
    """The problem document for a request, or for one line of it."""
    docs_url = request.app.state.service.settings.docs_url
    return document_of(kind, detail, errors, request_id=request.state.request_id, docs_url=docs_url)


def document_of(
    kind: Kind, detail: str, errors: Iterable[Place] = (), *, request_id: str, docs_url: str
) -> ProblemDocument:
    """The problem document of a kind, for one request id.

    Args:
        kind: What is wrong.
        detail: What is wrong here.
        errors: Where.
        request_id: The id by which an operator finds the request in the log.
        docs_url: Where the pages about problems are found; empty for this service itself.
    """
    page = f"{docs_url}/problems/{kind.name}"
    return {
        "type": page,
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "instance": f"{page}#{request_id}",
        "request_id": request_id,
        "errors": list(errors),
    }


def refusal_of(error: Exception) -> tuple[Kind, str, list[Place]]:
    """What a refused case is told: the kind, a sentence, and the places. For what is no refusal, a fault of ours."""
    if isinstance(error, Problem):
        return error.kind, error.detail, error.errors
    if isinstance(error, CaseError):
        places: list[Place] = [
            {"pointer": fault.pointer, "code": fault.code, "detail": fault.message} for fault in error.faults
        ]
        many = "one fault was" if len(places) == 1 else f"{len(places)} faults were"
        return KINDS["unusable-case"], f"In the case {many} found.", places
    if isinstance(error, UnknownVersion):
        detail = f"{error}"
        place: Place = {"pointer": "#/rule_book_version", "code": "not_loaded", "detail": detail}
        return KINDS["unknown-rule-book-version"], detail, [place]
    kind = KINDS["matching-disagreed" if isinstance(error, MatcherFault) else "internal-fault"]
    return kind, kind.meaning, []


def answer_problems(app: Starlette) -> None:
    """Make an application answer every error it knows with a problem document. The frame answers the others."""
    for refusal in (Problem, CaseError, UnknownVersion, MatcherFault):
        app.add_exception_handler(refusal, _refused)
    app.add_exception_handler(HTTPException, _by_status)


async def _refused(request: Request, error: Exception) -> Response:
    headers = error.headers if isinstance(error, Problem) else None
    return problem_response(request, *refusal_of(error), headers=headers)


async def _by_status(request: Request, error: Exception) -> Response:
    """Errors that the framework raises. Its own words may repeat what was sent, so they are not used."""
    assert isinstance(error, HTTPException)
    kind = kind_of_status(error.status_code)
    return problem_response(request, kind, kind.meaning, headers=error.headers)
