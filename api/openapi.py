"""Write the OpenAPI 3.1 document of the service: `python -m api.openapi [--check]`.

Everything in it comes from what the service runs on: the routes, the types of the answers, the rule book, the list of
problems.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from starlette.routing import BaseRoute

from api.cds.desk import Desk
from api.cds.operations import cds_refusals
from api.document_examples import add_examples
from api.door import Door
from api.moments import moments_of
from api.openapi_parts import HEADERS, SECURITY_SCHEMES, TAGS, every_answer, page_answer, refusals, security
from api.reference import HTTP_CONTRACT
from api.resource import Resource
from api.schemas import component_schemas
from decision.rule_book import RuleBook

__all__ = ["COMMITTED", "document_of", "openapi_differs", "write_openapi"]

COMMITTED = Path(__file__).parents[1] / "openapi" / "openapi.json"


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


def write_openapi(path: Path = COMMITTED) -> None:
    """Write the document of the shipped rule book to a file."""
    path.write_text(_written(), encoding="utf-8")


def openapi_differs(path: Path = COMMITTED) -> bool:
    """Say whether a file differs from the document of the shipped rule book."""
    return not path.is_file() or path.read_text(encoding="utf-8") != _written()


def _written() -> str:
    from api.app import create_app
    from api.settings import Settings
    from decision import load_rule_book

    document = create_app(load_rule_book(), Settings()).openapi()
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


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


def main(arguments: list[str]) -> int:
    """Write the committed document, or with --check say whether it is up to date."""
    if arguments == ["--check"]:
        if openapi_differs():
            print("openapi/openapi.json is not up to date. Write it anew: python -m api.openapi", file=sys.stderr)
            return 1
        return 0
    if arguments:
        print("usage: python -m api.openapi [--check]", file=sys.stderr)
        return 2
    write_openapi()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
