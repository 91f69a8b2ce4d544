"""Read the body of a request: its media type first, then its bytes, counted as they arrive.

What is too long is refused at the byte that is too many, whatever Content-Length says, and what takes too long is
given up. Who has sent a body waits for a turn. What the bytes mean is read by strict_json.py.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator

from starlette.requests import ClientDisconnect, Request

from api.problem_kinds import KINDS
from api.problems import Problem
from api.settings import Settings
from api.strict_json import read_json
from api.worker.house import House

__all__ = ["body_parts", "json_body", "read_body"]

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
    """Read the bytes of a request, and wait for its turn to be answered.

    Raises:
        Problem: `body-too-large`, `body-too-slow` or `overloaded`.
    """
    announced = request.headers.get("content-length", "")
    if announced.isascii() and announced.isdigit() and len(announced) < 20 and int(announced) > limit:
        raise _too_large(limit)
    house: House = request.app.state.service.house
    try:
        async with asyncio.timeout(house.settings.body_limit_s):
            body = await _whole(request, limit)
    except TimeoutError:
        raise _too_slow(house.settings.body_limit_s) from None
    await house.crowd.turn()
    return body


async def body_parts(request: Request) -> AsyncIterator[bytes]:
    """The bytes of a request as they come, each part within the time that a whole body may take.

    Raises:
        Problem: `body-too-slow`.
    """
    limit_s = request.app.state.service.settings.body_limit_s
    more = True
    while more:
        try:
            async with asyncio.timeout(limit_s):
                part, more = await _part(request)
        except TimeoutError:
            raise _too_slow(limit_s) from None
        yield part


async def _whole(request: Request, limit: int) -> bytes:
    parts: list[bytes] = []
    size = 0
    more = True
    while more:
        part, more = await _part(request)
        size += len(part)
        if size > limit:
            raise _too_large(limit)
        parts.append(part)
    return b"".join(parts) if len(parts) > 1 else part


async def _part(request: Request) -> tuple[bytes, bool]:
    """What has come of a body, and whether more is to come."""
    message = await request.receive()
    if message["type"] == "http.disconnect":
        raise ClientDisconnect
    return message.get("body", b""), message.get("more_body", False)


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


def _too_slow(limit_s: int) -> Problem:
    said = f"the body did not arrive within {limit_s} seconds."
    return Problem(KINDS["body-too-slow"], said, headers={"Connection": "close"})
