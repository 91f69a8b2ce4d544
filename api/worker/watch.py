"""Watch what each request was, how it ended and how long it took, and tell those who count, log or trace it."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import TypeAlias

from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Observer", "Watched"]

UNNAMED = "page"  # what is no operation of the OpenAPI document

# Is told a request, its operation, the status of its answer, and the seconds that it took.
Observer: TypeAlias = Callable[[Scope, str, int, float], None]


class Watched:
    """ASGI middleware that watches every request. An address is told as its operation, never as it was sent."""

    def __init__(self, app: ASGIApp, observers: Sequence[Observer]) -> None:
        """Watch an application."""
        self._app = app
        self._observers = observers

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.perf_counter(), 500

        async def sent(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self._app(scope, receive, sent)
        finally:
            took_s = time.perf_counter() - began
            operation = getattr(scope.get("route"), "operation_id", None) or UNNAMED
            for tell in self._observers:
                tell(scope, operation, status, took_s)
