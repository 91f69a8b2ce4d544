"""The examples of the document, which are real: a case that a rule's author wrote, and what the service answers.

The same case is answered once at start-up, before the service says that it is ready.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import orjson

from api.resource import Resource
from decision.rule_book import RuleBook

__all__ = ["add_examples", "answer_example", "example_case"]

AS_OF = datetime.date(2026, 11, 24)
LESION_ID = "first"
SHOWN = 2  # entries of a long list


def example_case(book: RuleBook) -> dict[str, Any]:
    """The fullest example in the rule book of a rule that holds, as the body of a request."""
    inputs = book.vocabulary.inputs
    fullest: dict[str, Any] = {}
    for rules in book.folder.rules.values():
        for example in (example for rule in rules for example in rule.examples if example.outcome == "holds"):
            stated = {name: value for name, value in example.case.items() if name in inputs}
            if len(stated) > len(fullest):
                fullest = stated
    parts: dict[str, dict[str, Any]] = {"patient": {}, "lesion": {"lesion_id": LESION_ID}}
    for name, value in fullest.items():
        parts.setdefault(inputs[name].about, {})[name] = value
    lesion = parts.pop("lesion")
    return {"as_of": AS_OF.isoformat(), **parts, "lesions": [lesion]}


def answer_example(book: RuleBook) -> Any:
    """Answer the example, by both means of matching."""
    return book.recommend(book.read(example_case(book), today=AS_OF))


def add_examples(paths: Mapping[str, Any], book: RuleBook, pages: Mapping[str, Resource]) -> None:
    """Put an example beside every body, answer and path parameter of a document."""
    answers = {path: _shortened(orjson.loads(page.body)) for path, page in pages.items()}
    first = answers["/v1/rules"]["rules"][0]
    answers |= {
        "/v1/recommendations": answer_example(book),
        "/v1/rules/{decision}/{name}": answers[f"/v1/rules/{first['rule']}"],
        "/problems/{name}": answers["/problems/not-found"],
        "/livez": {"status": "alive"},
        "/readyz": {"status": "ready"},
        "/openapi.json": {"openapi": "3.1.0"},
        "/docs": "<!doctype html><title>Thawline</title>",
    }
    for path, methods in paths.items():
        for operation in methods.values():
            for media in operation["responses"]["200"]["content"].values():
                media["examples"] = {"answer": {"summary": "An answer.", "value": answers[path]}}
            for media in operation.get("requestBody", {}).get("content", {}).values():
                media["examples"] = {"case": {"summary": "A case.", "value": example_case(book)}}
            for parameter in operation.get("parameters", ()):
                if path.startswith("/v1/rules"):
                    parameter["example"] = first.get(parameter["name"], parameter["example"])


def _shortened(page: Any) -> Any:
    """The first entries of the long lists of a page."""
    for name in ("rules", "inputs", "sources"):
        if isinstance(page.get(name), list):
            page[name] = page[name][:SHOWN]
        elif isinstance(page.get(name), dict):
            page[name] = dict(list(page[name].items())[:SHOWN])
    return page
