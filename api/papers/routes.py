"""The address of the papers."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from api.door import Door
from api.papers import operations
from api.papers.counter import paper_written

__all__ = ["paper_routes"]

paper_routes = APIRouter(route_class=Door)


@paper_routes.post("/v1/papers/{kind}", **operations.WRITE_PAPER)
async def write_paper(request: Request) -> Response:
    """Write the sheet for the owner, the points of consent, or the note for the chart, from an answered case.

    Each says only what the recommendation says, with version and digest of the rule book in small print. Blanks have
    names, for the caller to fill. Where nothing is to be frozen the sheet says what happens instead. `format` goes
    before the Accept header.
    """
    return await paper_written(request)
