"""The OpenAPI 3.1 document of the service.

Everything in it comes from what the service runs on: the routes, the types of the answers, the rule book, the list of
problems.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from starlette.routing import BaseRoute

from api.cds.desk import Desk
from api.cds.operations import cds_refusals
from api.document.document_examples import add_examples
from api.document.schemas import component_schemas
from api.door import Door
from api.moments import moments_of
from api.operations.parts import HEADERS, SECURITY_SCHEMES, TAGS, every_answer, page_answer, refusals, security
from api.reference import HTTP_CONTRACT
from api.resource import Resource
from decision.rule_book import RuleBook

__all__ = ["document_of"]


def document_of(
    routes: Iterable[BaseRoute], book: RuleBook, pages: Mapping[str, Resource], desk: Desk
) -> dict[str, Any]:
    """Describe the routes of a service that answers by a rule book."""
    paths: dict[str, Any] = {}
    for route in routes:
        if isinstance(route, Door):
            for method in route.methods or ():
                paths.setdefault(route.path_format, {})[method.lower()] = _operation(route)
    add_examples(paths, book, pages, desk)
    return {
        "openapi": "3.1.0",
        "info": _info(book),
        "servers": [
            {
                "url": "/",
                "description": "Production: the service that this document was read from.",
                "x-internal": False,
            }
        ],
        "tags": TAGS,
        "security": [{}],
        "paths": paths,
        "components": {
            "schemas": component_schemas(book.vocabulary, moments_of(book)),
            "responses": {**refusals(), **cds_refusals()},
            "headers": HEADERS,
            "securitySchemes": SECURITY_SCHEMES,
        },
    }


def _operation(route: Door) -> dict[str, Any]:
    answers = {str(status): dict(one) for status, one in route.responses.items()}
    answers["200"]["headers"] = page_answer() if "304" in answers else every_answer()
    described = {
        "operationId": route.operation_id,
        "tags": list(route.tags),
        "summary": route.summary,
        "description": route.description,
        "security": security(route.path_format),
        **(route.openapi_extra or {}),
        "responses": answers,
    }
    described = {key: value for key, value in described.items() if value}
    copied: dict[str, Any] = json.loads(json.dumps(described))
    return copied


def _info(book: RuleBook) -> dict[str, Any]:
    return {
        "title": "Thawline",
        "version": HTTP_CONTRACT,
        "summary": "Rules-based decision support, with the reason for each statement.",
        "description": (
            f"{book.folder.notice}\n\n"
            "The service is stateless: an answer depends on the case and the rule book alone, and nothing of a request "
            "is kept. Every answer carries `X-Request-ID` (yours, when it has 8 to 64 letters, digits, dots, dashes "
            "and underscores) and `traceparent`. Every error is a problem document (RFC 9457), under /cds-services "
            "a FHIR OperationOutcome; neither ever repeats a value that was sent. HEAD works wherever GET does. "
            "Fields may be added to an answer without notice; a client leaves out what it does not know."
        ),
        "contact": {"name": "The Thawline authors"},
        "license": {"name": "Apache License 2.0", "identifier": "Apache-2.0"},
    }
