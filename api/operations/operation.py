"""Put together what the OpenAPI document says of one operation: parameters, answers, refusals, links.

The parameters stated here are also the ones that are checked (door.py), and so are the media types (Accept).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.responses import JSONResponse

__all__ = ["ANYWHERE", "IF_NONE_MATCH", "JSON", "SCHEMA", "body", "link", "operation", "page", "parameter"]

Parts = Mapping[str, Any]

JSON = str(JSONResponse.media_type)
SCHEMA = "#/components/schemas/"
SENT = r"^[\t -~\x80-\xff]*$"  # what a header can hold
ANYWHERE = (401, 405, 406, 429, 500, 503)  # refusals of every operation


def parameter(
    name: str, where: str, description: str, example: object, *, required: bool = False, **schema: Any
) -> dict[str, Any]:
    """A parameter; text, where its schema does not say otherwise. One in the path is always there."""
    return {
        "name": name,
        "in": where,
        "required": required or where == "path",
        "description": description,
        "schema": {"type": "string", **schema},
        "example": example,
    }


def link(operation_id: str, description: str, **parameters: str) -> dict[str, Any]:
    """A way from an answer to another operation."""
    return {"operationId": operation_id, "description": description, "parameters": parameters}


IF_NONE_MATCH = parameter(
    "If-None-Match",
    "header",
    "The ETag of what you have; 304 when it is still the same.",
    '"0"',
    maxLength=1_000,
    pattern=SENT,
)


def operation(
    operation_id: str,
    tag: str,
    summary: str,
    *,
    answers: Mapping[str, str],
    refusals: Sequence[int],
    parameters: Sequence[Parts] = (),
    links: Parts | None = None,
) -> dict[str, Any]:
    """Put together what a route is registered with.

    Args:
        operation_id: The stable name.
        tag: Where it is filed.
        summary: What it is for.
        answers: The schema of the answer, by media type; the first is sent to a caller who does not care.
        refusals: The statuses of its refusals, beside those that every operation has.
        parameters: Its parameters.
        links: Where its answer leads.
    """
    content = {media: {"schema": {"$ref": f"{SCHEMA}{schema}"}} for media, schema in answers.items()}
    found: dict[str, Any] = {"description": f"{summary}.", "content": content}
    if links:
        found["links"] = links
    refused = {status: {"$ref": f"#/components/responses/{status}"} for status in {*refusals, *ANYWHERE}}
    return {
        "operation_id": operation_id,
        "tags": [tag],
        "summary": summary,
        "responses": {200: found, **dict(sorted(refused.items()))},
        "openapi_extra": {"parameters": list(parameters)},
    }


def page(operation_id: str, tag: str, summary: str, *, answers: Mapping[str, str], **more: Any) -> dict[str, Any]:
    """An operation whose answer has an ETag and need not be sent again."""
    parameters = (*more.pop("parameters", ()), IF_NONE_MATCH)
    refusals = (304, 400, *more.pop("refusals", ()))
    return operation(operation_id, tag, summary, answers=answers, parameters=parameters, refusals=refusals, **more)


def body(described: dict[str, Any], description: str, schema: str) -> dict[str, Any]:
    """The same operation with a JSON body."""
    content = {JSON: {"schema": {"$ref": f"{SCHEMA}{schema}"}}}
    request = {"required": True, "description": description, "content": content}
    return {**described, "openapi_extra": {**described["openapi_extra"], "requestBody": request}}
