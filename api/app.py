"""Put the service together. `api.app:create` is the factory that a server calls, once in each worker.

Start-up is closed on failure: a rule book with a fault stops it, and the service says that it is ready only after the
examples of the rule book have been answered by both means of matching.
"""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from api.access import Access
from api.cds.desk import desk_of
from api.cds.discovery import discovery
from api.cds.names import PATH
from api.cors import Cors, Preflight
from api.docs_page import docs_page
from api.document.openapi import document_of
from api.fhir.routes import code_list_pages
from api.frame import Frame
from api.keys import keys_of
from api.operations.examples import answer_examples
from api.problems import answer_problems
from api.reference import reference_pages
from api.resource import resource_of
from api.routes import doors
from api.service import Service
from api.settings import Settings, settings_from
from api.shelves import Shelves
from api.web.page import Pages
from api.web.problem_page import problem_pages
from api.web.routes import web_routes
from api.worker.crowd import Shedding
from api.worker.house import House, house_of
from api.worker.memory import settled_memory
from api.worker.watch import Watched
from decision import load_rule_book
from decision.rule_book import RuleBook

__all__ = ["app_in", "create", "create_app"]


def create() -> FastAPI:
    """Make the service as the environment says, without a supervisor: its rule book stays what it was at the start.

    Raises:
        UnusableSetting: A THAWLINE_ setting cannot be used.
        UnusableCodeMap: The mapping file has faults; all of them are in the message.
        RuleBookError: The rule book has faults; all of them are in the message.
    """
    settings = settings_from(os.environ)
    return create_app(load_rule_book(settings.rules_folder), settings)


def create_app(book: RuleBook, settings: Settings) -> FastAPI:
    """Make the service that answers by a rule book, in a house of its own."""
    return app_in(house_of(settings), book)


def app_in(house: House, book: RuleBook) -> FastAPI:
    """Make the service that answers by a rule book, in a house in which others may have answered before."""
    settings = house.settings
    app = FastAPI(lifespan=_lifespan, openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False)
    desk = desk_of(book, settings, house.taken)
    pages = reference_pages(book)
    routes = doors(book)
    document = document_of(routes, book, pages, desk)
    pages |= {PATH: resource_of(discovery()), **code_list_pages(desk.lists)}
    pages["/openapi.json"] = resource_of(document)
    pages["/docs"] = resource_of(docs_page(document), "text/html")
    app.openapi = lambda: document  # type: ignore[method-assign]
    app.state.service = Service(book, house, pages, Shelves(book))
    app.router.routes.extend(routes)
    drawn = Pages(book, settings)
    app.router.routes.extend(web_routes(book, drawn, settings))
    app.state.problem_page = problem_pages(drawn, routes)
    app.state.desk = desk
    client = None if desk.credentials is None else desk.credentials.client
    app.add_middleware(Access, keys=keys_of(settings), register=house.register, client=client)
    app.add_middleware(Preflight)
    app.add_middleware(Shedding, crowd=house.crowd)
    app.add_middleware(Watched, observers=house.observers)
    app.add_middleware(Frame)
    app.add_middleware(Cors, origins=settings.allowed_origins)
    answer_problems(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Answer the examples before saying ready; say not ready while closing down."""
    service: Service = app.state.service
    answer_examples(service.book)
    with settled_memory():
        service.ready.set()
        yield
        service.ready.clear()
