"""How many are in the process at once, and the word to those who are too many.

A case is computed in one go, so that others wait meanwhile. Those who wait are counted: each yields once to those that
have arrived with it, and one that finds too many waiting is told so before its address is even looked at. What tells
about the service itself is never refused.
"""

from __future__ import annotations

import asyncio

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from api.problem_kinds import KINDS
from api.problems import Problem, problem_response
from api.worker.counts import SHED

__all__ = ["NEVER_SHED", "RETRY", "Crowd", "Shedding"]

NEVER_SHED = frozenset({"/livez", "/readyz", "/metrics"})
RETRY = {"Retry-After": "1"}


class Crowd:
    """The requests of one process."""

    def __init__(self, open_limit: int, waiting_limit: int) -> None:
        """Begin with nobody."""
        self.open = 0
        self._waiting = 0
        self._open_limit = open_limit
        self._waiting_limit = waiting_limit
        self._line = asyncio.Lock()

    @property
    def full(self) -> bool:
        """Whether one more request would be too many."""
        return self.open >= self._open_limit or self._waiting >= self._waiting_limit

    async def turn(self) -> None:
        """Wait until those who came before have been answered.

        Raises:
            Problem: `overloaded`; too many wait already.
        """
        if self._waiting >= self._waiting_limit:
            SHED.inc()
            raise Problem(KINDS["overloaded"], KINDS["overloaded"].meaning, headers=RETRY)
        self._waiting += 1
        try:
            await asyncio.sleep(0)
        finally:
            self._waiting -= 1

    async def line_turn(self) -> None:
        """Wait for the turn of one line of a batch: however many batches there are, one line is answered at a time."""
        async with self._line:
            await asyncio.sleep(0)


class Shedding:
    """ASGI middleware that refuses whoever is too many."""

    def __init__(self, app: ASGIApp, crowd: Crowd) -> None:
        """Guard an application."""
        self._app = app
        self._crowd = crowd

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or say when to come again."""
        if scope["type"] != "http" or scope["path"].removeprefix(scope.get("root_path", "")) in NEVER_SHED:
            await self._app(scope, receive, send)
            return
        crowd = self._crowd
        if crowd.full:
            SHED.inc()
            kind = KINDS["overloaded"]
            await problem_response(Request(scope), kind, kind.meaning, headers=RETRY)(scope, receive, send)
            return
        crowd.open += 1
        try:
            await self._app(scope, receive, send)
        finally:
            crowd.open -= 1
