"""One kind of route for every door: what stands in the document is what is checked.

An endpoint takes the request and returns a response; nothing is injected, so that no work is done twice. Before it
runs, the Accept header, the query and the header parameters are held against its OpenAPI operation; the endpoint finds
the media type in `request.state.media_type` and the query in `request.state.query`.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from api.acceptance import preferred
from api.parameters import Parameters
from api.problem_kinds import KINDS
from api.problems import Problem

__all__ = ["Door"]


class Door(APIRoute):
    """A route whose endpoint takes the request as it is."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The endpoint, behind the checks of its Accept header and its parameters."""
        endpoint: Callable[[Request], Coroutine[Any, Any, Response]] = self.endpoint
        offered = tuple(self.responses[200]["content"])
        parameters = Parameters.of((self.openapi_extra or {}).get("parameters", []))

        async def handle(request: Request) -> Response:
            request.state.media_type = _negotiated(request, offered)
            request.state.query = parameters.read(request)
            response = await endpoint(request)
            if len(offered) > 1:
                response.headers.add_vary_header("Accept")  # a cache keeps the forms apart
            return response

        return handle

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request whose path is this one; HEAD comes here as GET."""
        assert self.methods is not None
        if scope["method"] not in self.methods:
            allowed = sorted(self.methods | ({"HEAD"} if "GET" in self.methods else set()))
            said = f"allowed here: {', '.join(allowed)}."
            raise Problem(KINDS["method-not-allowed"], said, headers={"Allow": ", ".join(allowed)})
        await self.app(scope, receive, send)


def _negotiated(request: Request, offered: tuple[str, ...]) -> str:
    chosen = preferred(",".join(request.headers.getlist("accept")), offered)
    if chosen is None:
        raise Problem(KINDS["not-acceptable"], f"this operation answers with {' or '.join(offered)} only.")
    return chosen
