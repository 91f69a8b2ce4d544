"""The pages: every address that answers a person. They are no part of the OpenAPI document.

The forms of the pages work without a script, and a script asks the same addresses. What is typed travels in the body
of a request, never in an address, and is kept nowhere.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any, TypeVar

import orjson
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from api.moments import moments_of
from api.problem_kinds import KINDS
from api.problems import Problem
from api.service import matching_logged, service_of, today
from api.settings import Settings
from api.web.argument import argument_page
from api.web.cycles import prefill
from api.web.form import act, case_in, sheet_in
from api.web.handbook import Handbook
from api.web.page import Pages
from api.web.papers import paper_page
from api.web.visit import case_answer, first_visit, visit
from decision.handbook.topic_page import NOBODYS
from decision.rule_book import RuleBook

__all__ = ["web_routes"]

T = TypeVar("T")
Endpoint = Callable[[Request], Coroutine[Any, Any, Response]]
ADDRESSES = {"before": "/", "during": "/cycle", "after": "/healing"}


def web_routes(book: RuleBook, pages: Pages, settings: Settings) -> list[BaseRoute]:
    """The pages that a rule book can fill. Where pages are off, none that reads a case is among them."""
    of_cases = _of_cases(book, pages)
    if not settings.pages_open:
        of_cases = [Route(path, _off, methods=["GET", "POST"]) for path in dict.fromkeys(one.path for one in of_cases)]
    return [*of_cases, *_of_rules(book, pages)]


def _of_cases(book: RuleBook, pages: Pages) -> list[Route]:
    """The pages that read a case: each moment only where the rule book takes its decision."""

    async def review(request: Request) -> Response:
        return await argument_page(request, pages)

    routes = []
    for moment in moments_of(book):
        routes.append(Route(ADDRESSES[moment], _empty(pages, book, moment), methods=["GET"]))
        routes.append(Route(ADDRESSES[moment], _filled(pages, moment), methods=["POST"]))
    return [
        *routes,
        Route("/record", _record, methods=["POST"]),
        Route("/papers/{kind}", paper_page, methods=["POST"]),
        Route("/review", review, methods=["GET", "POST"]),
    ]


async def _off(request: Request) -> Response:
    raise Problem(KINDS["pages-off"], KINDS["pages-off"].meaning)


def _of_rules(book: RuleBook, pages: Pages) -> list[Route]:
    """The handbook, and what pages load."""
    handbook = Handbook(book)

    async def file(request: Request) -> Response:
        return _found(pages.file(request, request.path_params["name"]))

    async def search(request: Request) -> Response:
        wanted = request.query_params.get("q", "")[:200]
        found = handbook.search(wanted)
        gathered = handbook.pages()
        return pages.html(request, "handbook.html", wanted=wanted, found=found, all=len(handbook), gathered=gathered)

    async def gathered(request: Request) -> Response:
        said = handbook.page(request.path_params["page"])
        return pages.html(request, "topics.html", page=_found(said), nobodys=NOBODYS)

    async def rule(request: Request) -> Response:
        said = handbook.rule(request.path_params["decision"], request.path_params["name"])
        return pages.html(request, "rule.html", rule=_found(said))

    return [
        Route("/handbook", search, methods=["GET"]),
        Route("/handbook/{page}", gathered, methods=["GET"]),
        Route("/handbook/{decision}/{name}", rule, methods=["GET"]),
        Route("/pages/{name}", file, methods=["GET"]),
    ]


def _empty(pages: Pages, book: RuleBook, moment: str) -> Endpoint:
    async def empty(request: Request) -> Response:
        return pages.html(request, "visit.html", visit=first_visit(book, moment), plan=None)

    return empty


def _filled(pages: Pages, moment: str) -> Endpoint:
    async def filled(request: Request) -> Response:
        sheet = await sheet_in(request)
        act(sheet, moment)
        said = case_answer(request, sheet) if moment == "during" else None
        if said:
            prefill(sheet, said)
        plan = said["plan"] if said else None
        return pages.html(request, "visit.html", visit=visit(request, sheet, moment), plan=plan)

    return filled


async def _record(request: Request) -> Response:
    """The answer to a form as a file, with every rule that did not apply or is open."""
    sheet, book = await sheet_in(request), service_of(request).book
    case = book.read(case_in(request, sheet), today=today())
    with matching_logged(request, case):
        answer = book.recommend(case, trace=True)
    headers = {"Content-Disposition": 'attachment; filename="answer.json"'}
    return Response(orjson.dumps(answer, option=orjson.OPT_INDENT_2), headers=headers, media_type="application/json")


def _found(one: T | None) -> T:
    if one is None:
        raise Problem(KINDS["not-found"], KINDS["not-found"].meaning)
    return one
