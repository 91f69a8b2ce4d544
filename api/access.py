"""Let those in who may call, as often and as many at once as was agreed; where no credential is asked for, all.

Guarded are the cases and the rule book (/v1), by keys, and CDS Hooks, by keys or by tokens of its own. What tells about
the service itself is open. So are the pages, where they are not off: with keys an operator opens them, behind a login.
Each line of a batch counts as one request. The counts are those of one process: with several workers a limit is that
many times as high. Every answer to a known caller says how much is left of what was agreed
(draft-ietf-httpapi-ratelimit-headers-10).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Protocol

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.keys import Key, key_of
from api.outcomes import wants_outcome
from api.problem_kinds import KINDS
from api.problems import Problem, problem_response

__all__ = ["GUARDED", "Access", "Allowance", "Caller", "Register"]

GUARDED = "/v1/"
HEADER = "x-api-key"
MINUTE_S = 60
BUSY_S = 1


class Caller(Protocol):
    """Somebody who may call: the name under which the use is counted, and what was agreed."""

    @property
    def name(self) -> str:
        """No two callers have the same."""

    @property
    def requests_per_minute(self) -> int:
        """How often."""

    @property
    def at_once(self) -> int:
        """How many at once."""


@dataclass(slots=True)
class _Use:
    """How much of what was agreed is left: tokens that come back evenly over a minute, and places at once."""

    tokens: float
    seen: float
    open: int = 0


@dataclass(slots=True)
class Register:
    """The use that every caller has made. The clock gives the time in seconds."""

    clock: Callable[[], float]
    uses: dict[str, _Use] = field(default_factory=dict)

    def refused(self, caller: Caller) -> tuple[int, str]:
        """Take a place for one request; 0, or after how many seconds to ask again, and which limit was met."""
        use = self._use(caller)
        if use.open >= caller.at_once:
            return BUSY_S, f"{caller.at_once} requests may be open at once, and as many are."
        if wait := self.one_more(caller):
            return wait, _a_minute(caller)
        use.open += 1
        return 0, ""

    def one_more(self, caller: Caller, before: int = 0) -> int:
        """Take one of the requests of a minute; 0, or after how many seconds to ask again.

        Args:
            caller: Who asks.
            before: How many wait already to ask again.
        """
        use = self._use(caller)
        if use.tokens < 1:
            return 1 + int((1 + before - use.tokens) * MINUTE_S / caller.requests_per_minute)
        use.tokens -= 1
        return 0

    def _use(self, caller: Caller) -> _Use:
        """The use that a caller has made until now."""
        now, all_of_them = self.clock(), caller.requests_per_minute
        use = self.uses.setdefault(caller.name, _Use(float(all_of_them), now))
        use.tokens = min(all_of_them, use.tokens + (now - use.seen) * all_of_them / MINUTE_S)
        use.seen = now
        return use

    def done(self, caller: Caller) -> None:
        """Give a place back."""
        self.uses[caller.name].open -= 1

    def left(self, caller: Caller) -> dict[str, str]:
        """What is left of the requests of a minute, as headers."""
        all_of_them, tokens = caller.requests_per_minute, self.uses[caller.name].tokens
        again_s = math.ceil((all_of_them - tokens) * MINUTE_S / all_of_them)
        return {
            "RateLimit-Policy": f'"minute";q={all_of_them};w={MINUTE_S}',
            "RateLimit": f'"minute";r={int(tokens)};t={again_s}',
        }


class Allowance:
    """What a caller may still ask within one request, where that brings many cases: each line counts as a request."""

    def __init__(self, register: Register, caller: Caller) -> None:
        """Begin with the first line, which the request itself has paid for."""
        self._register = register
        self._caller = caller
        self._paid = True
        self._late = 0
        self.said = _a_minute(caller)

    def wait(self) -> int:
        """Take one line; 0, or after how many seconds to send it again, behind those that were too many before it."""
        if self._paid:
            self._paid = False
            return 0
        wait = self._register.one_more(self._caller, self._late)
        self._late += 1 if wait else 0
        return wait


class Access:
    """ASGI middleware that asks for credentials."""

    def __init__(
        self,
        app: ASGIApp,
        keys: Iterable[Key],
        register: Register,
        client: Callable[[Request], Caller] | None = None,
    ) -> None:
        """Guard an application.

        Args:
            app: The application.
            keys: The keys; none to let everybody in.
            register: How often each caller was answered so far.
            client: Who calls CDS Hooks, by a credential of its own, or a Problem; None where it is guarded by keys too.
        """
        self._app = app
        self._keys = tuple(keys)
        self._client = client
        self._register = register

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        try:
            caller = self._caller(scope)
        except Problem as refused:
            await problem_response(Request(scope), refused.kind, refused.detail, headers=refused.headers)(
                scope, receive, send
            )
            return
        if caller is None:
            await self._app(scope, receive, send)
        else:
            await self._answer(caller, scope, receive, send)

    async def _answer(self, caller: Caller, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request of a known caller, and say how much of what was agreed is left."""
        wait, said = self._register.refused(caller)
        left = self._register.left(caller)

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(left)
            await send(message)

        if wait:
            kind, later = KINDS["too-many-requests"], {"Retry-After": str(wait)}
            await problem_response(Request(scope), kind, said, headers=later)(scope, receive, sent)
            return
        scope["state"]["allowance"] = Allowance(self._register, caller)
        try:
            await self._app(scope, receive, sent)
        finally:
            self._register.done(caller)

    def _caller(self, scope: Scope) -> Caller | None:
        """Who calls; None where anybody may.

        Raises:
            Problem: There is no credential that is accepted.
        """
        hooks = wants_outcome(scope)
        if hooks and self._client is not None:
            return self._client(Request(scope))
        path = str(scope["path"]).removeprefix(scope.get("root_path", ""))
        if not self._keys or not (hooks or path.startswith(GUARDED)):
            return None
        written = Headers(scope=scope).getlist(HEADER)
        key = key_of(written[0], self._keys) if len(written) == 1 else None
        if key is None:
            kind = KINDS["no-api-key"]
            raise Problem(kind, kind.meaning, headers={"WWW-Authenticate": "ApiKey"})
        scope["state"]["caller"] = {"key": key.name}
        return key


def _a_minute(caller: Caller) -> str:
    return f"{caller.requests_per_minute} requests a minute were agreed, each line of a batch counted as one."
