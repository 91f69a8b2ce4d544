"""The reader of bodies: `api.body` and `api.strict_json`.

An input is a line with a media type (empty for JSON), then the bytes of a body. They arrive in parts whose length
follows from the media type's, so that any cutting is met.
"""

from __future__ import annotations

import asyncio
import json
import random
from collections.abc import Iterable
from types import SimpleNamespace
from typing import Any

import orjson
from starlette.applications import Starlette
from starlette.requests import Request

from api.body import json_body
from api.problems import Problem
from api.settings import Settings
from api.strict_json import read_json
from api.worker.house import house_of
from tests.fuzz.harness import STRANGE, Harness, mutated_tree
from tests.fuzz.whole_cases import whole_cases

__all__ = ["HARNESS"]

SETTINGS = Settings(body_limit_bytes=20_000, nesting_limit=20)
APP = Starlette()
APP.state.service = SimpleNamespace(house=house_of(SETTINGS))  # what a body is read within
KINDS = ("unreadable-json", "unsupported-media-type", "body-too-large")
MEDIA_TYPES = (b"application/json", b'application/json; charset="utf-8"', b"text/plain", b"APPLICATION/JSON ;", b"a/b")
WRITTEN = (
    b'{"a": 1, "a": 2}',
    b'{"a": [NaN, -Infinity, 1e400, 12345678901234567890]}',
    b'{"\\ud83d\\ude00": "\\ud800"}',
    b"[" * 30 + b"]" * 30,
    b"\xef\xbb\xbf{}",
    b'{"a": 1e-400, "b": -0.0, "c": 123456789012345, "d": 0.1000000000000000055511151231257827}',
    b'"\\u0000\\u001f\\/"',
)


def seeds() -> Iterable[bytes]:
    """Cases as they come, values at the edge of JSON, and other media types."""
    for data in (*whole_cases(4), *STRANGE):
        yield b"\n" + orjson.dumps(data)
    for one in WRITTEN:
        yield b"\n" + one
    for one in MEDIA_TYPES:
        yield one + b"\n{}"
    yield b"\n" + b" " * (SETTINGS.body_limit_bytes + 1)


def hold(data: bytes) -> None:
    """A body is a problem of a documented kind, or data that another reader of JSON reads alike."""
    media_type, _, body = data.partition(b"\n")
    try:
        found = asyncio.run(json_body(_request(media_type[:100], body), SETTINGS))
    except Problem as refused:
        assert refused.kind.name in KINDS
        assert orjson.dumps([refused.detail, refused.errors])  # it can be sent
        return
    assert len(body) <= SETTINGS.body_limit_bytes
    again = read_json(json.dumps(found).encode(), nesting_limit=SETTINGS.nesting_limit)
    assert _same(found, again), "what was read is not what was written"
    assert _same(found, orjson.loads(body)), "another reader reads something else"


def _request(media_type: bytes, body: bytes) -> Request:
    length = 1 + len(media_type)
    parts = [body[start : start + length * 100] for start in range(0, len(body), length * 100)] or [b""]
    headers = [(b"content-type", media_type or b"application/json")]

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": parts.pop(0), "more_body": bool(parts)}

    return Request({"type": "http", "method": "POST", "path": "/", "headers": headers, "app": APP}, receive)


def _same(one: Any, other: Any) -> bool:
    """Whether data is the same, each number of the same kind and sign."""
    return repr(one) == repr(other)


def _mutated(data: bytes, chance: random.Random) -> bytes:
    media_type, _, body = data.partition(b"\n")
    try:
        return media_type + b"\n" + json.dumps(mutated_tree(json.loads(body), chance)).encode()
    except (ValueError, RecursionError):
        return data


HARNESS = Harness(seeds, hold, _mutated)
