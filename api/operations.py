"""What the OpenAPI document says of each operation beyond its words: parameters, answers, refusals, links.

The query parameters stated here are also the ones that are checked (door.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.responses import HTMLResponse, JSONResponse

__all__ = [
    "ALIVE",
    "DOCS",
    "LIST_RULES",
    "LIST_SOURCES",
    "OPENAPI",
    "READY",
    "READ_PROBLEM",
    "READ_RULE",
    "READ_RULE_BOOK",
    "READ_VOCABULARY",
    "RECOMMEND",
    "VERSION",
]

Parts = Mapping[str, Any]

DECISION = r"^[a-z][a-z0-9_]{0,63}$"
NAME = r"^[a-z][a-z0-9_]{0,79}$"
KIND = r"^[a-z][a-z-]{0,63}$"


def _parameter(name: str, where: str, description: str, example: str, **schema: Any) -> dict[str, Any]:
    return {
        "name": name,
        "in": where,
        "required": where == "path",
        "description": description,
        "schema": {"type": "string", **schema},
        "example": example,
    }


def _link(operation: str, description: str, **parameters: str) -> dict[str, Any]:
    return {"operationId": operation, "description": description, "parameters": parameters}


TRACE = _parameter(
    "trace", "query", "Also tell which rules did not apply and which are still open.", "full", enum=["full"]
)
OF_DECISION = _parameter(
    "decision", "query", "Only the rules of this decision.", "a_decision", pattern=DECISION, maxLength=64
)
IF_NONE_MATCH = _parameter(
    "If-None-Match", "header", "The ETag of what you have; 304 when it is still the same.", '"0"', maxLength=1_000
)


def _operation(
    operation_id: str,
    tag: str,
    summary: str,
    *,
    schema: str,
    refusals: Sequence[int],
    parameters: Sequence[Parts] = (),
    links: Parts | None = None,
    media: type[JSONResponse] | type[HTMLResponse] = JSONResponse,
) -> dict[str, Any]:
    """Put together what a route is registered with. A media type is answered by its class."""
    content = {media.media_type: {"schema": {"$ref": f"#/components/schemas/{schema}"}}}
    found: dict[str, Any] = {"description": f"{summary}.", "content": content}
    if links:
        found["links"] = links
    refused = {status: {"$ref": f"#/components/responses/{status}"} for status in (*refusals, 405, 406, 500)}
    return {
        "operation_id": operation_id,
        "tags": [tag],
        "summary": summary,
        "response_class": media,
        "responses": {200: found, **dict(sorted(refused.items()))},
        "openapi_extra": {"parameters": list(parameters)},
    }


def _page(operation_id: str, tag: str, summary: str, *, schema: str, **more: Any) -> dict[str, Any]:
    """An operation whose answer is ready, has an ETag, and need not be sent again."""
    parameters = (*more.pop("parameters", ()), IF_NONE_MATCH)
    refusals = (304, 400, *more.pop("refusals", ()))
    return _operation(operation_id, tag, summary, schema=schema, parameters=parameters, refusals=refusals, **more)


RECOMMEND = _operation(
    "recommend",
    "recommendations",
    "Answer a case",
    schema="Recommendation",
    parameters=[TRACE],
    refusals=(400, 404, 413, 415, 422),
    links={
        "rules": _link("listRules", "The rules that reasons name."),
        "ruleBook": _link("readRuleBook", "The rule book that answered."),
        "sources": _link("listSources", "The publications that reasons cite."),
    },
)
RECOMMEND["openapi_extra"]["requestBody"] = {
    "required": True,
    "description": "The case: what is stated, and nothing else. What is not known is left out, never null.",
    "content": {"application/json": {"schema": {"$ref": "#/components/schemas/CaseMessage"}}},
}
READ_RULE_BOOK = _page(
    "readRuleBook",
    "rule book",
    "Read the rule book",
    schema="RuleBookPage",
    links={
        "rules": _link("listRules", "The rules of the first decision.", decision="$response.body#/decisions/0/decision")
    },
)
LIST_RULES = _page(
    "listRules",
    "rule book",
    "List rules",
    schema="RuleList",
    parameters=[OF_DECISION],
    refusals=(404,),
    links={
        "rule": _link(
            "readRule",
            "The first rule in full.",
            decision="$response.body#/rules/0/decision",
            name="$response.body#/rules/0/name",
        )
    },
)
READ_RULE = _page(
    "readRule",
    "rule book",
    "Read a rule",
    schema="RulePage",
    parameters=[
        _parameter("decision", "path", "The decision.", "a_decision", pattern=DECISION, maxLength=64),
        _parameter("name", "path", "The rule in it.", "a_rule", pattern=NAME, maxLength=80),
    ],
    refusals=(404,),
    links={"sources": _link("listSources", "The publications that the rule cites.")},
)
LIST_SOURCES = _page("listSources", "rule book", "List sources", schema="SourceList")
READ_VOCABULARY = _page("readVocabulary", "rule book", "Read the vocabulary", schema="VocabularyPage")
ALIVE = _operation("livez", "operation", "Is the process alive", schema="Alive", refusals=(400,))
READY = _operation("readyz", "operation", "May cases be sent", schema="Ready", refusals=(400, 503))
VERSION = _page("readVersion", "operation", "Read the versions", schema="VersionPage")
READ_PROBLEM = _page(
    "readProblem",
    "description",
    "Read what a problem means",
    schema="ProblemPage",
    parameters=[_parameter("name", "path", "The kind of problem.", "not-found", pattern=KIND, maxLength=64)],
    refusals=(404,),
)
OPENAPI = _page("readOpenapi", "description", "Read the OpenAPI document", schema="OpenapiDocument")
DOCS = _page("readDocs", "description", "Read the description as a page", schema="Html", media=HTMLResponse)
