"""The address of batches."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from api.batches import NDJSON, answered_line_by_line
from api.door import Door
from api.operations.operation import SCHEMA, operation

__all__ = ["batch_routes"]

batch_routes = APIRouter(route_class=Door)

ANSWER_BATCH = operation(
    "answerBatch", "recommendations", "Answer many cases", answers={NDJSON: "BatchAnswers"}, refusals=(400, 408, 415)
)
ANSWER_BATCH["openapi_extra"]["requestBody"] = {
    "required": True,
    "description": "A case on each line, as POST /v1/recommendations takes it.",
    "content": {NDJSON: {"schema": {"$ref": f"{SCHEMA}BatchCases"}}},
}


@batch_routes.post("/v1/batches", **ANSWER_BATCH)
async def answer_batch(request: Request) -> Response:
    """Answer a case on each line, in the order of the lines, while they arrive.

    Each line of the answer has the number of its `line`, and either its `answer` or the `problem` with it. A line that
    cannot be used is answered by a problem in its place. Empty lines are counted and not answered. Each
    line that is answered counts as one request of a key; one that is too many is answered by `too-many-requests` in its
    place, with `retry_after_s`, after which those that were too many may be sent together. Read the answer
    while you send: the service takes no more lines than you take answers.
    """
    return await answered_line_by_line(request)
