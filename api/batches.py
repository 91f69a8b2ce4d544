"""Answer many cases in one request: a case on each line in, its answer or its problem on each line out, in order.

A line is answered when it has arrived, and read no faster than its answer is taken: nothing is gathered, however many
lines there are. A line that cannot be used never loses the others. Where so many requests a minute were agreed, each
line counts as one: what is too much is told so in its place, and when it may be sent again.
"""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from typing import Any

import orjson
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.access import Allowance
from api.body import body_parts
from api.problem_kinds import KINDS
from api.problems import Problem, problem_document, refusal_of
from api.service import Service, matching_logged, service_of, today
from api.strict_json import read_json
from api.worker.counts import count_verdicts
from decision.errors import DecisionError

__all__ = ["NDJSON", "answered_line_by_line"]

NDJSON = "application/x-ndjson"

log = logging.getLogger("thawline")


async def answered_line_by_line(request: Request) -> Response:
    """Answer each line of a request as it comes.

    Raises:
        Problem: `unsupported-media-type`.
    """
    written = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if written != NDJSON or request.headers.get("content-encoding", "identity").lower() != "identity":
        said = f"the Content-Type must be {NDJSON}, without a Content-Encoding."
        raise Problem(KINDS["unsupported-media-type"], said, headers={"Accept": NDJSON})
    return _Lines(request)


class _Lines(Response):
    """A response that is written while the request is still read.

    The framework's own streaming listens for a disconnect meanwhile, and would take parts of the body for it.
    """

    media_type = NDJSON

    def __init__(self, request: Request) -> None:
        super().__init__()
        del self.headers["content-length"]
        self._request = request

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": self.raw_headers})
        async for line in _answers(self._request):
            await send({"type": "http.response.body", "body": line, "more_body": True})
        await send({"type": "http.response.body", "body": b"", "more_body": False})


async def _answers(request: Request) -> AsyncIterator[bytes]:
    service, number = service_of(request), 0
    allowance: Allowance | None = getattr(request.state, "allowance", None)  # of a caller with whom limits were agreed
    try:
        async for line in _lines(request, service.settings.body_limit_bytes):
            number += 1
            if line is None or line.strip():
                wait = 0 if allowance is None else allowance.wait()
                if allowance is not None and wait:
                    yield _written(number, _too_many(request, allowance, wait))
                    continue
                await service.house.crowd.line_turn()  # others are answered between two lines
                yield _written(number, _answered(request, service, line))
    except Problem as slow:  # the next line did not come in time, and the answer has long begun
        yield _written(number + 1, {"problem": problem_document(request, slow.kind, slow.detail)})


def _written(number: int, said: dict[str, Any]) -> bytes:
    return orjson.dumps({"line": number, **said}, option=orjson.OPT_APPEND_NEWLINE)


def _too_many(request: Request, allowance: Allowance, wait: int) -> dict[str, Any]:
    """A line more than was agreed: its problem, and after how many seconds it may be sent again."""
    return {
        "problem": problem_document(request, KINDS["too-many-requests"], allowance.said),
        "retry_after_s": wait,
    }


async def _lines(request: Request, limit: int) -> AsyncIterator[bytes | None]:
    """The lines of a body; None in the place of one that is too long, which is not kept."""
    held, too_long = bytearray(), False
    async for part in body_parts(request):
        *ended, rest = part.split(b"\n")
        for end in ended:
            whole = not too_long and len(held) + len(end) <= limit
            yield bytes(held + end) if whole else None
            held.clear()
            too_long = False
        too_long = too_long or len(held) + len(rest) > limit
        held += b"" if too_long else rest
        if too_long:
            held.clear()
    if too_long or held:
        yield None if too_long else bytes(held)


def _answered(request: Request, service: Service, line: bytes | None) -> dict[str, Any]:
    try:
        return {"answer": _recommended(request, service, line)}
    except (Problem, DecisionError) as error:
        refusal = refusal_of(error)
    except Exception as fault:
        named = request.state.request_id
        log.error("request %s failed with %s in a line", named, type(fault).__name__, extra={"request_id": named})
        refusal = refusal_of(fault)
    return {"problem": problem_document(request, *refusal)}


def _recommended(request: Request, service: Service, line: bytes | None) -> Any:
    if line is None:
        limit = service.settings.body_limit_bytes
        raise Problem(KINDS["body-too-large"], f"a line may have at most {limit} bytes.")
    data = read_json(line, nesting_limit=service.settings.nesting_limit)
    book = service.shelves.book_for(data)
    case = book.read(data, today=today())
    with matching_logged(request, case):
        found = book.recommend(case)
    count_verdicts(found)
    return found
