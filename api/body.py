"""Read the body of a request: its media type first, then its bytes, counted as they arrive.

What is too long is refused at the byte that is too many, whatever Content-Length says. What the bytes mean is read by
strict_json.py.
"""

from __future__ import annotations

import re

from starlette.requests import ClientDisconnect, Request

from api.problem_kinds import KINDS
from api.problems import Problem
from api.settings import Settings
from api.strict_json import read_json

__all__ = ["json_body", "read_body"]

_JSON = re.compile(r'application/json\s*(?:;\s*charset\s*=\s*(?:utf-8|"utf-8")\s*)?;?\s*', re.IGNORECASE)


async def json_body(request: Request, settings: Settings) -> object:
    """Read the body of a request as JSON data.

    Raises:
        Problem: `unsupported-media-type`, `body-too-large` or `unreadable-json`.
    """
    _refuse_other_media(request)
    body = await read_body(request, settings.body_limit_bytes)
    return read_json(body, nesting_limit=settings.nesting_limit)


async def read_body(request: Request, limit: int) -> bytes:
    """Read the bytes of a request.

    Raises:
        Problem: `body-too-large`.
    """
    announced = request.headers.get("content-length", "")
    if announced.isascii() and announced.isdigit() and len(announced) < 20 and int(announced) > limit:
        raise _too_large(limit)
    parts: list[bytes] = []
    size = 0
    while True:
        message = await request.receive()
        if message["type"] == "http.disconnect":
            raise ClientDisconnect
        part: bytes = message.get("body", b"")
        size += len(part)
        if size > limit:
            raise _too_large(limit)
        parts.append(part)
        if not message.get("more_body", False):
            return b"".join(parts) if len(parts) > 1 else part


def _refuse_other_media(request: Request) -> None:
    written = request.headers.getlist("content-type")
    if written != ["application/json"] and not (len(written) == 1 and _JSON.fullmatch(written[0])):
        said = "the Content-Type must be application/json, alone or with charset=utf-8."
        raise Problem(KINDS["unsupported-media-type"], said, headers={"Accept": "application/json"})
    if request.headers.get("content-encoding", "identity").strip().lower() != "identity":
        said = "the body must not have a Content-Encoding."
        raise Problem(KINDS["unsupported-media-type"], said, headers={"Accept-Encoding": "identity"})


def _too_large(limit: int) -> Problem:
    return Problem(KINDS["body-too-large"], f"the body may have at most {limit} bytes.")
