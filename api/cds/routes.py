"""The addresses of CDS Hooks, one statement each."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from api.cds import operations
from api.cds.desk import advised, fed_back
from api.door import Door
from api.resource import send
from api.service import answer, page

__all__ = ["cds_routes"]

cds_routes = APIRouter(route_class=Door)


@cds_routes.get("/cds-services", **operations.DISCOVER)
async def discover(request: Request) -> Response:
    """Tell on which hooks the service is offered, and what is to be prefetched for it."""
    return send(request, page(request))


@cds_routes.post("/cds-services/{service}", **operations.ADVISE)
async def advise(request: Request) -> Response:
    """Say of the lesions that a hook is about whether they may be frozen, why, and what to do instead.

    The service reads what was prefetched, in FHIR R4, R4B or R5, and never calls a server. Without the patient, the
    conditions and the observations it answers 412. The same call on the same day gets the same cards; nothing is kept.
    Errors are FHIR OperationOutcomes.
    """
    return answer(await advised(request))


@cds_routes.post("/cds-services/{service}/feedback", **operations.FEED_BACK)
async def take_feedback(request: Request) -> Response:
    """Take what came of cards. One line without anything that a person wrote is logged, and nothing is kept."""
    return answer(await fed_back(request))
