"""The addresses of the reviewer, one statement each."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from api.door import Door
from api.operations import reviewer_operations as operations
from api.reviewer import changes_searched, reproduced
from api.service import answer

__all__ = ["reviewer_routes"]

reviewer_routes = APIRouter(route_class=Door)


@reviewer_routes.post("/v1/what-would-change", **operations.WHAT_WOULD_CHANGE)
async def what_would_change(request: Request) -> Response:
    """Say which facts, were they otherwise, would change the verdict: one by one, and in pairs where none does alone.

    For each fact the nearest value is told that a patient could have, in each direction. Each was answered by the
    engine that answers cases. A fact that cannot change is marked so; nothing here says what to do.
    """
    return answer(await changes_searched(request))


@reviewer_routes.post("/v1/reproductions", **operations.REPRODUCE)
async def give_again(request: Request) -> Response:
    """Answer the case of a record once more, and say identical, or each difference and what is no longer the same.

    The rule book that answered is used where it is at hand, else the one in use. What counts is the conclusion:
    verdicts, rules, findings, numbers and dates.
    """
    return answer(await reproduced(request))
