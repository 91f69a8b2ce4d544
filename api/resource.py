"""A resource whose bytes are ready: sent as they are, or not at all when the caller has them already."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import orjson
from starlette.requests import Request
from starlette.responses import Response

__all__ = ["Resource", "resource_of", "send"]


ASK_AGAIN: Mapping[str, str] = MappingProxyType({"Cache-Control": "no-cache"})


@dataclass(frozen=True, slots=True)
class Resource:
    """Bytes with a strong entity tag, which is their digest, and how long they may be kept."""

    body: bytes
    etag: str
    media_type: str
    keeping: Mapping[str, str] = field(default_factory=lambda: ASK_AGAIN)


def resource_of(
    content: object, media_type: str = "application/json", keeping: Mapping[str, str] = ASK_AGAIN
) -> Resource:
    """Make a resource from JSON data, or from text of another media type.

    Args:
        content: JSON data; text is sent as it is.
        media_type: Of the content.
        keeping: Headers that say how long a cache may keep it; it asks each time when left out.

    >>> resource_of({"a": 1}).body
    b'{"a":1}'
    """
    body = content.encode() if isinstance(content, str) else orjson.dumps(content)
    return Resource(body, f'"{hashlib.sha256(body).hexdigest()}"', media_type, keeping)


def send(request: Request, resource: Resource) -> Response:
    """Send a resource, or 304 when If-None-Match names what the caller already has."""
    headers = {"ETag": resource.etag, **resource.keeping}
    known = ",".join(request.headers.getlist("if-none-match"))
    if known and _names(known, resource.etag):
        return Response(status_code=304, headers=headers)
    return Response(resource.body, headers=headers, media_type=resource.media_type)


def _names(known: str, etag: str) -> bool:
    """Compare weakly, as RFC 9110 asks for If-None-Match."""
    listed = [one.strip().removeprefix("W/") for one in known.split(",")]
    return etag in listed or listed == ["*"]
