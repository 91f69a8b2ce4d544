"""Answer a client of HTTP/1.0 without chunks, which it does not know (RFC 9112, 6.1).

What has a length is sent as ever. What has none, a batch, is written as it comes and ends with the connection.
"""

from __future__ import annotations

from uvicorn._types import ASGISendEvent
from uvicorn.protocols.http.httptools_impl import RequestResponseCycle

__all__ = ["end_by_closing"]


def end_by_closing(cycle: RequestResponseCycle) -> None:
    """Have the answer of a cycle end with its connection where it has no length."""
    send, bare = cycle.send, False

    async def sent(message: ASGISendEvent) -> None:
        nonlocal bare
        if message["type"] == "http.response.start":
            bare = not any(name.lower() == b"content-length" for name, _ in message["headers"])
            cycle.chunked_encoding = False if bare else None
        elif message["type"] == "http.response.body" and bare and cycle.scope["method"] != "HEAD":
            await cycle.flow.drain()
            if not cycle.disconnected:
                cycle.transport.write(message.get("body", b""))
            message = {**message, "body": b""}
        await send(message)

    cycle.send = sent  # type: ignore[method-assign]
