"""The running service: what it holds, and what its routes ask it for."""

from __future__ import annotations

import contextlib
import datetime
import logging
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

import orjson
from starlette.requests import Request
from starlette.responses import Response

from api.body import json_body
from api.operations.messages import Alive, Ready
from api.problem_kinds import KINDS
from api.problems import Problem
from api.resource import Resource
from api.settings import Settings
from api.shelves import Shelves
from api.worker.counts import DISAGREEMENTS, count_verdicts
from api.worker.house import House
from api.worker.readiness import ready_by
from decision.case import Case
from decision.errors import MatcherFault
from decision.recommendation import CycleReview, HealingReview, Recommendation
from decision.rule_book import RuleBook

__all__ = [
    "Service",
    "alive",
    "answer",
    "cycle_reviewed",
    "healing_reviewed",
    "matching_logged",
    "page",
    "readiness",
    "recommended",
    "service_of",
    "today",
]

log = logging.getLogger("thawline")

Answer = TypeVar("Answer", Recommendation, CycleReview, HealingReview)


@dataclass(frozen=True, slots=True)
class Service:
    """What the routes work with. Nothing of a request is kept in it."""

    book: RuleBook
    house: House
    pages: Mapping[str, Resource]
    shelves: Shelves

    @property
    def settings(self) -> Settings:
        """How the service is run."""
        return self.house.settings

    @property
    def ready(self) -> threading.Event:
        """Whether cases may be sent."""
        return self.house.ready


def answer(data: object) -> Response:
    """Send JSON data. What is not a page is never stored by a cache; the frame says so."""
    return Response(orjson.dumps(data), media_type="application/json")


def page(request: Request) -> Resource:
    """The page at the path (and query) of a request.

    Raises:
        Problem: `not-found`.
    """
    pages = service_of(request).pages
    query = "".join(f"?{name}={value}" for name, value in request.query_params.items())
    found = pages.get(request.scope["path"].removeprefix(request.scope.get("root_path", "")) + query)
    if found is None:
        raise Problem(KINDS["not-found"], KINDS["not-found"].meaning)
    return found


async def recommended(request: Request) -> Recommendation:
    """Read the case in a request and answer it, to be sent as JSON.

    Raises:
        Problem: The body cannot be read.
        CaseError: It is no case.
        UnknownVersion: It asks for a rule book that is not loaded.
        MatcherFault: The two means of matching differ; no answer is given.
    """
    trace = "trace" in request.state.query
    return await _answered(request, "before", lambda book, case: book.recommend(case, trace=trace, for_json=True))


async def cycle_reviewed(request: Request) -> CycleReview:
    """Read the cycle in a request and review it. Raises as `recommended`."""
    trace = "trace" in request.state.query
    return await _answered(request, "during", lambda book, case: book.review_cycle(case, trace=trace))


async def healing_reviewed(request: Request) -> HealingReview:
    """Read what is seen of healing in a request and review it. Raises as `recommended`."""
    trace = "trace" in request.state.query
    return await _answered(request, "after", lambda book, case: book.review_healing(case, trace=trace))


def alive() -> Alive:
    """Say that the process answers."""
    return {"status": "alive"}


def readiness(request: Request) -> Ready:
    """Say that the service may be sent cases.

    Raises:
        Problem: `not-ready`.
    """
    service = service_of(request)
    if not service.ready.is_set():
        raise Problem(KINDS["not-ready"], KINDS["not-ready"].meaning, headers={"Retry-After": "5"})
    return ready_by(service.book, service.house.board)


def service_of(request: Request) -> Service:
    """The service that a request came to."""
    service: Service = request.app.state.service
    return service


@contextlib.contextmanager
def matching_logged(request: Request, case: Case) -> Iterator[None]:
    """Log a disagreement of the two means of matching with what it takes to look into it, and no more."""
    try:
        yield
    except MatcherFault as fault:
        DISAGREEMENTS.inc()
        log.critical(
            "request %s: %s No answer was given. case %s, rule book %s",
            request.state.request_id,
            fault,
            case.digest,
            service_of(request).book.digest,
            extra={"request_id": request.state.request_id},
        )
        raise


async def _answered(request: Request, moment: str, ask: Callable[[RuleBook, Case], Answer]) -> Answer:
    """Read a case for a moment of the job and ask the rule book about it."""
    service = service_of(request)
    data = await json_body(request, service.settings)
    book = service.shelves.book_for(data)
    case = book.read(data, today=today(), moment=moment)
    with matching_logged(request, case):
        found = ask(book, case)
    count_verdicts(found)
    return found


def today() -> datetime.date:
    """The date of a case that states none."""
    return datetime.datetime.now(tz=datetime.UTC).date()
