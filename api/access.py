"""Let requests with a known key in, as often and as many at once as was agreed; where there are no keys, all.

Guarded are the cases and the rule book (/v1) and CDS Hooks, unless those have credentials of their own. What tells
about the service itself is open, and so are the pages, which an operator who sets keys puts behind a login.
The counts are those of one process: with several workers a limit is that many times as high. Every answer to a known
key says how much is left of what was agreed (draft-ietf-httpapi-ratelimit-headers-10).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.keys import Key, key_of
from api.outcomes import wants_outcome
from api.problem_kinds import KINDS
from api.problems import problem_response

__all__ = ["GUARDED", "Access", "Register"]

GUARDED = "/v1/"
HEADER = "x-api-key"
MINUTE_S = 60
BUSY_S = 1


@dataclass(slots=True)
class _Use:
    """How much of what was agreed is left: tokens that come back evenly over a minute, and places at once."""

    key: Key
    tokens: float
    seen: float
    open: int = 0


@dataclass(slots=True)
class Register:
    """The use of every key. The clock gives the time in seconds."""

    clock: Callable[[], float]
    uses: dict[str, _Use] = field(default_factory=dict)

    def wait(self, key: Key) -> int:
        """Take a place for one request; 0, or after how many seconds to ask again."""
        now = self.clock()
        use = self.uses.setdefault(key.name, _Use(key, float(key.requests_per_minute), now))
        use.tokens = min(key.requests_per_minute, use.tokens + (now - use.seen) * key.requests_per_minute / MINUTE_S)
        use.seen = now
        if use.open >= key.at_once:
            return BUSY_S
        if use.tokens < 1:
            return 1 + int((1 - use.tokens) * MINUTE_S / key.requests_per_minute)
        use.tokens -= 1
        use.open += 1
        return 0

    def done(self, key: Key) -> None:
        """Give a place back."""
        self.uses[key.name].open -= 1

    def left(self, key: Key) -> dict[str, str]:
        """What is left of the requests of a minute, as headers."""
        all_of_them, tokens = key.requests_per_minute, self.uses[key.name].tokens
        again_s = math.ceil((all_of_them - tokens) * MINUTE_S / all_of_them)
        return {
            "RateLimit-Policy": f'"minute";q={all_of_them};w={MINUTE_S}',
            "RateLimit": f'"minute";r={int(tokens)};t={again_s}',
        }


class Access:
    """ASGI middleware that asks for keys."""

    def __init__(self, app: ASGIApp, keys: Iterable[Key], register: Register, *, hooks: bool) -> None:
        """Guard an application.

        Args:
            app: The application.
            keys: The keys; none to let everybody in.
            register: How often each was used so far.
            hooks: Whether CDS Hooks is guarded by keys too.
        """
        self._app = app
        self._keys = tuple(keys)
        self._hooks = hooks
        self._register = register

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or not self._guarded(scope):
            await self._app(scope, receive, send)
            return
        written = Headers(scope=scope).getlist(HEADER)
        key = key_of(written[0], self._keys) if len(written) == 1 else None
        if key is None:
            kind, challenge = KINDS["no-api-key"], {"WWW-Authenticate": "ApiKey"}
            await problem_response(Request(scope), kind, kind.meaning, headers=challenge)(scope, receive, send)
            return
        scope["state"]["caller"] = {"key": key.name}
        await self._answer(key, scope, receive, send)

    async def _answer(self, key: Key, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request with a known key, and say how much of what was agreed is left."""
        wait = self._register.wait(key)
        left = self._register.left(key)

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(left)
            await send(message)

        if wait:
            kind, later = KINDS["too-many-requests"], {"Retry-After": str(wait)}
            await problem_response(Request(scope), kind, kind.meaning, headers=later)(scope, receive, sent)
            return
        try:
            await self._app(scope, receive, sent)
        finally:
            self._register.done(key)

    def _guarded(self, scope: Scope) -> bool:
        if not self._keys:
            return False
        path = str(scope["path"]).removeprefix(scope.get("root_path", ""))
        return path.startswith(GUARDED) or (self._hooks and wants_outcome(scope))
