"""Every address of the service, one statement each."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from api.batch_routes import batch_routes
from api.cds.routes import cds_routes
from api.docs_page import POLICY
from api.door import Door
from api.estimates import estimated, pool_measured
from api.fhir.routes import fhir_routes
from api.moments import moments_of
from api.operations import service_operations as operations
from api.operations import table_operations
from api.papers.routes import paper_routes
from api.resource import send
from api.reviewer_routes import reviewer_routes
from api.service import (
    alive,
    answer,
    cycle_reviewed,
    healing_reviewed,
    page,
    readiness,
    recommended,
    service_of,
)
from api.worker.metrics import measured
from decision.rule_book import RuleBook

__all__ = ["doors", "routes"]

routes = APIRouter(route_class=Door)

MOMENTS = {"reviewCycle": "during", "reviewHealing": "after"}


def doors(book: RuleBook) -> list[BaseRoute]:
    """The routes that a rule book can answer at: those of the reviews only where it takes that decision."""
    asked = moments_of(book)
    every = (
        *routes.routes,
        *paper_routes.routes,
        *reviewer_routes.routes,
        *cds_routes.routes,
        *batch_routes.routes,
        *fhir_routes.routes,
    )
    return [one for one in every if MOMENTS.get(getattr(one, "operation_id", ""), "before") in asked]


@routes.post("/v1/recommendations", **operations.RECOMMEND)
async def recommend(request: Request) -> Response:
    """Answer a case, with the reason for each statement.

    The answer depends on the case and the rule book alone and nothing is stored, so that a request may be sent again.
    What is not stated is unknown and never taken as absent: `status` says whether more would improve the answer, and
    `ask_next` what to ask.
    """
    return answer(await recommended(request))


@routes.post("/v1/cycle-reviews", **operations.REVIEW_CYCLE)
async def review_cycle(request: Request) -> Response:
    """Say whether one freeze and thaw was enough, and what to change next time.

    The thaw is judged only against the band of that applicator and site; where something is open, the answer means
    less cold. The band of the freeze, narrowed by the thaw that was seen, comes with it.
    """
    return answer(await cycle_reviewed(request))


@routes.post("/v1/healing-reviews", **operations.REVIEW_HEALING)
async def review_healing(request: Request) -> Response:
    """Say whether a frozen lesion heals as it should, what to do next, and what to expect on which day."""
    return answer(await healing_reviewed(request))


@routes.get("/v1/estimates", **table_operations.ESTIMATE_FREEZE)
async def estimate_freeze(request: Request) -> Response:
    """Tell what one freeze reaches, as data or as a picture in cross-section: computed, not measured.

    The ranges are those of the whole table. Where an applicator has a narrower one, where the thaw that was seen fits
    no draw, or where the cryogen was not validated, `estimate` is null and `reason` says why. The answer depends on
    the address and on the freeze table alone.
    """
    return send(request, estimated(request))


@routes.get("/v1/pools", **table_operations.MEASURE_POOL)
async def measure_pool(request: Request) -> Response:
    """Tell how a pool stands in a tilted cone, what either side reaches, what a fill takes, and how many are left.

    Where one side is dry or the pool spills, `depths` is null and `reason` says why.
    """
    return send(request, pool_measured(request))


@routes.get("/v1/rule-book", **operations.READ_RULE_BOOK)
async def read_rule_book(request: Request) -> Response:
    """Tell which rule book is loaded, its digest, and the decisions it takes."""
    return send(request, page(request))


@routes.get("/v1/rules", **operations.LIST_RULES)
async def list_rules(request: Request) -> Response:
    """List the rules of the rule book, or those of one decision."""
    return send(request, page(request))


@routes.get("/v1/rules/{decision}/{name}", **operations.READ_RULE)
async def read_rule(request: Request) -> Response:
    """Show one rule in full: its tests, conclusion, evidence, history and worked examples."""
    return send(request, page(request))


@routes.get("/v1/sources", **operations.LIST_SOURCES)
async def list_sources(request: Request) -> Response:
    """List every publication that rules cite, by the key they cite it with."""
    return send(request, page(request))


@routes.get("/v1/vocabulary", **operations.READ_VOCABULARY)
async def read_vocabulary(request: Request) -> Response:
    """List everything that a case may state: type, unit, range, allowed codes, and what is presumed."""
    return send(request, page(request))


@routes.get("/livez", **operations.ALIVE)
async def livez(request: Request) -> Response:
    """Say that the process answers, whatever it may be busy with."""
    return answer(alive())


@routes.get("/readyz", **operations.READY)
async def readyz(request: Request) -> Response:
    """Say whether cases may be sent, by which rule book they are answered, and whether a change of it was refused."""
    return answer(readiness(request))


@routes.get("/metrics", **operations.METRICS)
async def read_metrics(request: Request) -> Response:
    """Read counts and times of all workers as Prometheus reads them: names and codes only, nothing of a case."""
    return measured(service_of(request).house.board)


@routes.get("/version", **operations.VERSION)
async def read_version(request: Request) -> Response:
    """Tell the versions of the service, the engine, the answer contract and the rule book."""
    return send(request, page(request))


@routes.get("/problems/{name}", **operations.READ_PROBLEM)
async def read_problem(request: Request) -> Response:
    """Explain one kind of problem. The `type` of every problem leads here."""
    return send(request, page(request))


@routes.get("/openapi.json", **operations.OPENAPI)
async def read_openapi(request: Request) -> Response:
    """The description of this service in OpenAPI 3.1."""
    return send(request, page(request))


@routes.get("/docs", **operations.DOCS)
async def read_docs(request: Request) -> Response:
    """The description of this service as a page that loads nothing from elsewhere."""
    response = send(request, page(request))
    response.headers["Content-Security-Policy"] = POLICY
    return response
