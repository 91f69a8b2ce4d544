"""One kind of route for every door: what stands in the document is what is checked.

An endpoint takes the request and returns a response; nothing is injected, so that no work is done twice. Before it
runs, the Accept header, the query and the header parameters are held against its OpenAPI operation.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Coroutine, Iterable, Mapping
from typing import Any

from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.acceptance import accepts
from api.problem_kinds import KINDS
from api.problems import Place, Problem

__all__ = ["Door"]

Schema = Mapping[str, Any]


class Door(APIRoute):
    """A route whose endpoint takes the request as it is."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The endpoint, behind the checks of its Accept header and its parameters."""
        endpoint: Callable[[Request], Coroutine[Any, Any, Response]] = self.endpoint
        offered = self.response_class.media_type.partition(";")[0]  # type: ignore[union-attr]
        stated = (self.openapi_extra or {}).get("parameters", [])
        queries = {one["name"]: one["schema"] for one in stated if one["in"] == "query"}
        headers = {one["name"]: one["schema"] for one in stated if one["in"] == "header"}

        async def handle(request: Request) -> Response:
            _refuse_unacceptable(request, offered)
            if headers or request.scope["query_string"]:
                _refuse_unfit(request, queries, headers)
            return await endpoint(request)

        return handle

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request whose path is this one; HEAD comes here as GET."""
        assert self.methods is not None
        if scope["method"] not in self.methods:
            allowed = sorted(self.methods | ({"HEAD"} if "GET" in self.methods else set()))
            said = f"allowed here: {', '.join(allowed)}."
            raise Problem(KINDS["method-not-allowed"], said, headers={"Allow": ", ".join(allowed)})
        await self.app(scope, receive, send)


def _refuse_unacceptable(request: Request, offered: str) -> None:
    written = ",".join(request.headers.getlist("accept"))
    if not accepts(written, offered):
        raise Problem(KINDS["not-acceptable"], f"this operation answers with {offered} only.")


def _refuse_unfit(request: Request, queries: Mapping[str, Schema], headers: Mapping[str, Schema]) -> None:
    places = [*_query_faults(request, queries)]
    for name, schema in headers.items():
        said = _unfit(request.headers.get(name, ""), schema)
        if said:
            places.append({"parameter": name, "code": "not_allowed", "detail": f"{name} must {said}."})
    if places:
        raise Problem(KINDS["unusable-parameter"], places[0]["detail"], places)


def _query_faults(request: Request, queries: Mapping[str, Schema]) -> Iterable[Place]:
    for name in request.query_params:
        schema = queries.get(name)
        if schema is None:
            allowed = ", ".join(queries) or "none"
            yield {"code": "unknown_parameter", "detail": f"the query parameters allowed here are: {allowed}."}
        elif len(request.query_params.getlist(name)) > 1:
            yield {"parameter": name, "code": "repeated", "detail": f"{name} may stand once."}
        elif said := _unfit(request.query_params[name], schema):
            yield {"parameter": name, "code": "not_allowed", "detail": f"{name} must {said}."}


def _unfit(value: str, schema: Schema) -> str:
    """What a value must be, where it is not."""
    if "enum" in schema and value not in schema["enum"]:
        return f"be one of: {', '.join(schema['enum'])}"
    if "pattern" in schema and not re.fullmatch(schema["pattern"], value):
        return f"match {schema['pattern']}"
    if len(value) > schema.get("maxLength", len(value)):
        return f"have at most {schema['maxLength']} characters"
    return ""
