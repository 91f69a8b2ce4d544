"""Let pages of named origins call this service from a browser (CORS), on errors as on answers.

Credentials of the browser (cookies) are never allowed; a token travels in Authorization, which is named, since `*`
does not cover it. A page of another origin gets answers without the headers that would let it read them.
"""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.settings import ANY_ORIGIN

__all__ = ["Cors", "Preflight"]

METHODS = "GET, HEAD, POST, OPTIONS"
SENT = "Authorization, X-API-Key, Content-Type, Accept, If-None-Match, X-Request-ID, traceparent"
SEEN = "ETag, Retry-After, RateLimit, RateLimit-Policy, X-Request-ID, traceparent, WWW-Authenticate"
KEPT_S = "600"


class Cors:
    """The outermost layer: says to the browser whether the page may read an answer."""

    def __init__(self, app: ASGIApp, origins: tuple[str, ...]) -> None:
        """Frame an application for pages of these origins."""
        self._app = app
        self._origins = origins

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or not self._origins:
            await self._app(scope, receive, send)
            return
        origin = Headers(scope=scope).get("origin", "")
        any_origin = self._origins == ANY_ORIGIN
        allowed = bool(origin) and (any_origin or origin in self._origins)

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if not any_origin:
                    headers.add_vary_header("Origin")
                if allowed:
                    headers["Access-Control-Allow-Origin"] = "*" if any_origin else origin
                    headers["Access-Control-Expose-Headers"] = SEEN
            await send(message)

        if allowed:
            scope.setdefault("state", {})["origin_allowed"] = True
        await self._app(scope, receive, answered)


class Preflight:
    """The innermost layer: answers the question that a browser asks before a call, for allowed origins."""

    def __init__(self, app: ASGIApp) -> None:
        """Answer for an application."""
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a preflight, and hand on everything else."""
        asked = scope["type"] == "http" and scope["method"] == "OPTIONS" and scope["state"].get("origin_allowed")
        if not asked or "access-control-request-method" not in Headers(scope=scope):
            await self._app(scope, receive, send)
            return
        headers = {
            "Access-Control-Allow-Methods": METHODS,
            "Access-Control-Allow-Headers": SENT,
            "Access-Control-Max-Age": KEPT_S,
        }
        await Response(status_code=204, headers=headers)(scope, receive, send)
