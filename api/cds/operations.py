"""The operations of CDS Hooks, as the OpenAPI document describes them. Their refusals are OperationOutcomes."""

from __future__ import annotations

from collections import defaultdict
from http import HTTPStatus
from typing import Any

from api.cds.kinds import CDS_KINDS
from api.cds.names import SERVICE
from api.operations.operation import ANYWHERE, IF_NONE_MATCH, JSON, SCHEMA, body, operation, parameter
from api.operations.parts import headers_for
from api.outcomes import outcome_of
from api.problem_kinds import KINDS, Kind

__all__ = ["ADVISE", "DISCOVER", "FEED_BACK", "cds_refusals"]

TAG = "CDS Hooks"
IN_HOUSE = "unusable-case"  # the refusal that has a form of its own here
PREFIX = "cds-"
NAMED = parameter("service", "path", "The id of the service.", SERVICE, enum=[SERVICE])


def _operation(operation_id: str, summary: str, schema: str, refusals: tuple[int, ...], **more: Any) -> dict[str, Any]:
    """An operation whose refusals are OperationOutcomes; what is not an error stays what it is."""
    made = operation(operation_id, TAG, summary, answers={JSON: schema}, refusals=refusals, **more)
    for status in made["responses"]:
        if status >= HTTPStatus.BAD_REQUEST:
            made["responses"][status] = {"$ref": f"#/components/responses/{PREFIX}{status}"}
    return made


def cds_refusals() -> dict[str, Any]:
    """The refusals of these operations, by the name of the component."""
    kinds: dict[int, list[Kind]] = defaultdict(list)
    for kind in (*KINDS.values(), *CDS_KINDS):
        if kind.name != IN_HOUSE and kind.status in _STATUSES:
            kinds[kind.status].append(kind)
    return {f"{PREFIX}{status}": _refusal(status, kinds[status]) for status in sorted(kinds)}


def _refusal(status: int, kinds: list[Kind]) -> dict[str, Any]:
    examples = {one.name: {"summary": one.title, "value": outcome_of(one, one.meaning, [])} for one in kinds}
    return {
        "description": f"{HTTPStatus(status).phrase}. {'; or: '.join(kind.title for kind in kinds)}.",
        "headers": headers_for(status),
        "content": {JSON: {"schema": {"$ref": f"{SCHEMA}OperationOutcome"}, "examples": examples}},
    }


_READING = (400, 401, 404, 408, 413, 415, 422)
_STATUSES = frozenset({*_READING, *ANYWHERE, 412})

DISCOVER = _operation(
    "discoverCdsServices",
    "List the services of CDS Hooks",
    "CdsServiceList",
    (304, 400, 401),
    parameters=[IF_NONE_MATCH],
)
ADVISE = body(
    _operation("callCdsService", "Answer a hook with cards", "CdsCards", (*_READING, 412), parameters=[NAMED]),
    "A call of CDS Hooks 2.0.1, with what was prefetched.",
    "CdsCall",
)
FEED_BACK = body(
    _operation("sendCdsFeedback", "Tell what came of cards", "FeedbackReceived", _READING, parameters=[NAMED]),
    "What came of cards.",
    "CdsFeedback",
)
