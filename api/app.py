"""Put the service together. `api.app:create` is the factory that a server calls, once in each worker.

Start-up is closed on failure: a rule book with a fault stops it, and the service says that it is ready only after the
examples of the rule book have been answered by both means of matching.
"""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from api.docs_page import docs_page
from api.examples import answer_examples
from api.frame import Frame
from api.openapi import document_of
from api.pages import pages_of
from api.problems import answer_problems
from api.resource import resource_of
from api.routes import doors
from api.service import Service
from api.settings import Settings, settings_from
from decision import load_rule_book
from decision.rule_book import RuleBook

__all__ = ["create", "create_app"]


def create() -> FastAPI:
    """Make the service as the environment says.

    Raises:
        UnusableSetting: A THAWLINE_ setting cannot be used.
        RuleBookError: The rule book has faults; all of them are in the message.
    """
    settings = settings_from(os.environ)
    return create_app(load_rule_book(settings.rules_folder), settings)


def create_app(book: RuleBook, settings: Settings) -> FastAPI:
    """Make the service that answers by a rule book."""
    app = FastAPI(lifespan=_lifespan, openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False)
    pages = pages_of(book)
    routes = doors(book)
    document = document_of(routes, book, pages)
    pages["/openapi.json"] = resource_of(document)
    pages["/docs"] = resource_of(docs_page(document), "text/html")
    app.openapi = lambda: document  # type: ignore[method-assign]
    app.state.service = Service(book, settings, pages)
    app.router.routes.extend(routes)
    app.add_middleware(Frame)
    answer_problems(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Answer the examples before saying ready; say not ready while closing down."""
    service: Service = app.state.service
    answer_examples(service.book)
    service.ready.set()
    yield
    service.ready.clear()
