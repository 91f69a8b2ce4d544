"""Put an example beside every body, answer and parameter of the OpenAPI document: what the service really answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson

from api.batches import NDJSON
from api.cds.desk import Desk
from api.cds.examples import cds_bodies, cds_examples
from api.estimates import picture
from api.operations.examples import answer_example, example_case
from api.operations.operation import JSON
from api.operations.reviewer_examples import reviewer_examples
from api.operations.table_parameters import FORMATS
from api.papers.examples import paper_examples
from api.resource import Resource
from api.worker.readiness import ready_by
from decision.freeze.lookup import load_freeze_table
from decision.rule_book import RuleBook
from decision.single_freeze import FreezeQuestion, answer_question, asked_of
from decision.single_pool import PoolQuestion, answer_pool

__all__ = ["add_examples"]

SHOWN = 2  # entries of a long list
MOMENTS = {"/v1/recommendations": "before", "/v1/cycle-reviews": "during", "/v1/healing-reviews": "after"}
FREEZE = FreezeQuestion("cone", 5, 20, "trunk")
POOL = PoolQuestion(8, 5, 15, net_weight_g=50)

Examples = dict[tuple[str, str], Any]  # by path and media type


def add_examples(paths: Mapping[str, Any], book: RuleBook, pages: Mapping[str, Resource], desk: Desk) -> None:
    """Put an example beside every body, answer and path parameter of a document."""
    shown = {path: _shortened(orjson.loads(page.body)) for path, page in pages.items()}
    first = shown["/v1/rules"]["rules"][0]
    shown["/v1/rules/{decision}/{name}"] = shown[f"/v1/rules/{first['rule']}"]
    shown["/problems/{name}"] = shown["/problems/not-found"]
    reviewed = reviewer_examples(book)
    paper_bodies, papers = paper_examples(book)
    answers: Examples = {
        **{(path, JSON): page for path, page in shown.items()},
        **{(path, JSON): answer_example(book, moment) for path, moment in MOMENTS.items() if path in paths},
        **_of_the_table(),
        **papers,
        **{(path, JSON): value for path, (_, value) in reviewed.items()},
        **cds_examples(book, desk),
        ("/v1/batches", NDJSON): _line({"line": 1, "answer": answer_example(book, "before")}),
        **_of_the_service(book),
    }
    bodies: dict[str, Any] = {path: example_case(book, moment) for path, moment in MOMENTS.items() if path in paths}
    bodies["/v1/batches"] = _line(example_case(book, "before"))
    bodies |= cds_bodies(book, desk) | paper_bodies | {path: message for path, (message, _) in reviewed.items()}
    for path, methods in paths.items():
        for operation in methods.values():
            for media_type, media in operation["responses"]["200"]["content"].items():
                media["examples"] = {"answer": {"summary": "An answer.", "value": answers[path, media_type]}}
            for media in operation.get("requestBody", {}).get("content", {}).values():
                media["examples"] = {"case": {"summary": "A case.", "value": bodies[path]}}
            for parameter in operation.get("parameters", ()):
                if path.startswith("/v1/rules"):
                    parameter["example"] = first.get(parameter["name"], parameter["example"])


def _of_the_table() -> Examples:
    table = load_freeze_table()
    return {
        ("/v1/estimates", JSON): answer_question(table, FREEZE, asked_of(table, FREEZE)),
        ("/v1/estimates", FORMATS["svg"]): picture(table, FREEZE),
        ("/v1/pools", JSON): answer_pool(table, POOL),
    }


def _of_the_service(book: RuleBook) -> Examples:
    return {
        ("/livez", JSON): {"status": "alive"},
        ("/readyz", JSON): ready_by(book, None),
        ("/metrics", "text/plain"): "thawline_shed_total 0.0\n",
        ("/openapi.json", JSON): {"openapi": "3.1.0"},
        ("/docs", "text/html"): "<!doctype html><title>Thawline</title>",
    }


def _line(data: Any) -> str:
    return orjson.dumps(data, option=orjson.OPT_APPEND_NEWLINE).decode()


def _shortened(page: Any) -> Any:
    """The first entries of the long lists of a page."""
    for name in ("rules", "inputs", "sources"):
        if isinstance(page.get(name), list):
            page[name] = page[name][:SHOWN]
        elif isinstance(page.get(name), dict):
            page[name] = dict(list(page[name].items())[:SHOWN])
    return page
