"""The service with addresses more, at which the C code of durable-rules is made to crash and to hang, or Python fails.

This is what decision/matcher.py never asks of it. See the fence around durable-rules in DEVELOPERS.md.
"""

from __future__ import annotations

from typing import Any

import durable_rules_engine as engine

from api.running.editions import Editions
from api.running.editions import create as create_editions

DIVIDES_BY_ZERO = '{"r":{"all":[{"m":{"$gt":{"x":{"$div":{"$l":{"$m":"x"},"$r":{"$m":"y"}}}}}}]}}'
FACT = '{"id":"1","sid":"0","x":1,"y":0}'
TOO_MANY = "{" + ",".join(f'"r{i}":{{"all":[{{"m":{{"$gt":{{"f{i}":0}}}}}}]}}' for i in range(600)) + "}"


class Crashing:
    """The service, which can be told to crash."""

    def __init__(self, service: Editions) -> None:
        self._service = service

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope.get("path") == "/crash":
            engine.assert_fact(engine.create_ruleset("crash", DIVIDES_BY_ZERO), FACT)
        if scope.get("path") == "/hang":
            engine.create_ruleset("hang", TOO_MANY)
        if scope.get("path") == "/fault":
            raise ValueError(scope["query_string"])
        await self._service(scope, receive, send)


def create() -> Crashing:
    return Crashing(create_editions())
