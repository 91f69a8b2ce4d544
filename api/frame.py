"""The frame around every answer: names, security headers, HEAD, and what happens when something fails.

Pure ASGI, the outermost layer of ours. A fault that nothing inside answers becomes a 500 problem without a trace of
the code; the log has the same request id, the kind of the fault and where it was raised, and no value.
"""

from __future__ import annotations

import logging
import traceback

from starlette.requests import ClientDisconnect, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.identity import Identity, identify
from api.problem_kinds import KINDS
from api.problems import problem_response

__all__ = ["NO_STORE", "SECURITY", "Frame"]

log = logging.getLogger("thawline")

NO_STORE = (b"cache-control", b"no-store")
SECURITY = [
    (b"x-content-type-options", b"nosniff"),
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
]


class Frame:
    """ASGI middleware around all of the service."""

    def __init__(self, app: ASGIApp) -> None:
        """Frame an application."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        identity = identify(scope["headers"])
        state = scope.setdefault("state", {})
        state["request_id"], state["traceparent"] = identity.request_id.decode(), identity.traceparent.decode()
        answer = _Answer(send, identity, bodiless=scope["method"] == "HEAD")
        if answer.bodiless:
            scope = {**scope, "method": "GET"}
        try:
            await self.app(scope, receive, answer.send)
        except ClientDisconnect:
            return  # nobody is left to answer
        except Exception as fault:
            _log_fault(scope, fault)
            if answer.started:
                raise
            kind = KINDS["internal-fault"]
            response = problem_response(Request(scope), kind, kind.meaning)
            await response(scope, receive, answer.send)


class _Answer:
    """One answer on its way out."""

    __slots__ = ("_identity", "_send", "bodiless", "started")

    def __init__(self, send: Send, identity: Identity, *, bodiless: bool) -> None:
        self._send = send
        self._identity = identity
        self.bodiless = bodiless
        self.started = False

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = message["headers"]
            headers.append((b"x-request-id", self._identity.request_id))
            headers.append((b"traceparent", self._identity.traceparent))
            if not any(name == b"cache-control" for name, _ in headers):
                headers.append(NO_STORE)
            named = {name.lower() for name, _ in headers}
            headers += [one for one in SECURITY if one[0] not in named]  # a page names what it may load
        elif self.bodiless:
            message = {**message, "body": b""}
        await self._send(message)


def _log_fault(scope: Scope, fault: Exception) -> None:
    """Log where a fault was raised. Its message is left out: it may hold a value of the case."""
    frames = traceback.extract_tb(fault.__traceback__)
    places = "\n".join(f"  {one.filename}:{one.lineno} {one.name}" for one in frames)
    named = scope["state"]["request_id"]
    log.error("request %s failed with %s\n%s", named, type(fault).__name__, places, extra={"request_id": named})
